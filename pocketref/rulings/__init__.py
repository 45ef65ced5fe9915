"""Decision tables: ruling, audit, charts, contrasts and case plays."""
