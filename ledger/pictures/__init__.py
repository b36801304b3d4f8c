"""Two exports in, what changed out. The only room that decodes pictures."""
