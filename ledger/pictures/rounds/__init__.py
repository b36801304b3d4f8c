"""Two rounds of a page set against each other."""
