"""The book's arithmetic: sides and signatures, what a change costs, pace and dates. Knows neither git nor a screen."""
