"""Cards with their owners' names: roster, runs, packing lists."""
