"""Exports compared and shown, and what was found out about them kept."""
