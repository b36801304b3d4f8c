"""Draws the example book: thumbnails, pencils and inks of every page, from its script and storyboard."""
