"""Faults in what is said and shown: words, pauses, tones and recordings of a line."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any, Final

from pausewright.wording.line_builder import LineBuilder
from pausewright.wording.line_elements import (
    AuthorPause,
    Excerpt,
    SpokenPart,
    ToneCue,
    Utterance,
)
from pausewright.wording.worded import Worded

from support.planted.base import Fault, Plant, after, changed, giving


def _elements(change: Any) -> Plant:
    """Return a fault in each line that is put together."""
    return changed(LineBuilder, "elements", after(change))


def _without_last_sentence(line: Any) -> Any:
    said = [i for i, one in enumerate(line) if isinstance(one, Utterance)]
    return tuple(one for i, one in enumerate(line) if len(said) < 2 or i != said[-1])


def _first_twice(line: Any) -> Any:
    said = [one for one in line if isinstance(one, Utterance)]
    return (said[0], *line) if len(said) > 1 else line


def _turned(line: Any) -> Any:
    said = [i for i, one in enumerate(line) if isinstance(one, Utterance)]
    if len(said) < 2:
        return line
    found = list(line)
    found[said[0]], found[said[-1]] = line[said[-1]], line[said[0]]
    return tuple(found)


def _pauses(share: Fraction) -> Any:
    return lambda line: tuple(
        replace(one, pause_s=one.pause_s * share) if isinstance(one, AuthorPause) else one
        for one in line
    )


def _without(kind: type) -> Any:
    return lambda line: tuple(one for one in line if not isinstance(one, kind))


def _tone(**fields: Fraction) -> Any:
    return lambda line: tuple(
        replace(one, spec=replace(one.spec, **fields)) if isinstance(one, ToneCue) else one
        for one in line
    )


def _said(change: Any) -> Any:
    """Return a fault in the spoken words alone: what is written stays."""

    def line(elements: Any) -> Any:
        return tuple(
            replace(one, spoken=tuple(change(part) for part in one.spoken), clauses=())
            if isinstance(one, Utterance)
            else one
            for one in elements
        )

    return line


def _swapped(one: str, other: str) -> Any:
    def change(part: SpokenPart) -> SpokenPart:
        return replace(part, text=part.text.replace(one, other))

    return change


def _unmarked(line: Any) -> Any:
    return tuple(replace(o, shown_parts=()) if isinstance(o, Utterance) else o for o in line)


def _at_first_reading(right: Any) -> Any:
    """Announce the second reading and not the first."""
    return lambda self, of, reading: right(self, of, 1) if reading == 2 else ()


FAULTS: Final = (
    Fault("wording", "announcements dropped", changed(Worded, "announcement", giving(()))),
    Fault("wording", "announcements moved to the second reading",
          changed(Worded, "announcement", _at_first_reading)),
    Fault("wording", "announcements of sub-questions doubled",
          changed(Worded, "sub_announcement", after(lambda line: line + line))),
    Fault("wording", "“The recording continues.” dropped",
          changed(Worded, "continues", giving(()))),
    Fault("wording", "the time cue dropped", changed(Worded, "time_cue", giving(()))),
    Fault("wording", "a withdrawn question passed over", changed(Worded, "withdrawn", giving(()))),
    Fault("wording", "answers to choose said without their words",
          changed(Worded, "option", after(lambda line: tuple(
              replace(o, written=o.written[:1], shown=o.shown[:1], clauses=(),
                      spoken=(replace(o.spoken[0], text="B"),)) for o in line)))),
    Fault("wording", "the last step of a pattern dropped",
          changed(Worded, "pattern", after(lambda line: line[:-2]))),
    Fault("wording", "a pattern said twice", changed(Worded, "pattern", after(lambda line: (
        *line, AuthorPause(Fraction(1), line[0].place), *line)))),
    Fault("wording", "the last paragraph of a dictation dropped",
          changed(Worded, "dictation_whole", after(lambda lines: lines[:-1]))),
    Fault("wording", "last sentences dropped", _elements(_without_last_sentence)),
    Fault("wording", "first sentences doubled", _elements(_first_twice)),
    Fault("wording", "sentences in another order", _elements(_turned)),
    Fault("wording", "author's pauses dropped", _elements(_without(AuthorPause))),
    Fault("wording", "author's pauses halved", _elements(_pauses(Fraction(1, 2)))),
    Fault("wording", "author's pauses doubled", _elements(_pauses(Fraction(2)))),
    Fault("wording", "tones dropped", _elements(_without(ToneCue))),
    Fault("wording", "tones an octave lower", _elements(_tone(frequency_hz=Fraction(330)))),
    Fault("wording", "tones of half their length", _elements(_tone(tone_s=Fraction(3, 10)))),
    Fault("wording", "recordings dropped", _elements(_without(Excerpt))),
    Fault("wording", "words of a bracket that are withheld shown",
          changed(Utterance, "caption", lambda _: lambda self, **_more: (
              self.shown if _more["block_is_shown"] else ""))),
    Fault("wording", "the mark of a withheld bracket lost", _elements(_unmarked)),
    Fault("wording", "all words of questions shown",
          changed(Utterance, "caption", lambda _: lambda self, **_more: self.shown)),
    Fault("wording", "“nine times” said as “five times”",
          _elements(_said(_swapped("nine times", "five times"))), found_by="ear"),
    Fault("wording", "“fifty” said for “fifteen” in a price",
          _elements(_said(_swapped("fifty", "fifteen"))), found_by="ear"),
    Fault("wording", "“north” said as “south”", _elements(_said(_swapped("north", "south"))),
          found_by="ear"),
)  # fmt: skip
