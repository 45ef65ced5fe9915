"""The titled pieces of a face that layouts ask for."""
