"""What every paper says of itself, and how it is to look: the part of the data all papers share."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, field
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.content_mark import UNSEALED
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping

FontName: TypeAlias = Literal["plain", "clear"]
PaperName: TypeAlias = Literal["A4", "A3", "US Letter"]

FAMILIES: Final[dict[FontName, tuple[str, ...]]] = {
    "plain": ("Noto Sans", "Atkinson Hyperlegible"),
    "clear": ("Atkinson Hyperlegible", "Noto Sans"),
}
"""Families by the name of the setting, the first one for what it has."""
FALLBACK: Final = ("New Computer Modern Math", "DejaVu Sans Mono", "Libertinus Serif")
"""Typst's own fonts, for signs that neither family has."""
PAPERS_MM: Final[dict[PaperName, tuple[float, float]]] = {
    "A4": (210, 297),
    "A3": (297, 420),
    "US Letter": (215.9, 279.4),
}
"""Width and height, upright. Sources: ISO 216; ANSI/ASME Y14.1 (A)."""
MARK_SIGNS: Final = 8
"""Digits of the content mark that are printed: enough to tell two papers of a test apart."""


@frozen
class Look:
    """Size of letters, paper and font."""

    size_pt: float = 12
    """Of running text; the rest follows. 12 pt is the least for dyslexic readers (CV-28)."""
    paper: PaperName = "A4"
    font: FontName = "plain"
    is_landscape: bool = False

    def data(self) -> dict[str, object]:
        """Return what the templates take it from."""
        width_mm, height_mm = PAPERS_MM[self.paper]
        if self.is_landscape:
            width_mm, height_mm = height_mm, width_mm
        return {
            "size": self.size_pt,
            "width": width_mm,
            "height": height_mm,
            "fonts": [*FAMILIES[self.font], *FALLBACK],
            "clear": self.font == "clear",
        }


@frozen
class Frame:
    """What stands on every page of a paper."""

    title: str
    """Of the test."""
    paper: str
    """What this paper is, in words: "Answer sheet"."""
    label: str
    """Of the version, as the room sees it."""
    edition: str
    language: str = "en"
    """BCP 47."""
    look: Look = field(default_factory=Look)
    words: Mapping[str, str] = field(default_factory=dict)
    """Words of the frame in another language: see `WORDS`."""
    signed: frozenset[str] | None = None
    """Content marks of papers that somebody signed for: another one says at its foot that it is a
    draft. None: nothing is said."""


UNMARKED: Final = "unmarked"
"""Under this name stand data that belong to one day or one edition: clock times, names of files."""
WORDS: Final[Mapping[str, str]] = {
    "version": "Version",
    "edition": "edition",
    "mark": "mark",
    "page": "Page {page} of {pages}",
}
"""The frame's words. `content_mark.heading_of` finds "Version B · edition 7KQ3MX" in every
language, so that line stays English; a frame gives others for "page" alone."""


def content_mark(
    frame: Frame, data: Mapping[str, object], pictures: Mapping[str, bytes], templates: str
) -> str:
    """Return the content mark of a paper: a SHA-256 of what makes it look as it does.

    The edition is left out, so that two editions that print the same have one mark, and so are
    what stands under `UNMARKED` and whether it is a draft.

    Parameters
    ----------
    frame : of the paper
    data : what its template is given
    pictures : by the names that the data gives them
    templates : hash of the templates
    """
    shown = asdict(frame)
    del shown["edition"], shown["signed"]
    found = hashlib.sha256(b"paper\n")
    lasting = {name: value for name, value in data.items() if name != UNMARKED}
    rows = [
        shown,
        lasting,
        {k: hashlib.sha256(v).hexdigest() for k, v in pictures.items()},
        templates,
    ]
    found.update(json.dumps(rows, sort_keys=True, ensure_ascii=True).encode())
    return found.hexdigest()


def frame_data(frame: Frame, mark: str) -> dict[str, object]:
    """Return the frame as the templates take it."""
    language, _, region = frame.language.partition("-")
    words = {**WORDS, **frame.words}
    heading = f"Version {frame.label} · edition {frame.edition}"
    return {
        "title": frame.title,
        "paper": frame.paper,
        "heading": heading,
        "state": " · draft" if frame.signed is not None and mark not in frame.signed else "",
        "mark": f"{words['mark']} {mark[:MARK_SIGNS].upper()}",
        "keywords": [f"mark:{mark}", UNSEALED],
        "language": language.lower(),
        "region": region.upper() if len(region) == 2 else None,
        "page": words["page"],
        "look": frame.look.data(),
    }
