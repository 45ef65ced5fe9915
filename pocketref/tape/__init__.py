"""Taping a field: stakeout, readings, their adjustment and what they say of each station."""
