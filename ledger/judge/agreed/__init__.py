"""What was signed off, and what a change does to it."""
