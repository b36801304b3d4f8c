"""Picture files: headers, chunks and tags, and their pixels as a reader sees them."""
