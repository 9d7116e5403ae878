"""The leaf of the import tree: words every other part shares. Imports nothing of ours."""
