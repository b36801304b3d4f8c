"""Bytes into model: config, script, notes, entries. Bad input becomes findings, never an exception half-way."""
