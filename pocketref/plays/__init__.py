"""Case plays: facts from pictures, rulings, choices, coverage and selection."""
