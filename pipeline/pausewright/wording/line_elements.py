"""What is heard, as declared: utterances, author's pauses, tones and sounds, in order.

A paragraph becomes a `Line`. Builder and checker both start from lines; how lines and silences
follow each other in time is worked out by each of them alone.
"""

from __future__ import annotations

import re
from dataclasses import field
from typing import TYPE_CHECKING, TypeAlias

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from fractions import Fraction

    from pausewright.problems import Place
    from pausewright.script.declared import CaptionPolicy, ToneSpec
    from pausewright.script.model import Sound, Speech


@frozen
class SpokenPart:
    """Words for the voice, or exact sounds."""

    text: str
    """Words, figures already worded; or, with `is_ipa`, IPA symbols."""
    is_ipa: bool = False
    language: str | None = None
    """BCP 47 where it differs from the utterance's own language."""
    word: str = ""
    """What sounds stand for, in letters; "" where nobody wrote it."""


@frozen
class ShownPart:
    """Words for captions, and what their own span says of captions (None: nothing)."""

    text: str
    captions: CaptionPolicy | None = None
    language: str | None = None
    """BCP 47 where it differs from the utterance's own language."""


@frozen
class OtherWords:
    """Shown words in another language than the utterance around them."""

    text: str
    language: str
    """BCP 47."""
    n_before: int
    """How often the same letters stand before them in the utterance."""


@frozen
class Clause:
    """A stretch of an utterance up to a mark between clauses, the mark with it."""

    spoken: tuple[SpokenPart, ...]
    shown: str
    written: str
    shown_parts: tuple[ShownPart, ...] = ()
    others: tuple[OtherWords, ...] = ()


@frozen
class Utterance:
    """One sentence (or part of it between pauses) that is voiced as one take.

    Two equal utterances (place and what is shown apart) are one take.
    """

    spoken: tuple[SpokenPart, ...]
    shown: str
    """Its words as captions write them."""
    speech: Speech
    place: Place
    written: str = ""
    """As the script writes it, for people who sign the wording off."""
    shown_parts: tuple[ShownPart, ...] = ()
    """The same in parts, where some words have captions of their own; empty otherwise."""
    others: tuple[OtherWords, ...] = ()
    """Its shown words in other languages, in order."""
    because: tuple[str, ...] = field(default=(), compare=False)
    """Which words of it decided between two readings, for those who sign the wording off."""
    clauses: tuple[Clause, ...] = ()
    """The same up to each comma, semicolon, colon or dash that the author wrote between words; ()
    where there is none."""

    def caption(self, *, block_is_shown: bool, is_instruction: bool) -> str:
        """Return what a caption shows: words that are heard but withheld become "…".

        Parameters
        ----------
        block_is_shown : whether the words of the paragraph or question may be shown
        is_instruction : whether they instruct (or announce) rather than ask
        """
        if not self.shown_parts:
            return self.shown if block_is_shown else ""
        is_policy_shown = {"everything": True, "nothing": False, "instructions": is_instruction}
        shown = [is_policy_shown.get(p.captions or "", block_is_shown) for p in self.shown_parts]
        if not any(
            is_shown and any(c.isalnum() for c in part.text)
            for is_shown, part in zip(shown, self.shown_parts, strict=True)
        ):
            return ""
        out = ""
        for is_shown, part in zip(shown, self.shown_parts, strict=True):
            if is_shown:
                out += part.text
            elif any(c.isalnum() for c in part.text):
                out = f"{out.rstrip()} … ".removeprefix(" ")
        out = re.sub(r"(?:… ?)+(?=…)", "", " ".join(out.split()))
        return re.sub(r"… (?=[,.;:?!])", "…", out)

    @property
    def words(self) -> str:
        """The spoken words in one string; sounds by their word, else IPA in double brackets."""
        parts = [p.word or f"[[{p.text}]]" if p.is_ipa else p.text for p in self.spoken]
        return " ".join("".join(parts).split())


@frozen
class AuthorPause:
    """A silence that the author wrote inside a paragraph or pattern."""

    pause_s: Fraction
    place: Place


@frozen
class ToneCue:
    """A tone."""

    name: str
    spec: ToneSpec
    place: Place


@frozen
class Excerpt:
    """A sound file, whole or in part."""

    sound: Sound

    @property
    def place(self) -> Place:
        """Where it is named."""
        return self.sound.place

    def of_reading(self, reading: int) -> Excerpt:
        """Return what is heard at a reading, from 1: its own take, where takes are listed."""
        return Excerpt(self.sound.of_reading(reading)) if self.sound.takes else self


SoundElement: TypeAlias = Utterance | ToneCue | Excerpt
Element: TypeAlias = SoundElement | AuthorPause
Line: TypeAlias = tuple[Element, ...]
