"""What things are: book, script, note, entry, change, finding. Frozen values without input or output."""
