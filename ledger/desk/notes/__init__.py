"""Notes: gathered with what became of them, written, taken in from outside, laid out for a day's work."""
