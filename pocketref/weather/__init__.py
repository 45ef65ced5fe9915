"""Heat index and lightning distance by published formulas."""
