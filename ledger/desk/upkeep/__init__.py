"""A book laid out, its hooks, its second copy, its health, and the example book."""
