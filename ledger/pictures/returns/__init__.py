"""Pages that went out and came back: what they are known again by, what may not have changed."""
