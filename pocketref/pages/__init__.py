"""Stocks, text flow, composition and imposition."""
