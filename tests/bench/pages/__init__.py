"""Comic pages drawn in code whose panels and changes are known, and how right an answer about them is."""
