"""From a matched track to findings: what is missing, extra, too short, too long or unlike."""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.judge.same_words import SameWords, length_s_of, same_take_s
from pausewright.checker.judge.silence_findings import judged_silences
from pausewright.checker.limits.times import TONE_TOLERANCE_S
from pausewright.checker.result.findings import BUILD, LISTEN, Finding
from pausewright.checker.result.items import name_of
from pausewright.checker.result.naming import role_name, where_of
from pausewright.script.silences import silence_name
from pausewright.wording.line_elements import ToneCue

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
        self._same_take_s = same_take_s(matching, is_exact=is_exact)

    def findings(self) -> list[Finding]:
        """Return all findings, in no particular order."""
        return [
            *self._missing(),
            *self._ends_early(),
            *self._extra(),
            *judged_silences(self._matching.silences, self._rate_hz),
            *self._tones(),
            *SameWords(
                self._expectation, self._matching, self._rate_hz, self._same_take_s
            ).findings(),
        ]

    def _s(self, frames: int) -> Fraction:
        return Fraction(frames, self._rate_hz)

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
            span = self._matching.heard[i]
            length_s = length_s_of(self._matching, i, self._rate_hz)
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


def is_read(sound: ExpectedSound) -> bool:
    """Return whether a sound is what its question's readings consist of."""
    return sound.reading > 0 and sound.role != "announcement"


def _holds(silence: MeasuredSilence, start: int, end: int) -> bool:
    """Return whether an interrupted silence lies around the frames `start` to `end`."""
    if silence.state != "interrupted" or silence.at_frame is None or silence.n_frames is None:
        return False
    return silence.at_frame <= start and end <= silence.at_frame + silence.n_frames
