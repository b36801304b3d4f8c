"""What changed and what was agreed in, findings out."""
