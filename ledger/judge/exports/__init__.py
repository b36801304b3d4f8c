"""Exports held against what the book asks of them."""
