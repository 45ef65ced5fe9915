"""Layouts read; cards, sheets and training sheets laid out from them."""
