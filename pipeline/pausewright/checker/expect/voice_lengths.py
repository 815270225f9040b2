"""How long the bundled voices take for words: their own seconds for each sound, fitted on takes.

`voice_lengths.json` says from which takes (made by scripts/fit_speech_lengths.py). It was measured
on finished sound, as the check measures a track; nothing of it comes from the voices' engines.
"""

from __future__ import annotations

import json
from fractions import Fraction
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Final, NamedTuple

from pausewright.checker.expect.length_features import (
    features,
    inner_marks,
    n_reduced_phrases,
    utterance_words,
    without_inner_marks,
)
from pausewright.checker.limits.words import (
    ONE_WORD_S,
    REDUCED_S,
    UNKNOWN_WORD_S,
    UNSTRETCHED_S,
)
from pausewright.frozen import frozen
from pausewright.package_data import package_folder
from pausewright.phones.english import Pronunciations

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from pausewright.checker.expect.length_features import Features
    from pausewright.wording.line_elements import Utterance

_DATA: Final = "voice_lengths.json"


@frozen
class VoiceLengths:
    """A voice's seconds for each feature of words, at one pace."""

    pace_wpm: Fraction
    seconds: Mapping[str, float]
    syllables: Mapping[str, float]
    """What each feature adds to the syllables that `judge.nuclei` hears."""

    def estimate_s(self, counted: Features, pace_wpm: Fraction) -> float:
        """Return the estimated seconds of words with these features at a pace."""
        return _sum(self.seconds, counted) * float(self.pace_wpm / pace_wpm)

    def may_run_over(self, mark: str) -> bool:
        """Return whether a voice may run over a mark inside: over one that the fit did not have.

        Such is the full stop: no sentence has one inside but for what a script words so.
        """
        return f"mark {mark}" not in self.seconds

    def estimate_syllables(self, counted: Features) -> float:
        """Return how many syllables should be heard of words with these features."""
        return _sum(self.syllables, counted)


def _sum(each: Mapping[str, float], counted: Features) -> float:
    return sum(each.get(name, 0.0) * number for name, number in counted.items())


@cache
def known_voices() -> Mapping[str, VoiceLengths]:
    """Return what is known of voices, by name."""
    file = package_folder("pausewright.checker.expect") / _DATA
    data = json.loads(file.read_text(encoding="utf-8"))
    return {
        name: VoiceLengths(
            Fraction(one["pace_wpm"]),
            {key: ms / 1000 for key, ms in one["milliseconds"].items()},
            one["syllables"],
        )
        for name, one in data["voices"].items()
    }


class Estimate(NamedTuple):
    """How long a voice needs for words."""

    seconds: float
    syllables: float
    n_unknown_words: int
    """Words that the dictionary does not have, whose sounds were read off their letters."""
    slower: float = 0.0
    """By which share the voice is asked to speak slower than it was fitted; 0 where it is not."""
    n_marks: int = 0
    """Places inside with a mark."""
    run_over_s: float = 0.0
    """What of `seconds` is missing if the voice runs over one of them; 0 if the fit had them."""
    reduced_s: float = 0.0
    """What of `seconds` may be missing because words are run together by everybody."""
    n_words: int = 2
    """One by itself strays more."""

    @property
    def stray_s(self) -> float:
        """By what the length may stray beyond the limits: unknown words, another pace, one word."""
        stray_s = UNKNOWN_WORD_S * self.n_unknown_words + UNSTRETCHED_S * self.slower
        return stray_s + (ONE_WORD_S if self.n_words == 1 else 0.0)


class _Counted(NamedTuple):
    """What of an utterance's words decides how long they take, whatever the pace."""

    features: Features
    marks: tuple[str, ...]
    """Of places inside."""
    run_on: Features | None
    """The same words in one breath; None where the voice may not run over a mark."""
    n_unknown_words: int
    n_reduced_phrases: int
    n_words: int


def estimates(elements: Sequence[Utterance], pace_wpm: Fraction) -> list[Estimate | None]:
    """Return for each utterance how long its voice needs for its words.

    `pace_wpm` is that of the script's settings. None for a voice that is not known, and for words
    that cannot be estimated (another language, figures).
    """
    rows = _counted(tuple(elements))
    return [
        None if row is None else _estimate(element, row, pace_wpm)
        for element, row in zip(elements, rows, strict=True)
    ]


def _estimate(element: Utterance, row: _Counted, pace_wpm: Fraction) -> Estimate | None:
    voice, own_pace = known_voices()[element.speech.voice], pace_wpm * element.speech.pace
    pace = own_pace * element.speech.arranged_pace
    seconds, run_over_s = voice.estimate_s(row.features, pace), 0.0
    if row.run_on is not None:
        run_over_s = max(0.0, seconds - voice.estimate_s(row.run_on, pace)) / len(row.marks)
    slower = max(0.0, float(voice.pace_wpm / own_pace) - 1)
    syllables = voice.estimate_syllables(row.features)
    reduced_s = REDUCED_S * row.n_reduced_phrases * float(voice.pace_wpm / pace)
    estimate = Estimate(
        seconds, syllables, row.n_unknown_words, slower, len(row.marks), run_over_s, reduced_s,
        row.n_words,
    )  # fmt: skip
    return estimate if seconds > 0 else None


@lru_cache(maxsize=4)
def _counted(elements: tuple[Utterance, ...]) -> tuple[_Counted | None, ...]:
    """Return what of each utterance's words decides how long they take; None as in `estimates`.

    A check asks for the same utterances again where a question is missing; readings are counted
    once.
    """
    voices = known_voices()
    rows = [utterance_words(e) if e.speech.voice in voices else None for e in elements]
    known = Pronunciations([word for row in rows for word, _, own in row or () if own is None])
    of_words: dict[object, _Counted] = {}
    found: list[_Counted | None] = []
    for element, row in zip(elements, rows, strict=True):
        if row is None:
            found.append(None)
            continue
        voice = voices[element.speech.voice]
        key = element.spoken, element.speech.voice
        if key not in of_words:
            is_question = element.words.rstrip("”’)\"' ").endswith("?")
            marks = tuple(inner_marks(row))
            run_on = None
            if any(voice.may_run_over(mark) for mark in marks):
                run_on = features(without_inner_marks(row), known, is_question=is_question)
            of_words[key] = _Counted(
                features(row, known, is_question=is_question),
                marks,
                run_on,
                sum(own is None and not known.has(word) for word, _, own in row),
                n_reduced_phrases(row),
                len(row),
            )
        found.append(of_words[key])
    return tuple(found)
