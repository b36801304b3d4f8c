"""A report in, words for people or JSON for programs out."""
