"""Charts as SVG, and SVG as PNG."""
