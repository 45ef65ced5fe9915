"""What differs between two editions, or two codes."""
