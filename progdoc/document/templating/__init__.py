"""Renders the templates: what they may call, and what they may speak of."""
