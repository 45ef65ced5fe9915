"""What can be drawn, in millimetres with y up: items, type, dimensions, figures, charts."""
