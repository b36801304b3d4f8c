"""The change memo, as a letter and as one HTML file."""
