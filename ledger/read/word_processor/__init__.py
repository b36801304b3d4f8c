"""Drafts from word processors: `.docx` (ECMA-376) and `.odt` (ISO/IEC 26300), bytes to paragraphs to a script.

Only `compare` of plain files, `bring` and `enter --from` come here; no hook does.
"""
