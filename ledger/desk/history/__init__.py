"""The book over time: commits judged one after another, rounds listed, lines followed."""
