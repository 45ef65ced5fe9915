"""A correction within a season: what it changed, which cards it concerns, and what to print."""
