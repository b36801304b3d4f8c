"""Two drafts in, what changed out: words, lines, scenes, cast, pages. Knows nothing of locks."""
