"""What changed between two drafts: for a terminal, as rows and documents, as a patch."""
