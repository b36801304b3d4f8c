"""Two states of a script laid side by side, page by page."""
