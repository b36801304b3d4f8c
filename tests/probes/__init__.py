"""Probes: acts of git on a signed-off book in real repositories, each with its control."""
