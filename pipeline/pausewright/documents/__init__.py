"""Papers that people wrote elsewhere, read as lines of text: `.txt`, `.html`, `.docx`, `.odt`."""
