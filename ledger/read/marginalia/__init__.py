"""Notes that come in from outside, bytes to notes: mail and plain text, saved rounds, word processors, PDFs."""
