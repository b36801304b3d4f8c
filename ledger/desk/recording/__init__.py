"""What writes to the ledger: rounds, sign-offs, slips, and taking back the last of them."""
