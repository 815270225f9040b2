"""Faults in what arranges: the nine of the review, and more."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any, Final

from pausewright.arrange import apply, arrangement_words, readings, rest_breaks, restate
from pausewright.arrange.apply import _Arranger
from pausewright.arrange.arrangement import LookTimes
from pausewright.arrange.arrangement_words import ArrangementWords
from pausewright.deliver import version as versions

from support.planted.base import Fault, Plant, after, changed, giving


def _ignored(**fields: Any) -> Plant:
    """Return a fault that arranges as if fields were not declared, or were others."""

    def wrong(right: Any) -> Any:
        return lambda script, arrangement, problems: right(
            script, replace(arrangement, **fields), problems
        )

    return changed(versions, "apply_arrangement", wrong)


def _words(**fields: Any) -> Plant:
    """Return the same fault where the words of an arrangement are made."""

    def wrong(right: Any) -> Any:
        def init(self: Any, script: Any, arrangement: Any, total: Any = None) -> None:
            right(self, script, replace(arrangement, **fields), total)
            self.arrangement = arrangement

        return init

    return changed(ArrangementWords, "__init__", wrong)


def _pauses(**fields: Any) -> Plant:
    def wrong(right: Any) -> Any:
        def with_pauses(self: Any, line: Any) -> Any:
            self._pauses = replace(self._pauses, **fields)
            return right(self, line)

        return with_pauses

    return changed(ArrangementWords, "_with_pauses", wrong)


def _moved_break(right: Any) -> Any:
    def insert(script: Any, arrangement: Any, problems: Any) -> Any:
        breaks = arrangement.rest_breaks
        if breaks is None:
            return right(script, arrangement, problems)
        moved = replace(breaks, after_questions=(1,))
        return right(script, replace(arrangement, rest_breaks=moved), problems)

    return insert


def _every(times: Fraction) -> Any:
    """Return what places breaks by time so many times as far apart."""
    return lambda right: (
        lambda script, arrangement, every_s: right(script, arrangement, every_s * times)
    )


def _same_statements(right: Any) -> Any:
    del right
    return lambda script, *_: script


def _only_times(right: Any) -> Any:
    """Restate times and leave counts as they are."""

    def worded(self: Any, kind: str, like: str, value: Any) -> Any:
        return (
            right(self, kind, like, value)
            if kind in {"answer-time", "look-time", "phrase-time", "test-time"}
            else like
        )

    return worded


def _first_question_only(right: Any) -> Any:
    def more(self: Any, delivery: Any, whose: str) -> Any:
        return right(self, delivery, whose) if whose == "question 1" else delivery

    return more


def _as_it_was(_right: Any) -> Any:
    """Give back what a method was asked to change."""
    return lambda *arguments: arguments[1]


def _shown_once(_right: Any) -> Any:
    """Show all words of questions, whatever is declared."""
    return lambda *_arguments: "everything"


FAULTS: Final = (
    Fault("arrange", "readings ignored", _ignored(readings=None), "readings"),
    Fault("arrange", "a fourth reading where three are declared", _ignored(readings=4), "readings"),
    Fault("arrange", "a third reading of the first question only",
          changed(readings.Readings, "_more", _first_question_only), "readings"),
    Fault("arrange", "no further reading of passages",
          changed(readings.Readings, "passage", _as_it_was), "readings"),
    Fault("arrange", "no further reading of dictations",
          changed(readings.Readings, "dictation", _as_it_was), "readings"),
    Fault("arrange", "no further reading by patterns",
          changed(readings.Readings, "by_pattern", _as_it_was),
          "readings"),
    Fault("arrange", "look times ignored", _ignored(look_time=None), "look"),
    Fault("arrange", "look times halved",
          _ignored(look_time=LookTimes(Fraction(4), Fraction(1))), "look"),
    Fault("arrange", "look times before questions dropped",
          _ignored(look_time=LookTimes(Fraction(6))), "look"),
    Fault("arrange", "parts not left out", _ignored(leave_out=()), "leave"),
    Fault("arrange", "another part left out", _ignored(leave_out=("Third",)), "leave"),
    Fault("arrange", "page turns of large print ignored",
          changed(apply, "insert_page_turns", lambda _: lambda script, *_more: script), "large"),
    Fault("arrange", "rest breaks ignored", _ignored(rest_breaks=None), "breaks"),
    Fault("arrange", "a rest break after another question",
          changed(apply, "insert_breaks", _moved_break), "breaks"),
    Fault("arrange", "rest breaks held for half their time",
          changed(rest_breaks, "HOLD_S", lambda _: Fraction(10)), "breaks"),
    Fault("arrange", "words of a rest break lost",
          changed(rest_breaks, "_stop", lambda right: lambda script, _words, place: right(
              script, "Now.", place)), "breaks"),
    Fault("arrange", "rest breaks by time ignored", _ignored(rest_breaks=None), "timed"),
    Fault("arrange", "rest breaks by time three times as often",
          changed(rest_breaks, "_last_ends", _every(Fraction(1, 3))), "timed"),
    Fault("arrange", "rest breaks by time half as often",
          changed(rest_breaks, "_last_ends", _every(Fraction(2))), "timed"),
    Fault("arrange", "one rest break by time too few",
          changed(rest_breaks, "_last_ends", after(lambda places: {min(places, key=str)})),
          "timed"),
    Fault("arrange", "rest breaks by time held for half their time",
          changed(rest_breaks, "HOLD_S", lambda _: Fraction(10)), "timed"),
    Fault("arrange", "words of a rest break by time lost",
          changed(rest_breaks, "_stop", lambda right: lambda script, _words, place: right(
              script, "Now.", place)), "timed"),
    Fault("arrange", "pauses ignored", _pauses(sentence_s=None, clause_s=None), "pauses"),
    Fault("arrange", "pauses halved",
          _pauses(sentence_s=Fraction(6, 10), clause_s=Fraction(35, 100)), "pauses"),
    Fault("arrange", "pauses between sentences only", _pauses(clause_s=None), "pauses"),
    Fault("arrange", "a mark beside a figure forgotten",
          changed(arrangement_words, "_stretches",
                  lambda right: lambda clauses: right(
                      () if any("14" in c.written for c in clauses) else clauses)), "pauses"),
    Fault("arrange", "no pauses in patterns",
          changed(ArrangementWords, "pattern",
                  lambda _: lambda self, q: super(ArrangementWords, self).pattern(q)), "pauses"),
    Fault("arrange", "loudness ignored", _ignored(loudness=None), "loud"),
    Fault("arrange", "loudness of half the way", _ignored(loudness="-20 LUFS"), "loud"),
    Fault("arrange", "captions: nothing ignored", _ignored(captions=None), "nothing"),
    Fault("arrange", "captions: everything ignored", _ignored(captions=None), "everything"),
    Fault("arrange", "questions shown in the captions of another arrangement",
          changed(_Arranger, "_captions", _shown_once), "look"),
    Fault("arrange", "pace ignored in words", _words(pace=None), "slow"),
    Fault("arrange", "pace of 90 % where 80 % is declared", _words(pace=Fraction(9, 10)), "slow"),
    Fault("arrange", "pace ignored in recordings",
          changed(_Arranger, "_paced", _as_it_was), "slow"),
    Fault("arrange", "voice ignored", changed(_Arranger, "_speech", _as_it_was), "voice"),
    Fault("arrange", "instructions not restated",
          changed(versions, "restate_instructions", _same_statements), "readings"),
    Fault("arrange", "times not restated",
          changed(versions, "restate_instructions", _same_statements), "quarter"),
    Fault("arrange", "counts not restated", changed(restate._Restater, "_worded", _only_times),
          "readings"),
    Fault("arrange", "extra time not announced",
          changed(ArrangementWords, "extra_line", giving(())), "end"),
)  # fmt: skip
