"""Words that should be one take wherever they are said, but are not equally long."""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.expect.expected import CONTENT
from pausewright.checker.limits.times import SAME_TAKE_IN_NOISE_S, SAME_TAKE_S
from pausewright.checker.result.findings import LISTEN, Finding
from pausewright.checker.result.items import name_of
from pausewright.checker.result.naming import role_name, where_of
from pausewright.frozen import frozen
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.match.match import Matching


def length_s_of(matching: Matching, i: int, rate_hz: int) -> Fraction | None:
    """Return how long a sound is; None if it was not found alone."""
    span = matching.heard[i]
    if span is None or not matching.alone[i]:
        return None
    return Fraction(span[1] - span[0], rate_hz)


def same_take_s(matching: Matching, *, is_exact: bool) -> Fraction:
    """Return what two copies of one take may differ by in length: more where noise hides ends."""
    if not matching.tolerance.in_noise:
        return SAME_TAKE_S[is_exact]
    return SAME_TAKE_IN_NOISE_S


@frozen
class SameWords:
    """What is said in the same words on one matched track."""

    expectation: Expectation
    matching: Matching
    rate_hz: int
    same_take_s: Fraction
    """What two copies of one take may differ by in length."""

    def findings(self) -> Iterator[Finding]:
        """Yield the findings about words that are not as long as elsewhere."""
        yield from self._readings_differ()
        yield from self._run_together_differs()

    def _s(self, frames: int) -> Fraction:
        return Fraction(frames, self.rate_hz)

    def _readings_differ(self) -> Iterator[Finding]:
        """Find words that should be one take wherever they are said but differ in length.

        Readings of a question, and whatever else is said in the same words: announcements, cues.
        Of two the first is what the other is held against, of more the middle one.
        """
        takes: dict[object, list[int]] = defaultdict(list)
        for i, sound in enumerate(self.expectation.sounds):
            if length_s_of(self.matching, i, self.rate_hz) is None:
                continue
            if isinstance(sound.element, Utterance) or sound.role in CONTENT:
                takes[self._take_of(i)].append(i)
        for members in takes.values():
            lengths = [
                (length_s_of(self.matching, i, self.rate_hz) or Fraction(0), i) for i in members
            ]
            is_two = len(lengths) == 2
            usual_s = lengths[0][0] if is_two else sorted(lengths)[len(lengths) // 2][0]
            for length_s, i in lengths:
                if abs(length_s - usual_s) > self.same_take_s:
                    yield self._other_length(i, length_s, usual_s, self.same_take_s, is_two=is_two)

    def _run_together_differs(self) -> Iterator[Finding]:
        """Find sounds with nothing between them that are not as long as where they stand apart.

        Then the words differ, and not only their silence: without it, or with noise in its place,
        they are as long as elsewhere.
        """
        for members in self._run_together():
            apart = self._apart_elsewhere(members)
            span = self.matching.heard[members[0]]
            if not apart or span is None:
                continue
            length_s = self._s(span[1] - span[0])
            spans = [one for i in apart if (one := self.matching.heard[i]) is not None]
            whole_s = self._s(spans[-1][1] - spans[0][0])
            without_s = sum((self._s(end - start) for start, end in spans), Fraction(0))
            within_s = len(members) * self.same_take_s
            if all(abs(length_s - usual_s) > within_s for usual_s in (whole_s, without_s)):
                yield self._other_length(members[0], length_s, without_s, within_s, is_two=True)

    def _run_together(self) -> list[list[int]]:
        """Return the sounds that were heard as one stretch, run by run."""
        runs: list[list[int]] = []
        heard = self.matching.heard
        for i, span in enumerate(heard):
            if span is None or self.matching.alone[i]:
                continue
            if runs and runs[-1][-1] == i - 1 and heard[i - 1] == span:
                runs[-1].append(i)
            else:
                runs.append([i])
        return [members for members in runs if len(members) > 1]

    def _apart_elsewhere(self, members: list[int]) -> list[int]:
        """Return where sounds of the same words in the same order stand apart; [] if nowhere."""
        sounds = self.expectation.sounds
        words = [self._take_of(i) for i in members]
        for start in range(len(sounds) - len(members) + 1):
            there = list(range(start, start + len(members)))
            if all(self.matching.alone[i] for i in there) and words == [
                self._take_of(i) for i in there
            ]:
                return there
        return []

    def _take_of(self, i: int) -> object:
        """Return what two copies of one take have in common."""
        sound = self.expectation.sounds[i]
        if isinstance(sound.element, Utterance):
            return sound.element.spoken, sound.element.speech
        return sound.block, sound.place

    def _other_length(
        self, i: int, length_s: Fraction, usual_s: Fraction, allowed_s: Fraction, *, is_two: bool
    ) -> Finding:
        sound, span = self.expectation.sounds[i], self.matching.heard[i]
        if sound.reading and sound.role in CONTENT:
            sentence = (
                f"reading {sound.reading} of {name_of(sound.question)} is not as long as the "
                f"{'first' if is_two else 'others'}, though it has the same words"
            )
        else:
            sentence = (
                f"{role_name(sound)}{where_of(sound)} is not as long as elsewhere on the track, "
                "though it has the same words"
            )
        return Finding(
            "readings-differ",
            "error",
            sentence,
            LISTEN,
            at_s=None if span is None else self._s(span[0]),
            question=sound.question,
            place=sound.place,
            expected=usual_s,
            measured=length_s,
            difference=length_s - usual_s,
            allowed=allowed_s,
            unit="s",
        )
