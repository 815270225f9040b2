"""The way in: a paper of any kind that is read, as lines of text."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.documents.docx_paper import docx_paper
from pausewright.documents.html_paper import html_paper
from pausewright.documents.odt_paper import odt_paper
from pausewright.documents.plain_text import plain_text
from pausewright.intake.file_kinds import PAPER_TEXT
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import FileError

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pausewright.documents.model import Paper


_READERS: Final[dict[str, Callable[[Path, bytes], Paper]]] = {
    ".txt": plain_text,
    ".html": html_paper,
    ".htm": html_paper,
    ".docx": docx_paper,
    ".odt": odt_paper,
}
KINDS: Final = tuple(_READERS)


def read_paper(path: Path) -> Paper:
    """Return the text of a paper, in the order in which it is read, with its printed numbers.

    Raises
    ------
    FileError
        If it is missing, no plain file, too large, broken, encrypted, of another kind, or holds no
        text.
    """
    kind = path.suffix.lower()
    if kind not in KINDS:
        raise FileError(
            f"the paper ‘{path.name}’ is of a kind that is not read",
            "save it as .docx, .odt, .html or .txt",
        )
    paper = _READERS[kind](path, file_bytes(path, PAPER_TEXT))
    if not paper.lines:
        raise FileError(
            f"the paper ‘{path.name}’ holds no text", "name the paper with the words that are read"
        )
    return paper
