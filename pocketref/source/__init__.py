"""YAML text to placed nodes to frozen, validated models whose references resolve."""
