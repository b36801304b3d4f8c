"""What pages rest on, and what of that has changed."""
