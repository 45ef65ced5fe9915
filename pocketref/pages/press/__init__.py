"""Cards on press sheets: grid, order, marks."""
