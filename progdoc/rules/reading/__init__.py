"""Reads the catalogue: packs of rules, and the closed lists of names that a rule may use."""
