"""Books with notes whose fate is known: what became of every place, and which notes ask for a person."""
