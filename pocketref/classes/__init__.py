"""Classes: slides to project and the speaker's notes to them, from the source that cards and plays are made of."""
