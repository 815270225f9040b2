"""A staff note as it is printed: its words without the marks of the script language."""

from __future__ import annotations

import re
from typing import Final

_PICTURE: Final = re.compile(r"!\[([^\]]*)\]\([^)]*\)(?:\{[^}]*\})?")
_SPAN: Final = re.compile(r"(?<!\\)\[([^\]]*)\]\{[^}]*\}")
_EMPHASIS: Final = re.compile(r"(?<![\\*\w])(\*{1,2})(?=\S)(.+?)(?<=\S)\1(?![*\w])")
_ESCAPE: Final = re.compile(r"\\([!-/:-@\[-`{-~])")


def note_paragraphs(text: str) -> list[str]:
    """Return the paragraphs of a note, each in one line."""
    paragraphs = re.split(r"\n[ \t]*\n", text.strip())
    return [_plain(" ".join(one.split())) for one in paragraphs if one.strip()]


def _plain(text: str) -> str:
    text = _SPAN.sub(r"\1", _PICTURE.sub(r"\1", text))
    return _ESCAPE.sub(r"\1", _EMPHASIS.sub(r"\2", text))
