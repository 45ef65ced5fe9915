"""Translations of the program and its content: what there is to translate, what lacks one, catalogues refreshed."""
