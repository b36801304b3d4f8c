"""The lives of lines and pages."""
