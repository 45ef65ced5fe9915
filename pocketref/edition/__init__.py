"""One season's issue: what is built, from what, and whether it is whole."""
