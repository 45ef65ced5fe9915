"""An edition built from its proof and put in its place; new folders started."""
