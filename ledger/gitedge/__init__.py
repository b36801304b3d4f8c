"""The only room that knows git."""
