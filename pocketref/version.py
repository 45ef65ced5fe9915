"""The version, in one place that costs nothing to import."""

VERSION = "0.1.0"
