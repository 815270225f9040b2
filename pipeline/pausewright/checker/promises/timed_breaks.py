"""Rest breaks by time: where they are heard, and whether they belong there.

Read from docs/arrangements.md ("Rest breaks"): a stop at the end of the last question before the
time is over, what a question takes reckoned with some room. Which question that is depends on a
reckoning, so what is heard is judged: a break stands after a whole question, and not where the next
one would have ended in time too. That none comes too late is measured elsewhere
(`rest-break-late`).
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.arrange.arrangement import Share
from pausewright.checker.limits.times import BREAK_EARLY_SHARE, BREAK_EARLY_SHARE_PARTS
from pausewright.checker.promises.differences import Difference
from pausewright.checker.result.items import Asked, name_of
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.checker.expect.expected import Expectation, ExpectedSilence
    from pausewright.checker.match.match import Matching
    from pausewright.checker.promises.promise import Promise
    from pausewright.checker.promises.track_walk import Occurrence
    from pausewright.checker.result.items import Item
    from pausewright.problems import Place


def breaks_heard_after(promise: Promise, expectation: Expectation) -> frozenset[Occurrence]:
    """Return after which items breaks by time are on the track; nothing if none are declared."""
    place = promise.timed_breaks_at
    heard: set[Occurrence] = set()
    n_ended: Counter[Item] = Counter()
    last: tuple[Item, int] | None = None
    for sound, silence in zip(expectation.sounds, expectation.silences, strict=False):
        if last is not None and place is not None and _is_hold_at(silence, place):
            heard.add((last[0], n_ended[last[0]] + 1))
        if sound.question is not None:
            if last is not None and last[1] != sound.block:
                n_ended[last[0]] += 1  # a block is called by the item that ends it
            last = (sound.question, sound.block)
    return frozenset(heard)


class TimedBreaks:
    """Judges where the breaks of one track are."""

    def __init__(
        self, promise: Promise, expectation: Expectation, matching: Matching, rate_hz: int
    ) -> None:
        """Keep what was asked and what was heard."""
        self._promise = promise
        self._sounds = expectation.sounds
        self._silences = expectation.silences
        self._spans = matching.heard
        self._rate_hz = rate_hz

    def differences(self) -> Iterator[Difference]:
        """Give each break that lies inside an item, or where there was time for the next one."""
        place, breaks = self._promise.timed_breaks_at, self._promise.arrangement.rest_breaks
        if place is None or breaks is None or breaks.every_s is None:
            return
        since = 0
        for i, silence in enumerate(self._silences):
            if not _is_stop(silence):
                continue
            if _is_hold_at(silence, place):
                yield from self._judged(since, i, breaks.every_s)
            since = i

    def _judged(self, since: int, at: int, every_s: Fraction) -> Iterator[Difference]:
        """Judge the break that is the silence `at`; its stretch begins behind silence `since`.

        Silence n lies before sound n.
        """
        place = self._promise.timed_breaks_at
        before = next((s for s in self._sounds[at - 1 :: -1] if s.question), None)
        span = self._spans[at - 1]
        at_s = None if span is None else Fraction(span[1], self._rate_hz)
        if before is None:
            return
        item = before.question
        if any(sound.question and sound.block == before.block for sound in self._sounds[at:]):
            yield Difference(
                "promise-rest-breaks", "rest-breaks",
                f"a rest break lies inside {name_of(item)}", place, item, at_s=at_s,
            )  # fmt: skip
            return
        end = self._end_of_next(at)
        if end is None:
            return  # extra time in one piece may follow, which is no question
        reckoned_s = self._reckoned_s(since, at) + self._reckoned_s(at, end)
        if reckoned_s * self._most_share(since, end) <= every_s:
            yield Difference(
                "promise-rest-breaks", "rest-breaks",
                f"a rest break comes after {name_of(item)}, though the next question would have "
                "ended in time", place, item, every_s, reckoned_s, "s", at_s,
            )  # fmt: skip

    def _end_of_next(self, at: int) -> int | None:
        """Return the index behind the last sound of the next question; None if there is none."""
        following: int | None = None
        for n in range(at, len(self._sounds)):
            item, block = self._sounds[n].question, self._sounds[n].block
            silence = self._silences[n]
            if n > at and _is_stop(silence):
                return None if following is None else n
            if isinstance(item, Asked) and (item.question.practice or item.manner != "in place"):
                continue
            if item is None or block == following:
                continue
            if following is not None:
                return n
            following = block
        return None if following is None else len(self._sounds)

    def _reckoned_s(self, start: int, end: int) -> Fraction:
        """Return how long sounds and the silences behind them take: as heard, or longer by words.

        A recorded voice may speak faster than the script's pace, by which breaks are placed.
        Breaks and stops themselves are left out.
        """
        extra = self._promise.arrangement.extra_time
        amount = None if extra is None else extra.amount
        share = amount.of_base if isinstance(amount, Share) else Fraction(0)
        pace_wpm = self._promise.script.settings.pace_wpm
        total_s = Fraction(0)
        for n in range(start, end):
            span, element = self._spans[n], self._sounds[n].element
            heard_s = Fraction(0) if span is None else Fraction(span[1] - span[0], self._rate_hz)
            if isinstance(element, Utterance):
                n_words = len(element.written.split())
                pace = pace_wpm * element.speech.arranged_pace
                heard_s = max(heard_s, Fraction(60 * n_words) / pace)
            total_s += heard_s
            after = self._silences[n + 1]
            total_s += Fraction(0) if _is_stop(after) else after.wait_s * (1 + share)
        return total_s

    def _most_share(self, start: int, end: int) -> Fraction:
        """Return by how much the builder may reckon more than the check."""
        sounds = self._sounds[start:end]
        has_parts = any(
            sound.role == "dictation"
            or (isinstance(sound.question, Asked) and sound.question.question.letter)
            for sound in sounds
        )
        return BREAK_EARLY_SHARE_PARTS if has_parts else BREAK_EARLY_SHARE


def _is_stop(silence: ExpectedSilence) -> bool:
    """Say whether a silence is that of a stop, and no wait by hand inside a question."""
    return silence.kind == "hold" and silence.question is None


def _is_hold_at(silence: ExpectedSilence, place: Place) -> bool:
    return silence.kind == "hold" and silence.place == place
