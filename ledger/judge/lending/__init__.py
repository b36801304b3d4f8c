"""What goes out and comes back: returns, deliveries, proofs."""
