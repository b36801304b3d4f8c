"""The book's numbers: openings, costs, renaming, pace, the chart on the wall."""
