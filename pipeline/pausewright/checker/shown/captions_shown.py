"""What captions show, against what is heard: each cue inside its own speech, nothing withheld.

A cue is allowed by where its words come from, not by what they are: it must repeat words, in
order, of utterances that may be shown and that sound while it is on screen. A search for words
would accuse "B" and "7". Every word of a cue is so tied to one place of the script, and every
word that may be shown to at most one cue.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

from pausewright.checker.expect.expected import CONTENT
from pausewright.checker.limits.shown import EARLY_S, HANG_S, INTO_SILENCE_S, LATE_S, LATE_SHARE
from pausewright.checker.result.findings import CaptionRow, Finding
from pausewright.checker.result.naming import role_name, seconds, where_of
from pausewright.checker.shown.caption_reading import READERS, ReadCue, judge_reading, mean_wpm
from pausewright.checker.shown.recorded_words import word_places
from pausewright.frozen import frozen
from pausewright.script.silences import AUTHORS, SILENCES
from pausewright.wording.line_elements import Excerpt, ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.expect.expected import Expectation, ExpectedSound
    from pausewright.checker.match.match import Matching
    from pausewright.checker.shown.caption_readers import CaptionFile, Cue
    from pausewright.checker.shown.countdown import Countdown
    from pausewright.checker.shown.recorded_words import WordPlaces
    from pausewright.script.model import RecordedCue

ASKED = CONTENT | {"answer"}
"""Roles whose words ask, not instruct."""
NOT_AUTHORS = frozenset(SILENCES) - AUTHORS

Span: TypeAlias = tuple[Fraction, Fraction]
Word: TypeAlias = tuple[int, int]
"""Index of a sound, and of a word among those of it that are shown."""
REBUILD = "make the captions again from this track's script"


def judge_captions(
    name: str,
    captions: CaptionFile,
    expectation: Expectation,
    matching: Matching,
    rate_hz: int,
    readers: str = "adult",
    counts: Countdown | None = None,
) -> tuple[list[Finding], CaptionRow]:
    """Return the findings about one caption file, and its row in the report.

    `name` is how findings call it; `readers` a profile of `reading.READERS`; `counts` judges the
    countdown of answer times, None: there may be none.
    """
    findings = [
        Finding(
            "caption-form",
            "error",
            f"{name}, line {fault.line}: {fault.sentence}",
            "make the file again, or correct this line",
        )
        for fault in captions.faults
    ]
    shown = _Shown(name, expectation, matching, rate_hz)
    counted: list[Cue] = []
    for cue in captions.cues:
        if counts is not None and counts.is_count(cue) and not shown.is_heard(cue):
            counted.append(cue)
        else:
            findings += shown.judged(cue)
    if counts is not None:
        findings += counts.judged(name, counted)
    findings += _overlaps(name, captions.cues)
    findings += judge_reading(name, shown.read, READERS[readers])
    row = CaptionRow(name, len(captions.cues), mean_wpm(shown.read), readers)
    return [*findings, *shown.not_covered()], row


def _overlaps(name: str, cues: Sequence[Cue]) -> list[Finding]:
    """Return a warning for each cue that comes while an earlier one still stands."""
    findings = []
    until_ms = 0
    for cue in cues:
        if cue.start_ms < until_ms:
            findings.append(
                Finding(
                    "caption-overlap",
                    "warning",
                    f"{name}, line {cue.line}: an earlier caption still stands",
                    REBUILD,
                    at_s=Fraction(cue.start_ms, 1000),
                    measured=Fraction(until_ms - cue.start_ms, 1000),
                    allowed=Fraction(0),
                    unit="s",
                )
            )
        until_ms = max(until_ms, cue.end_ms)
    return findings


@frozen
class _Spoken:
    """The shown words of one sound, and where they are heard in it by their share of letters."""

    words: tuple[str, ...]
    before: tuple[int, ...]
    """Characters before each word, and all of them at the end; or milliseconds."""

    def at_s(self, k: int, span: Span) -> Fraction:
        """Return about when word `k` begins in a sound that is heard in `span`."""
        return span[0] + (span[1] - span[0]) * Fraction(self.before[k], self.before[-1])


class _Shown:
    def __init__(
        self, name: str, expectation: Expectation, matching: Matching, rate_hz: int
    ) -> None:
        self._name = name
        self._sounds = expectation.sounds
        self._silences = matching.silences
        self._alone = matching.alone
        # noise hides soft beginnings of words
        self._early_s = EARLY_S + matching.tolerance.hidden_s
        # places in thousandths of a frame: whole numbers, for comparing many
        self._rate_hz = rate_hz
        early = math.ceil(self._early_s * rate_hz * 1000)
        self._reach = [
            (i, span[0] * 1000 - early, span[1] * 1000)
            for i, span in enumerate(matching.heard)
            if span is not None
        ]
        self._spans: list[Span | None] = [
            None if span is None else (Fraction(span[0], rate_hz), Fraction(span[1], rate_hz))
            for span in matching.heard
        ]
        self._spoken = [_spoken(sound) for sound in self._sounds]
        self._places = [self._placed(i, matching) for i in range(len(self._sounds))]
        self._covered: set[Word] = set()
        self.read: list[ReadCue] = []
        """What each cue asks of its reader, as far as its words are known."""

    def _placed(self, i: int, matching: Matching) -> WordPlaces | None:
        """Return when the words of a recording are heard, from the pauses that it has here."""
        element, span = self._sounds[i].element, matching.heard[i]
        if not isinstance(element, Excerpt) or element.sound.cues or span is None:
            return None
        if not self._alone[i]:
            return None
        ms = [
            (1000 * (start - span[0]) // self._rate_hz, 1000 * (end - span[0]) // self._rate_hz)
            for start, end in matching.parts[i]
        ]
        return word_places(self._spoken[i].words, ms)

    def is_heard(self, cue: Cue) -> bool:
        """Return whether a cue repeats words that are heard while it stands and may be shown."""
        allowed = [i for i in self._near(cue) if shown_words(self._sounds[i])]
        return bool(self._sources(cue, allowed))

    def _near(self, cue: Cue) -> list[int]:
        """Return the sounds of a cue's time; it may stand a little before its sound and after."""
        start, end = cue.start_ms * self._rate_hz, cue.end_ms * self._rate_hz
        return [i for i, low, high in self._reach if start < high and low < end]

    def judged(self, cue: Cue) -> list[Finding]:
        near = self._near(cue)
        allowed = [i for i in near if shown_words(self._sounds[i])]
        used = self._sources(cue, allowed)
        if used is None:
            return [self._withheld(cue, near)]
        if not used:
            return []
        findings = self._timing(cue, used)
        if self._covered.intersection(used):
            how = "repeats words that another caption shows"
            findings.append(self._off(cue, used[0][0], "caption-repeated", how))
        self._covered.update(used)
        return findings

    def _sources(self, cue: Cue, allowed: Sequence[int]) -> list[Word] | None:
        """Return the places of the words that a cue repeats; None if it shows anything else.

        Where the same words stand several times, those that no cue has shown yet come first.
        """
        words = tokens(cue.text)
        if not words:
            return []
        stream = [(i, k) for i in allowed for k in range(len(self._spoken[i].words))]
        said = [self._spoken[i].words[k] for i, k in stream]
        speakers = {" ".join(tokens(speaker_of(self._sounds[i]))) for i in allowed} - {""}
        matching: list[list[Word]] = []
        for offset in [0, *(len(name.split(" ")) for name in sorted(speakers))]:
            if offset and " ".join(words[:offset]) not in speakers:
                continue
            rest = words[offset:]
            matching += [
                stream[at : at + len(rest)]
                for at in range(len(stream) - len(rest) + 1)
                if rest and said[at : at + len(rest)] == rest
            ]
        if not matching:
            return None
        fresh = [found for found in matching if not self._covered.intersection(found)]
        return (fresh or matching)[0]

    def _withheld(self, cue: Cue, near: Sequence[int]) -> Finding:
        hidden = [self._sounds[i] for i in near if _withholds(self._sounds[i])]
        off_s, lost = self._elsewhere(cue)
        code, of = "caption-words", lost
        if off_s is not None:
            how = "earlier" if off_s > 0 else "later"
            sentence = f"line {cue.line} shows words that are heard {seconds(abs(off_s))} s {how}"
        elif lost is not None:
            sentence = f"line {cue.line} shows words of a sound that is not on the track"
        elif hidden:
            code, of = "caption-withheld", hidden[0]
            sentence = (
                f"line {cue.line} shows something while {role_name(hidden[0])}"
                f"{where_of(hidden[0])} is heard, which may not be shown"
            )
        elif near:
            sentence = f"line {cue.line} shows other words than are heard"
        else:
            sentence = f"line {cue.line} shows words while nothing is heard"
        return Finding(
            code,
            "error",
            f"{self._name}, {sentence}",
            REBUILD,
            at_s=Fraction(cue.start_ms, 1000),
            question=of.question if of else None,
            place=of.place if of else None,
            difference=off_s,
            unit="" if off_s is None else "s",
        )

    def _elsewhere(self, cue: Cue) -> tuple[Fraction | None, ExpectedSound | None]:
        """Return how much later than its words a cue stands; else the lost sound that has them.

        Only words that may be shown are looked for.
        """
        last = tokens(cue.text)[-1]
        start_s = Fraction(cue.start_ms, 1000)
        offs_s: list[Fraction] = []
        lost: ExpectedSound | None = None
        for i, span in enumerate(self._spans):
            used = self._sources(cue, [i]) if last in self._spoken[i].words else None
            if used and span is not None:
                offs_s.append(start_s - self._begins(i, used[0][1], span)[0])
            elif used and lost is None:
                lost = self._sounds[i]
        return min(offs_s, key=abs, default=None), lost

    def _timing(self, cue: Cue, used: Sequence[Word]) -> list[Finding]:
        """Return where a cue leaves its own words: early, late, or standing too long."""
        start_s, end_s = Fraction(cue.start_ms, 1000), Fraction(cue.end_ms, 1000)
        (first, k), (last, m) = used[0], used[-1]
        first_span, last_span = self._spans[first], self._spans[last]
        if first_span is None or last_span is None:
            return []
        findings = []
        begins_s, slack_s = self._begins(first, k, first_span)
        early_s, late_s = begins_s - start_s, start_s - begins_s
        may_be_early_s = LATE_S + slack_s if k else self._early_s
        if early_s > may_be_early_s:
            how = "is early"
            findings.append(self._off(cue, first, "caption-early", how, early_s, may_be_early_s))
        if self._alone[first] and late_s > LATE_S + slack_s:
            how = "is late"
            findings.append(self._off(cue, first, "caption-late", how, late_s, LATE_S + slack_s))
        findings += self._hanging(cue, last, m, last_span)
        self._note(cue, used, begins_s, end_s - start_s)
        return findings

    def _hanging(self, cue: Cue, last: int, m: int, span: Span) -> list[Finding]:
        ends_s, slack_s = self._begins(last, m + 1, span)
        is_whole = m + 1 == len(self._spoken[last].words)
        if not is_whole and not self._alone[last]:
            return []
        over_s = Fraction(cue.end_ms, 1000) - ends_s
        is_candidates = is_whole and self._silences[last + 1].expected.kind in NOT_AUTHORS
        allowed_s = INTO_SILENCE_S if is_candidates else HANG_S + slack_s
        if over_s <= allowed_s:
            return []
        how = "hangs into a silence of the candidates" if is_candidates else "stays too long"
        return [self._off(cue, last, "caption-hangs", how, over_s, allowed_s)]

    def _begins(self, i: int, k: int, span: Span) -> tuple[Fraction, Fraction]:
        """Return about when word `k` of a sound begins, and how far that may be wrong."""
        if k == 0:
            return span[0], Fraction(0)
        if k == len(self._spoken[i].words):
            return span[1], Fraction(0)
        places = self._places[i]
        if places is not None:
            begins_s = span[0] + Fraction(places.begins_ms[k], 1000)
            return begins_s, Fraction(places.within_ms[k], 1000)
        return self._spoken[i].at_s(k, span), (span[1] - span[0]) * LATE_SHARE

    def _note(self, cue: Cue, used: Sequence[Word], begins_s: Fraction, shown_s: Fraction) -> None:
        """Keep what a cue asks of its reader."""
        (first, _), (last, m) = used[0], used[-1]
        spoken_s: Fraction | None = None
        span = self._spans[last]
        if span is not None and self._alone[first] and self._alone[last]:
            spoken_s = self._begins(last, m + 1, span)[0] - begins_s
        start_s = Fraction(cue.start_ms, 1000)
        question = self._sounds[first].question
        self.read.append(ReadCue(start_s, shown_s, len(used), spoken_s, cue.line, question))

    def _off(
        self,
        cue: Cue,
        i: int,
        code: str,
        how: str,
        off_s: Fraction | None = None,
        allowed_s: Fraction | None = None,
    ) -> Finding:
        return Finding(
            code,
            "error",
            f"{self._name}, line {cue.line}: the caption {how}",
            REBUILD,
            at_s=Fraction(cue.start_ms, 1000),
            question=self._sounds[i].question,
            place=self._sounds[i].place,
            measured=off_s,
            difference=None if off_s is None else -off_s if code == "caption-early" else off_s,
            allowed=allowed_s,
            unit="s",
        )

    def not_covered(self) -> list[Finding]:
        """Return a warning for each utterance that may be shown and is not, or not whole."""
        findings = []
        for i, (sound, span) in enumerate(zip(self._sounds, self._spans, strict=True)):
            n_words = len(self._spoken[i].words)
            n_shown = sum((i, k) in self._covered for k in range(n_words))
            is_owed = isinstance(sound.element, Utterance)
            if span is None or not is_owed or n_shown == n_words:
                continue
            part = "a part of " if n_shown else ""
            findings.append(
                Finding(
                    "caption-missing",
                    "warning",
                    f"{self._name}: {part}{role_name(sound)}{where_of(sound)} has no caption",
                    REBUILD,
                    at_s=span[0],
                    question=sound.question,
                    place=sound.place,
                )
            )
        return findings


def tokens(text: str) -> list[str]:
    """Return the words of a caption; signs that only lay out a dialogue are left out.

    So are blanks after an opening bracket, which SRT needs where a player would see a tag.
    """
    apart = re.sub(r"([<{])[ \u00a0]+(?=[A-Za-z/!\\])", r"\1", re.sub("[\u200b\u2060]", "", text))
    words = re.sub(r"[\s\u00a0]+", " ", apart).split(" ")
    return [w for word in words if (w := word.strip("–—-").removesuffix(":")) != ""]


def _withholds(sound: ExpectedSound) -> bool:
    """Return whether a sound has words that may not be shown."""
    if isinstance(sound.element, Utterance) and sound.element.shown_parts:
        return shown_words(sound) != tokens(sound.element.shown)
    return not sound.may_be_shown


def speaker_of(sound: ExpectedSound) -> str:
    """Return who says it: as its turn declares, or a recording with words; "" if nobody does."""
    if not sound.speaker and isinstance(sound.element, Excerpt):
        return sound.element.sound.speaker or ""
    return sound.speaker


def _spoken(sound: ExpectedSound) -> _Spoken:
    words = shown_words(sound)
    if isinstance(sound.element, Excerpt) and sound.element.sound.cues and words:
        return _by_captions(sound.element.sound.cues)
    before = [0]
    for word in words:
        before.append(before[-1] + len(word) + 1)
    return _Spoken(tuple(words), tuple(before))


def _by_captions(cues: Sequence[RecordedCue]) -> _Spoken:
    """Return the words of a recording that was supplied with captions, by their times in ms.

    Letters share the time of their own caption; its sound begins with the first one and ends with
    the last.
    """
    words: list[str] = []
    before: list[int] = []
    first_s = cues[0].start_s
    for cue in cues:
        own = tokens(" ".join(cue.lines))
        n_letters = sum(len(word) + 1 for word in own)
        n_done = 0
        for word in own:
            at_s = cue.start_s - first_s + (cue.end_s - cue.start_s) * Fraction(n_done, n_letters)
            before.append(int(1000 * at_s))
            n_done += len(word) + 1
        words += own
    return _Spoken(tuple(words), (*before, int(1000 * (cues[-1].end_s - first_s))))


def shown_words(sound: ExpectedSound) -> list[str]:
    """Return the words of a sound that may be shown."""
    element = sound.element
    if isinstance(element, Utterance):
        return tokens(
            element.caption(
                block_is_shown=sound.may_be_shown, is_instruction=sound.role not in ASKED
            )
        )
    if not sound.may_be_shown:
        return []
    if isinstance(element, ToneCue):
        return tokens(f"[{element.name}]")
    return tokens(element.sound.words or f"[{element.sound.description}]")
