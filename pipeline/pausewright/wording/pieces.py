"""What is heard, as declared: utterances, author's pauses, tones and sounds, in order.

A paragraph becomes a `Line`. Builder and checker both start from lines; how lines and silences
follow each other in time is worked out by each of them alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from fractions import Fraction

    from pausewright.problems import Place
    from pausewright.script.model import Sound, Speech, ToneSpec


@dataclass(frozen=True, slots=True)
class SpokenPart:
    """Words for the voice, or exact sounds."""

    text: str
    """Words, figures already worded; or, with `is_ipa`, IPA symbols."""
    is_ipa: bool = False
    language: str | None = None
    """BCP 47 where it differs from the utterance's own language."""
    word: str = ""
    """What sounds stand for, in letters; "" where nobody wrote it."""


@dataclass(frozen=True, slots=True)
class Utterance:
    """One sentence (or piece between pauses) that is voiced as one take.

    Two equal utterances (place and `shown` apart) are one take.
    """

    spoken: tuple[SpokenPart, ...]
    shown: str
    """What a caption shows."""
    speech: Speech
    place: Place
    written: str = ""
    """As the script writes it, for people who sign the wording off."""

    @property
    def words(self) -> str:
        """The spoken words in one string; sounds by their word, else IPA in double brackets."""
        parts = [p.word or f"[[{p.text}]]" if p.is_ipa else p.text for p in self.spoken]
        return " ".join("".join(parts).split())


@dataclass(frozen=True, slots=True)
class AuthorPause:
    """A silence that the author wrote inside a paragraph or pattern."""

    pause_s: Fraction
    place: Place


@dataclass(frozen=True, slots=True)
class ToneCue:
    """A tone."""

    name: str
    spec: ToneSpec
    place: Place


@dataclass(frozen=True, slots=True)
class Excerpt:
    """A sound file, whole or in part."""

    sound: Sound

    @property
    def place(self) -> Place:
        """Where it is named."""
        return self.sound.place


Piece: TypeAlias = Utterance | AuthorPause | ToneCue | Excerpt
Line: TypeAlias = tuple[Piece, ...]
