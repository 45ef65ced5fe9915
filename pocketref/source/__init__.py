"""Content files read into frozen models whose references resolve."""
