"""From a matched track to findings: what is missing, extra, too short, too long or unlike."""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.expect.expected import CONTENT
from pausewright.checker.judge.silence_findings import judged_silences
from pausewright.checker.limits.times import SAME_TAKE_IN_NOISE_S, SAME_TAKE_S, TONE_TOLERANCE_S
from pausewright.checker.result.findings import BUILD, LISTEN, Finding
from pausewright.checker.result.items import name_of
from pausewright.checker.result.naming import role_name, where_of
from pausewright.script.silences import silence_name
from pausewright.wording.line_elements import ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.checker.expect.expected import Expectation, ExpectedSound, Unit
    from pausewright.checker.match.match import Matching
    from pausewright.checker.match.measured import Extra, MeasuredSilence

ENDS_EARLY = "track-ends-early"


class Judge:
    """The findings about order, count and silences of one matched track."""

    def __init__(
        self, expectation: Expectation, matching: Matching, rate_hz: int, *, is_exact: bool
    ) -> None:
        """Keep what is judged; `is_exact` tells a file without lossy compression."""
        self._expectation = expectation
        self._matching = matching
        self._rate_hz = rate_hz
        self._same_take_s = _same_take_s(matching, is_exact=is_exact)

    def findings(self) -> list[Finding]:
        """Return all findings, in no particular order."""
        return [
            *self._missing(),
            *self._ends_early(),
            *self._extra(),
            *judged_silences(self._matching.silences, self._rate_hz),
            *self._tones(),
            *self._readings_differ(),
            *self._run_together_differs(),
        ]

    def _s(self, frames: int) -> Fraction:
        return Fraction(frames, self._rate_hz)

    def _length_s(self, i: int) -> Fraction | None:
        span = self._matching.heard[i]
        if span is None or not self._matching.alone[i]:
            return None
        return self._s(span[1] - span[0])

    # ---- order and count --------------------------------------------------------------------

    def _missing(self) -> Iterator[Finding]:
        units: dict[Unit, list[int]] = defaultdict(list)
        for i, sound in enumerate(self._expectation.sounds):
            units[sound.unit].append(i)
        in_rows = {row.unit for row in self._expectation.rows}
        for unit, members in units.items():
            lost = [i for i in members if self._matching.heard[i] is None]
            if not lost:
                continue
            if unit in in_rows:
                yield from self._missing_in_question(members, lost)
            else:
                for i in lost:
                    yield self._lost(i, "sound-missing")

    def _missing_in_question(self, members: list[int], lost: list[int]) -> Iterator[Finding]:
        sounds = self._expectation.sounds
        name = name_of(sounds[members[0]].question)
        if lost == members:
            sentence = f"{name} is not on the track{self._or_others(sounds[members[0]].unit)}"
            yield self._lost(lost[0], "question-missing", sentence)
            return
        readings: dict[int, list[int]] = defaultdict(list)
        for i in members:
            if is_read(sounds[i]):
                readings[sounds[i].reading].append(i)
        in_lost_readings: set[int] = set()
        for reading, content in readings.items():
            if all(i in lost for i in content):
                in_lost_readings.update(i for i in lost if sounds[i].reading == reading)
                sentence = f"reading {reading} of {name} is not on the track"
                yield self._lost(content[0], "reading-missing", sentence)
        for i in lost:
            if i not in in_lost_readings:
                is_announced = sounds[i].role == "announcement"
                yield self._lost(i, "announcement-missing" if is_announced else "sound-missing")

    def _or_others(self, unit: Unit) -> str:
        """Return which questions may be missing in place of one; "" if only that one can be."""
        others = [item for _, item in self._matching.alike if item is not None]
        if unit not in self._matching.alike or len(others) < 2:
            return ""
        named = ", ".join(item.name for item in others if item != unit[1])
        return f" (or one that is as long, by length alone it cannot be told: {named})"

    def _ends_early(self) -> Iterator[Finding]:
        """Find a track that stops before the test does."""
        heard = self._matching.heard
        sounds = self._expectation.sounds
        n_heard = max((i + 1 for i, span in enumerate(heard) if span is not None), default=0)
        is_followed = any(extra.after_sound + 1 >= n_heard for extra in self._matching.extras)
        if not 0 < n_heard < len(sounds) or is_followed:
            return
        sound, span, following = sounds[n_heard - 1], heard[n_heard - 1], sounds[n_heard]
        where = ""
        if sound.question or following.question:
            where = f" {'in' if sound.question else 'before'} "
            where += name_of(sound.question or following.question)
        yield Finding(
            ENDS_EARLY,
            "error",
            f"the track ends early{where}: {len(sounds) - n_heard} of the {len(sounds)} sounds of "
            "the script should follow there",
            BUILD,
            at_s=self._s(span[1]) if span else None,
            question=sound.question or following.question,
            place=following.place,
        )

    def _lost(self, i: int, code: str, sentence: str = "") -> Finding:
        sound = self._expectation.sounds[i]
        sentence = sentence or f"{role_name(sound)}{where_of(sound)} is not on the track"
        before = [span for span in self._matching.heard[:i] if span is not None]
        at_s = self._s(before[-1][1]) if before else Fraction(0)
        return Finding(
            code,
            "error",
            sentence,
            BUILD,
            at_s=at_s,
            question=sound.question,
            place=sound.place,
        )

    def _extra(self) -> Iterator[Finding]:
        sounds = self._expectation.sounds
        for extra in self._matching.extras:
            start, end = extra.stretches[0][0], extra.stretches[-1][1]
            near = [i for i in (extra.after_sound, extra.after_sound + 1) if 0 <= i < len(sounds)]
            sound = sounds[extra.after_sound] if extra.after_sound >= 0 else None
            inside = next((s for s in self._matching.silences if _holds(s, start, end)), None)
            repeated = next((sounds[i] for i in near if self._is_repeated(extra, sounds[i])), None)
            if repeated is not None:
                sound = repeated
                code = "reading-repeated"
                name = name_of(sound.question)
                sentence = f"{name}, or a part of it, is read once more than the script says"
            elif inside is not None:
                code = "sound-in-silence"
                name = silence_name(inside.expected.kind)
                sentence = f"there is a sound in the {name}{where_of(inside.expected)}"
            else:
                code = "sound-extra"
                behind = f" after {role_name(sound)}{where_of(sound)}" if sound else ""
                sentence = f"there is a sound that the script does not have{behind}"
            yield Finding(
                code,
                "error",
                sentence,
                LISTEN,
                at_s=self._s(start),
                question=sound.question if sound else None,
                place=sound.place if sound else None,
                measured=self._s(end - start),
                unit="s",
            )

    def _is_repeated(self, extra: Extra, near: ExpectedSound) -> bool:
        """Return whether extra stretches are as long as some in a row of a question beside them."""
        if not near.question:
            return False
        known: list[int] = []
        for i, sound in enumerate(self._expectation.sounds):
            if sound.unit == near.unit:
                known += [end - start for start, end in self._matching.parts[i]]
        lengths = [end - start for start, end in extra.stretches]
        within = float(self._same_take_s * self._rate_hz)
        return any(
            all(abs(x - y) <= within for x, y in zip(lengths, known[k:], strict=False))
            for k in range(len(known) - len(lengths) + 1)
        )

    # ---- lengths that are known -------------------------------------------------------------

    def _tones(self) -> Iterator[Finding]:
        allowed_s = max(TONE_TOLERANCE_S, self._matching.tolerance.hidden_s)
        for i, sound in enumerate(self._expectation.sounds):
            length_s, span = self._length_s(i), self._matching.heard[i]
            if not isinstance(sound.element, ToneCue) or length_s is None or span is None:
                continue
            difference_s = length_s - sound.element.spec.tone_s
            if abs(difference_s) > allowed_s:
                yield Finding(
                    "tone-differs",
                    "error",
                    "a sound that should be a tone does not have its length",
                    LISTEN,
                    at_s=self._s(span[0]),
                    question=sound.question,
                    place=sound.place,
                    expected=sound.element.spec.tone_s,
                    measured=length_s,
                    difference=difference_s,
                    allowed=allowed_s,
                    unit="s",
                )

    def _readings_differ(self) -> Iterator[Finding]:
        """Find words that should be one take wherever they are said but differ in length.

        Readings of a question, and whatever else is said in the same words: announcements, cues.
        Of two the first is what the other is held against, of more the middle one.
        """
        takes: dict[tuple[object, ...], list[int]] = defaultdict(list)
        for i, sound in enumerate(self._expectation.sounds):
            if self._length_s(i) is None:
                continue
            if isinstance(sound.element, Utterance):
                takes[sound.element.spoken, sound.element.speech].append(i)
            elif sound.role in CONTENT:
                takes[sound.block, sound.place].append(i)
        for members in takes.values():
            lengths = [(self._length_s(i) or Fraction(0), i) for i in members]
            is_two = len(lengths) == 2
            usual_s = lengths[0][0] if is_two else sorted(lengths)[len(lengths) // 2][0]
            for length_s, i in lengths:
                if abs(length_s - usual_s) > self._same_take_s:
                    yield self._other_length(i, length_s, usual_s, is_two=is_two)

    def _run_together_differs(self) -> Iterator[Finding]:
        """Find sounds with nothing between them that are not as long as where they stand apart.

        Then the words differ, and not only their silence: without it, or with noise in its place,
        they are as long as elsewhere.
        """
        for members in self._run_together():
            apart = self._apart_elsewhere(members)
            span = self._matching.heard[members[0]]
            if not apart or span is None:
                continue
            length_s = self._s(span[1] - span[0])
            spans = [one for i in apart if (one := self._matching.heard[i]) is not None]
            whole_s = self._s(spans[-1][1] - spans[0][0])
            without_s = sum((self._s(end - start) for start, end in spans), Fraction(0))
            within_s = len(members) * self._same_take_s
            if all(abs(length_s - usual_s) > within_s for usual_s in (whole_s, without_s)):
                yield self._other_length(members[0], length_s, without_s, is_two=True)

    def _run_together(self) -> list[list[int]]:
        """Return the sounds that were heard as one stretch, run by run."""
        runs: list[list[int]] = []
        heard = self._matching.heard
        for i, span in enumerate(heard):
            if span is None or self._matching.alone[i]:
                continue
            if runs and runs[-1][-1] == i - 1 and heard[i - 1] == span:
                runs[-1].append(i)
            else:
                runs.append([i])
        return [members for members in runs if len(members) > 1]

    def _apart_elsewhere(self, members: list[int]) -> list[int]:
        """Return where sounds of the same words in the same order stand apart; [] if nowhere."""
        sounds = self._expectation.sounds
        words = [self._take_of(i) for i in members]
        for start in range(len(sounds) - len(members) + 1):
            there = list(range(start, start + len(members)))
            if all(self._matching.alone[i] for i in there) and words == [
                self._take_of(i) for i in there
            ]:
                return there
        return []

    def _take_of(self, i: int) -> object:
        """Return what two copies of one take have in common."""
        element = self._expectation.sounds[i].element
        return (element.spoken, element.speech) if isinstance(element, Utterance) else element

    def _other_length(
        self, i: int, length_s: Fraction, usual_s: Fraction, *, is_two: bool
    ) -> Finding:
        sound, span = self._expectation.sounds[i], self._matching.heard[i]
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
            allowed=self._same_take_s,
            unit="s",
        )


def _same_take_s(matching: Matching, *, is_exact: bool) -> Fraction:
    """Return what two copies of one take may differ by in length: more where noise hides ends."""
    if not matching.tolerance.in_noise:
        return SAME_TAKE_S[is_exact]
    return SAME_TAKE_IN_NOISE_S


def is_read(sound: ExpectedSound) -> bool:
    """Return whether a sound is what its question's readings consist of."""
    return sound.reading > 0 and sound.role != "announcement"


def _holds(silence: MeasuredSilence, start: int, end: int) -> bool:
    """Return whether an interrupted silence lies around the frames `start` to `end`."""
    if silence.state != "interrupted" or silence.at_frame is None or silence.n_frames is None:
        return False
    return silence.at_frame <= start and end <= silence.at_frame + silence.n_frames
