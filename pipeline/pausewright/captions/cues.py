"""Cues: which words stand on the screen, and when."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Final, TypeAlias

from pausewright.captions.breaks import broken
from pausewright.captions.caption_profiles import ADULT, HANG_S, CaptionProfile
from pausewright.captions.countdown_cues import left_over_time
from pausewright.captions.word_times import WordTime, shown_times
from pausewright.frozen import frozen
from pausewright.plan.clock import Clock
from pausewright.plan.timeline import Say, Wait
from pausewright.script.silences import AUTHORS
from pausewright.wording.line_elements import Excerpt, ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.plan.timeline import Placed, Questions, Timeline
    from pausewright.problems import Place
    from pausewright.script.model import Sound

    WordTimes: TypeAlias = Callable[[Utterance | Excerpt], Sequence[WordTime]]
    """The times of the spoken words of an utterance or a recording; empty where nothing tells."""
    HeardAt: TypeAlias = Callable[[Sound, Fraction], Fraction]
    """When a second of a recording's file is heard, in seconds from the start of its sound."""

_SHORTEST_FIRST_LINE: Final = 12
_PAUSE_S: Final = Fraction(8, 10)
"""A pause inside a recording through which no cue stands."""
"""Room for words beside a speaker's name, however long the name."""

_BLANKS: Final = re.compile(r"[ \t\r\n\f\v\x1c-\x1f\x85\u2028\u2029]+")
"""Where a line may break. No-break spaces are not among them."""


@frozen
class Cue:
    """Words and their time: the half-open range [start_ms, end_ms), never empty."""

    identifier: str
    """Unique in the track."""
    start_ms: int
    end_ms: int
    lines: tuple[str, ...]
    """Plain text; at least one line, none empty, without line ends."""
    speaker: str = ""
    named: bool = False
    """Whether a writer of plain text should put the speaker's name before the words: the first
    cue of a speaker's words."""
    question: Questions | None = None
    reading: int = 0
    spoken_until_ms: int = 0
    """When its last word ends; `end_ms` may be later, for slower readers."""
    place: Place | None = None
    """Where its words stand in the script."""

    @property
    def n_words(self) -> int:
        """How many words are to be read, the speaker's name included (DCMP-02)."""
        label = self.speaker if self.named else ""
        return len(" ".join((label, *self.lines)).split())


def cues(
    timeline: Timeline,
    *,
    profile: CaptionProfile = ADULT,
    word_times: WordTimes | None = None,
    countdown: str = "",
    heard_at: HeardAt | None = None,
) -> tuple[Cue, ...]:
    """Return the cues of all sounds whose words may be shown, in order, and of the countdown.

    A cue begins with its first word and ends with its last. Words that need more lines than the
    profile has become several cues, broken at sense, one after the other without a hole; where
    the times of the words are not known they share their sound by their numbers of characters. A
    word longer than a line is not broken. A recorded sound has cues if its words are declared: its
    own where a caption file was supplied with it, in their own lines; a tone has none.

    A cue stays longer where the profile's reader needs it or the gap to the next cue is to be
    closed: into the author's pauses, for 1.5 s at most, never into a silence of the candidates
    and never over the next sound.

    Samples become milliseconds once, to the nearest, halves up.

    `countdown` is what counts down each answer time, with the field {time}; "" for no countdown.
    It tells no words, so it does not depend on what captions may show. `heard_at` tells where
    places of a recording's file are on the track; None: its file begins with its sound.
    """
    clock = Clock(timeline.rate_hz)
    found: list[Cue] = []
    for index, placed in enumerate(timeline.placed):
        step = placed.step
        if isinstance(step, Wait) and countdown:
            found += [
                Cue(str(len(found) + at), start_ms, end_ms, (text,), question=step.question)
                for at, (start_ms, end_ms, text) in enumerate(
                    left_over_time(timeline, index, countdown, profile), 1
                )
            ]
        if not isinstance(step, Say) or not (words := _words(step)):
            continue
        times: Sequence[WordTime] = ()
        if word_times is not None and not isinstance(step.element, ToneCue):
            times = word_times(step.element)
        if isinstance(step.element, Excerpt) and step.element.sound.cues:
            made = _supplied(placed, step, step.element, clock, heard_at, len(found) + 1)
        else:
            made = _cues_of(placed, step, words, times, profile, clock, len(found) + 1)
        until, followed = _after(timeline, index)
        last = _held(made[-1], clock.milliseconds(until), profile, followed=followed)
        found += [*made[:-1], last]
    return tuple(found)


def _after(timeline: Timeline, index: int) -> tuple[int, bool]:
    """Return the sample up to which a cue may stay, and whether another cue follows there."""
    until = timeline.placed[index].end_sample
    for placed in timeline.placed[index + 1 :]:
        if isinstance(placed.step, Say):
            return until, bool(_words(placed.step))
        if isinstance(placed.step, Wait):
            if placed.step.kind not in AUTHORS:
                break
            until = placed.end_sample
    return until, False


def _held(cue: Cue, free_until_ms: int, profile: CaptionProfile, *, followed: bool) -> Cue:
    """Return a cue that stays for its reader, and to the next cue if that comes soon."""
    latest_ms = min(free_until_ms, cue.end_ms + int(1000 * HANG_S))
    needed_ms = int(-(-1000 * profile.needed_s(cue.n_words) // 1))
    end_ms = min(max(cue.end_ms, cue.start_ms + needed_ms), latest_ms)
    if followed and free_until_ms - end_ms < 1000 * profile.closed_below_s:
        end_ms = latest_ms
    return replace(cue, end_ms=max(cue.end_ms, end_ms))


def shown_text(step: Say) -> str:
    """Return what candidates may see of a sound: "" for a tone and for what is withheld."""
    element = step.element
    if isinstance(element, Utterance):
        return element.caption(
            block_is_shown=step.captioned, is_instruction=step.role not in {"question", "passage"}
        )
    if isinstance(element, Excerpt) and step.captioned:
        return element.sound.words or ""
    return ""


def _words(step: Say) -> list[str]:
    """Return the words to show, none for a tone or a recording without declared words."""
    text = shown_text(step)
    return [word for word in _BLANKS.split(text.replace("\0", "\ufffd")) if word]


def shown_speaker(step: Say) -> str:
    """Return who says it, as declared on the turn or on the recording; "" if nobody is named."""
    if not step.speaker and isinstance(step.element, Excerpt):
        return step.element.sound.speaker or ""
    return step.speaker


def _supplied(
    placed: Placed,
    step: Say,
    element: Excerpt,
    clock: Clock,
    heard_at: HeardAt | None,
    first_number: int,
) -> list[Cue]:
    """Return the captions of a recording where it is heard, within its sound, one by one."""
    speaker = shown_speaker(step)
    start_ms = clock.milliseconds(placed.start_sample)
    end_ms = clock.milliseconds(placed.end_sample)

    def at_ms(file_s: Fraction, least_ms: int, most_ms: int) -> int:
        heard_s = heard_at(element.sound, file_s) if heard_at else file_s
        exact_ms = 1000 * (clock.seconds(placed.start_sample) + heard_s)
        return max(least_ms, min(most_ms, math.floor(exact_ms + Fraction(1, 2))))

    found: list[Cue] = []
    for at, cue in enumerate(element.sound.cues):
        n_after = len(element.sound.cues) - at
        from_ms = at_ms(cue.start_s, found[-1].end_ms if found else start_ms, end_ms - n_after)
        until_ms = at_ms(cue.end_s, from_ms + 1, max(from_ms + 1, end_ms - n_after + 1))
        found.append(
            Cue(
                str(first_number + at),
                from_ms,
                until_ms,
                cue.lines,
                speaker,
                named=bool(speaker) and at == 0,
                question=step.question,
                reading=step.reading,
                spoken_until_ms=until_ms,
                place=element.place,
            )
        )
    return found


def _cues_of(
    placed: Placed,
    step: Say,
    words: Sequence[str],
    times: Sequence[WordTime],
    profile: CaptionProfile,
    clock: Clock,
    first_number: int,
) -> list[Cue]:
    speaker = shown_speaker(step)
    start_ms = clock.milliseconds(placed.start_sample)
    end_ms = max(clock.milliseconds(placed.end_sample), start_ms + 1)
    width = profile.line_characters
    n_label = min(len(speaker) + 2, max(width - _SHORTEST_FIRST_LINE, 0)) if speaker else 0
    heard = shown_times(words, times, placed.end_sample - placed.start_sample)
    is_recorded = isinstance(step.element, Excerpt) and bool(times)
    parts = _between_pauses(heard, clock) if is_recorded else [(0, len(words))]
    pages: list[list[list[int]]] = []
    for first, last in parts:
        label = n_label if first == 0 else 0
        part = words[first:last]
        rows = broken(part, line_characters=width, n_lines=profile.lines, n_label=label)
        pages += [[[first + i for i in line] for line in page] for page in rows]
    most = end_ms - start_ms
    if len(pages) > most:  # more cues than milliseconds: nothing is lost, lines are
        rest = [line for page in pages[most - 1 :] for line in page]
        pages = [*pages[: most - 1], rest]
    begun = {first for first, _ in parts}
    found: list[Cue] = []
    from_ms = start_ms
    for at, page in enumerate(pages):
        n_after = len(pages) - 1 - at
        until_ms = next_ms = end_ms
        if n_after:
            first = pages[at + 1][0][0]
            starts_ms = clock.milliseconds(placed.start_sample + heard[first][0])
            next_ms = until_ms = min(max(starts_ms, from_ms + 1), end_ms - n_after)
            if first in begun:  # a pause: the cue does not stand through it
                ended_ms = clock.milliseconds(placed.start_sample + heard[first - 1][1])
                needed_ms = math.ceil(1000 * profile.needed_s(sum(map(len, page))))
                latest_ms = min(next_ms, ended_ms + int(1000 * HANG_S))
                until_ms = max(from_ms + 1, min(max(ended_ms, from_ms + needed_ms), latest_ms))
        found.append(
            Cue(
                str(first_number + at),
                from_ms,
                until_ms,
                tuple(" ".join(words[i] for i in line) for line in page),
                speaker,
                named=bool(speaker) and at == 0,
                question=step.question,
                reading=step.reading,
                spoken_until_ms=until_ms,
                place=step.element.place,
            )
        )
        from_ms = next_ms
    return found


def _between_pauses(heard: Sequence[tuple[int, int]], clock: Clock) -> list[tuple[int, int]]:
    """Return the half-open ranges of words that are said without a long pause between them."""
    borders = [
        k for k in range(1, len(heard)) if clock.seconds(heard[k][0] - heard[k - 1][1]) >= _PAUSE_S
    ]
    return list(pairwise([0, *borders, len(heard)]))


def too_fast(cue: Cue, profile: CaptionProfile) -> Fraction | None:
    """Return the share of its pace at which a cue could be read, or None if it can be.

    With 2/3 a sentence spoken at two thirds of its pace, or with a pause of half its length more,
    would be slow enough.
    """
    there_ms = cue.end_ms - cue.start_ms
    needed_s = cue.n_words * max(profile.word_s, Fraction(60, profile.most_wpm))
    needed_s = min(max(needed_s, profile.shortest_s), profile.longest_s)
    share = Fraction(there_ms, 1000) / needed_s
    return None if there_ms >= 1000 * needed_s - 1 else share
