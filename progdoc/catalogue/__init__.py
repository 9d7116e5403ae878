"""Law and reference data, edited by people who read law. No Python here: `rules` reads it."""
