"""Drafts and exports that come from elsewhere and become files of the book."""
