"""What goes out of the book and comes back: packets, hand-offs, returns, proofs, deliveries, each with its sheet."""
