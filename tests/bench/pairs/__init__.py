"""Pairs of drafts with a known history, a strict scorer and a naive rival."""
