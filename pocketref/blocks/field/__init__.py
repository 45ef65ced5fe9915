"""The blocks of a field: figures to scale, and the tables that a crew tapes by."""
