"""Decision tables: ruling, audit, charts and contrasts."""
