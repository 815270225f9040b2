"""What is printed on a paper, read back by pypdf: words in reading order."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pypdf import PdfReader

if TYPE_CHECKING:
    from pathlib import Path


def pages_of(paper: Path) -> list[str]:
    """Return the words of each page, single blanks between them."""
    return [" ".join(page.extract_text().split()) for page in PdfReader(paper).pages]


def text_of(paper: Path) -> str:
    """Return the words of all pages."""
    return " ".join(pages_of(paper))
