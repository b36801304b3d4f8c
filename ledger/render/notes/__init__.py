"""Notes: listed, printed, and what a file brought."""
