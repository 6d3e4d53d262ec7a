"""The data package: every figure with its dictionary, and what recomputes them elsewhere."""
