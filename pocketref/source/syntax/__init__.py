"""YAML text to placed nodes to validated models, with every fault at its place."""
