"""What leaves the house and comes back: packets for readers."""
