"""What stands inside a paragraph, as the author wrote it: words, silences, sounds.

Part of the model: others import these names from `script.model`.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Literal, TypeAlias

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.problems import Place
    from pausewright.script.declared import CaptionPolicy


@frozen
class Text:
    """Plain words as written."""

    text: str
    place: Place


@frozen
class Formula(Text):
    """A formula in LaTeX as written, its dollar signs with it."""

    @property
    def latex(self) -> str:
        """What stands between the dollar signs."""
        return self.text.strip("$")


@frozen
class SlateLabel(Text):
    """The label of the version, where the slate says it."""


@frozen
class Emphasis:
    """Words in emphasis, bold in print."""

    children: tuple[Inline, ...]
    strong: bool
    place: Place


@frozen
class Span:
    """Words in square brackets with attributes."""

    children: tuple[Inline, ...]
    place: Place
    say: str | None = None
    shown: str | None = None
    ipa: str | None = None
    read_as: str | None = None
    language: str | None = None
    states: str | None = None
    captions: CaptionPolicy | None = None
    captions_reason: str | None = None
    spell: bool = False
    digits: bool = False
    choice: bool = False


@frozen
class Pause:
    """The author's silence inside a paragraph."""

    pause_s: Fraction
    place: Place


@frozen
class Tone:
    """A named tone from the settings."""

    name: str
    place: Place


AnswerKind: TypeAlias = Literal["lines", "box", "staff-lines"]


@frozen
class AnswerPlace:
    """A place to write on the sheet: lines, an empty box, empty staves for music."""

    lines: int
    place: Place
    kind: AnswerKind = "lines"
    width: str | None = None


Edges: TypeAlias = Literal["trimmed", "as recorded"]
Level: TypeAlias = Literal["matched", "as recorded"]


@frozen
class RecordedCue:
    """A caption that was supplied with a recording, in the time of its file."""

    start_s: Fraction
    end_s: Fraction
    lines: tuple[str, ...]
    """What is shown; none empty."""


@frozen
class Sound:
    """A sound file, or on a sheet a picture."""

    description: str
    path: str
    """As written, relative to the file that names it."""
    place: Place
    from_s: Fraction | None = None
    to_s: Fraction | None = None
    words: str | None = None
    cues: tuple[RecordedCue, ...] = ()
    """Captions with its words, where `words` names a caption file."""
    speaker: str | None = None
    edges: Edges = "as recorded"
    level: Level = "as recorded"
    fade_out_s: Fraction | None = None
    pause_after_s: Fraction | None = None
    width: str | None = None
    arranged_pace: Fraction = Fraction(1)
    """Share of its own pace that an arrangement asks for, where it has words."""
    takes: tuple[tuple[Fraction, Fraction], ...] = ()
    """From and to of each reading, where they are lists; the first are `from_s` and `to_s`."""

    def of_reading(self, reading: int) -> Sound:
        """Return the part that is heard at a reading, from 1; the last one at any later reading."""
        if not self.takes:
            return self
        from_s, to_s = self.takes[min(max(reading, 1), len(self.takes)) - 1]
        return replace(self, from_s=from_s, to_s=to_s)

    @property
    def file(self) -> Path:
        """The file that is meant."""
        return self.folder / self.path

    @property
    def folder(self) -> Path:
        """The folder of the file that names it, which it must lie in."""
        return self.place.file.parent


Inline: TypeAlias = Text | Emphasis | Span | Pause | Tone | AnswerPlace | Sound
