"""A checked track as a strip of time: what was heard where, and which silence is which.

With a script each stretch is named by what it belongs to; without one there is sound and silence.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.result.items import Asked
from pausewright.checker.result.naming import where_of
from pausewright.pages.strip import Stretch
from pausewright.script.silences import silence_name
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.expect.expected import Expectation, ExpectedSilence, ExpectedSound
    from pausewright.checker.match.match import Matching
    from pausewright.checker.match.measured import Frames
    from pausewright.checker.result.items import Item
    from pausewright.pages.strip import Kind
    from pausewright.script.silences import SilenceKind

_KINDS: Final[dict[SilenceKind, Kind]] = {
    "answer-time": "answer-time",
    "look-time": "look-time",
    "between-readings": "between-readings",
    "between-phrase-readings": "between-readings",
    "phrase-time": "phrase-time",
    "extra-time": "extra-time",
    "page-turn-time": "page-turn",
    "hold": "hold",
}
"""How kinds of silence are drawn; those of the author are pauses."""
SILENCE_FROM_S: Final = Fraction(7, 10)
"""Without a script, what is shorter is a pause inside speech."""


def matched_strip(
    expectation: Expectation, matching: Matching, rate_hz: int
) -> tuple[Stretch, ...]:
    """Return what was heard of a script, in order of time; what is missing has no stretch."""
    found: list[Stretch] = []
    for i, sound in enumerate(expectation.sounds):
        for start, end in matching.parts[i]:
            kind: Kind = "speech" if isinstance(sound.element, Utterance) else "sound"
            found.append(_between(start, end, rate_hz, kind, _sound_words(sound)))
    for extra in matching.extras:
        words = "a sound that the script does not have"
        found += [_between(start, end, rate_hz, "sound", words) for start, end in extra.stretches]
    for silence in matching.silences:
        at, n_frames = silence.at_frame, silence.n_frames
        if at is not None and n_frames and silence.state != "interrupted":
            kind = _KINDS.get(silence.expected.kind, "pause")
            found.append(
                _between(at, at + n_frames, rate_hz, kind, _silence_words(silence.expected))
            )
    found = sorted(dict.fromkeys(found), key=lambda one: one.start_s)
    return _numbered(_without_overlap(found), expectation, matching, rate_hz)


def heard_strip(stretches: Sequence[Frames], n_frames: int, rate_hz: int) -> tuple[Stretch, ...]:
    """Return sound and silence of a track without a script."""
    found: list[Stretch] = []
    at = 0
    for start, end in (*stretches, (n_frames, n_frames)):
        if start > at:
            is_long = Fraction(start - at, rate_hz) >= SILENCE_FROM_S
            found.append(_between(at, start, rate_hz, "silence" if is_long else "pause", ""))
        if end > start:
            found.append(_between(start, end, rate_hz, "speech", "sound"))
        at = end
    return tuple(found)


def _between(start: int, end: int, rate_hz: int, kind: Kind, words: str) -> Stretch:
    return Stretch(kind, Fraction(start, rate_hz), Fraction(end - start, rate_hz), words)


def _sound_words(sound: ExpectedSound) -> str:
    if sound.question is None:
        return {"cue": "a cue or tone", "continues": "the line after a stop"}.get(
            sound.role, "an instruction"
        )
    reading = f", reading {sound.reading}" if sound.reading else ""
    return f"{sound.question.name}{reading}"


def _silence_words(silence: ExpectedSilence) -> str:
    return f"{silence_name(silence.kind)}{where_of(silence)}"


def _without_overlap(stretches: Sequence[Stretch]) -> list[Stretch]:
    """Return stretches that do not lie over each other: sounds run together are drawn once."""
    found: list[Stretch] = []
    end_s = Fraction(0)
    for one in stretches:
        one_end_s = one.start_s + one.length_s
        if one_end_s <= end_s:
            continue
        start_s = max(one.start_s, end_s)
        found.append(replace(one, start_s=start_s, length_s=one_end_s - start_s))
        end_s = one_end_s
    return found


def _numbered(
    stretches: Sequence[Stretch], expectation: Expectation, matching: Matching, rate_hz: int
) -> tuple[Stretch, ...]:
    """Return stretches with the number of each question where its first sound begins."""
    starts: dict[object, Fraction] = {}
    items: dict[object, Item] = {row.unit: row.item for row in expectation.rows}
    for sound, span in zip(expectation.sounds, matching.heard, strict=True):
        if span is not None and sound.unit in items:
            starts.setdefault(sound.unit, Fraction(span[0], rate_hz))
    numbers = {starts[unit]: _number(item) for unit, item in items.items() if unit in starts}
    return tuple(replace(one, number=numbers.get(one.start_s, "")) for one in stretches)


def _number(item: Item) -> str:
    """Return what stands over the drawing: "7", "7a", "practice 1" as "pr 1"."""
    if not isinstance(item, Asked):
        return f"{item.kind[:4]} {item.number}"
    asked = item.question
    number = f"{asked.number}{asked.letter}"
    return f"pr {number}" if asked.practice else number
