"""The edition as web pages."""
