"""Stocks, text flow, blocks, cards, sheets and imposition."""
