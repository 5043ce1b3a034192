"""Texts for the keeper: pure functions, data in, text of at most 80 columns out."""
