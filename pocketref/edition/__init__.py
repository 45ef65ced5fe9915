"""One season's issue: its proof, its files' manifest, signature and reuse."""
