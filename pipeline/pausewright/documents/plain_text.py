"""Text files of any common encoding."""

from __future__ import annotations

import codecs
import re
from typing import TYPE_CHECKING, Final

from pausewright.documents.lines import Lines
from pausewright.documents.model import Paper
from pausewright.problems import FileError

if TYPE_CHECKING:
    from pathlib import Path

_MARKS: Final = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_NUMBERED: Final = re.compile(r"(\d{1,3}[.)]|\(?[a-z][.)])[ \t]+(?=\S)")


def plain_text(path: Path, body: bytes) -> Paper:
    """Return the lines of a text file; one that is no UTF-8 is taken for Windows' own encoding.

    Raises
    ------
    FileError
        If it is no text.
    """
    text, cautions = _decoded(body)
    if "\0" in text:
        raise FileError(
            f"the paper ‘{path.name}’ is no text", "name a .txt, .html, .docx or .odt file"
        )
    lines = Lines()
    for raw in re.split(r"\r\n|[\r\n\f\v\u2028\u2029]", text):
        number = _NUMBERED.match(raw.strip())
        if number:
            lines.add(raw.strip()[number.end() :], "item", number[1])
        else:
            lines.add(raw)
    return Paper(tuple(lines.found), cautions)


def _decoded(body: bytes) -> tuple[str, tuple[str, ...]]:
    for mark, name in _MARKS:
        if body.startswith(mark):
            return body.decode(name, "replace"), ()
    try:
        return body.decode("utf-8"), ()
    except UnicodeDecodeError:
        text = body.decode("cp1252", "replace")
        return text, ("its encoding was taken for that of Windows: look at its signs and accents",)
