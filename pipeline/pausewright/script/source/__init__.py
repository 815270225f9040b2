"""One file's text, prepared with every line and column kept, as a tree of Markdown blocks."""
