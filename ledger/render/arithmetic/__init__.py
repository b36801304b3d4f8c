"""The book's arithmetic: sides, spreads, signatures, cost, pace, the wall."""
