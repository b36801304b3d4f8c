"""A book of years: thousands of commits, hundreds of entries, every page of eight passes a large-file pointer."""
