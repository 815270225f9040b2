"""What captions show, against what is heard: each cue inside its own speech, nothing withheld.

A cue is allowed by where its words come from, not by what they are: it must repeat words, in
order, of utterances that may be shown and that sound while it is on screen. A search for words
would accuse "B" and "7".
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

from pausewright.checker.findings import Finding
from pausewright.checker.words import role_name, where_of
from pausewright.wording.pieces import Excerpt, ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.captions import CaptionFile, Cue
    from pausewright.checker.expected import Expectation, ExpectedSound
    from pausewright.checker.match import Matching

EARLY_S = Fraction(60, 1000)
HANG_S = Fraction(1500, 1000)
"""BBC-05: not more than 1.5 s hanging after the speech."""
INTO_SILENCE_S = Fraction(200, 1000)
"""How far a cue may reach into a silence in which candidates write, look or wait."""
CANDIDATES = frozenset(
    {"look-time", "between-readings", "answer-time", "page-turn-time", "extra-time", "hold"}
)

Span: TypeAlias = tuple[Fraction, Fraction]
REBUILD = "make the captions again from this track's script"


def judge_captions(
    name: str,
    captions: CaptionFile,
    expectation: Expectation,
    matching: Matching,
    rate_hz: int,
) -> list[Finding]:
    """Return the findings about one caption file; `name` is how findings call it."""
    findings = [
        Finding(
            "caption-form",
            "error",
            f"{name}, line {fault.line}: {fault.sentence}",
            "make the file again, or mend this line",
        )
        for fault in captions.faults
    ]
    shown = _Shown(name, expectation, matching, rate_hz)
    for cue in captions.cues:
        findings += shown.judged(cue)
    return findings + shown.not_covered()


class _Shown:
    def __init__(
        self, name: str, expectation: Expectation, matching: Matching, rate_hz: int
    ) -> None:
        self._name = name
        self._sounds = expectation.sounds
        self._silences = matching.silences
        self._spans: list[Span | None] = [
            None if span is None else (Fraction(span[0], rate_hz), Fraction(span[1], rate_hz))
            for span in matching.heard
        ]
        self._covered: set[int] = set()

    def judged(self, cue: Cue) -> list[Finding]:
        start_s, end_s = Fraction(cue.start_ms, 1000), Fraction(cue.end_ms, 1000)
        # a cue may stand a little before its sound and after it
        near = [
            i
            for i, span in enumerate(self._spans)
            if span is not None and start_s < span[1] and span[0] - EARLY_S < end_s
        ]
        allowed = [i for i in near if self._sounds[i].may_be_shown]
        used = self._sources(cue, allowed)
        if used is None:
            return [self._withheld(cue, near)]
        self._covered.update(used)
        return self._timing(cue, used)

    def _sources(self, cue: Cue, allowed: Sequence[int]) -> list[int] | None:
        """Return the sounds whose words a cue repeats; None if it shows anything else."""
        words = _tokens(cue.text)
        if not words:
            return []
        stream: list[tuple[str, int]] = []
        for i in allowed:
            stream += [(word, i) for word in _shown_words(self._sounds[i])]
        speakers = {self._sounds[i].speaker for i in allowed if self._sounds[i].speaker}
        for offset in [0, *(len(_tokens(s)) for s in speakers)]:
            if offset and " ".join(words[:offset]) not in {" ".join(_tokens(s)) for s in speakers}:
                continue
            rest = words[offset:]
            for at in range(len(stream) - len(rest) + 1):
                if [word for word, _ in stream[at : at + len(rest)]] == rest:
                    return sorted({i for _, i in stream[at : at + len(rest)]})
        return None

    def _withheld(self, cue: Cue, near: Sequence[int]) -> Finding:
        hidden = [self._sounds[i] for i in near if not self._sounds[i].may_be_shown]
        if hidden:
            sentence = (
                f"line {cue.line} shows something while {role_name(hidden[0])}"
                f"{where_of(hidden[0])} is heard, which may not be shown"
            )
        elif near:
            sentence = f"line {cue.line} shows other words than are heard"
        else:
            sentence = f"line {cue.line} shows words while nothing is heard"
        return Finding(
            "caption-withheld" if hidden else "caption-words",
            "error",
            f"{self._name}, {sentence}",
            REBUILD,
            at_s=Fraction(cue.start_ms, 1000),
            question=hidden[0].question if hidden else "",
            place=hidden[0].place if hidden else None,
        )

    def _timing(self, cue: Cue, used: Sequence[int]) -> list[Finding]:
        spans = [span for i in used if (span := self._spans[i]) is not None]
        if not spans:
            return []
        start_s, end_s = Fraction(cue.start_ms, 1000), Fraction(cue.end_ms, 1000)
        findings = []
        early_s = spans[0][0] - start_s
        if early_s > EARLY_S:
            findings.append(self._off(cue, used[0], "caption-early", "is early", early_s, EARLY_S))
        late_s = end_s - spans[-1][1]
        following = self._silences[used[-1] + 1].expected.kind
        allowed_s = INTO_SILENCE_S if following in CANDIDATES else HANG_S
        if late_s > allowed_s:
            how = (
                "hangs into a silence of the candidates"
                if following in CANDIDATES
                else "stays too long"
            )
            findings.append(self._off(cue, used[-1], "caption-hangs", how, late_s, allowed_s))
        return findings

    def _off(
        self, cue: Cue, i: int, code: str, how: str, off_s: Fraction, allowed_s: Fraction
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
            allowed=allowed_s,
            unit="s",
        )

    def not_covered(self) -> list[Finding]:
        """Return a warning for each utterance that may be shown and has no caption."""
        return [
            Finding(
                "caption-missing",
                "warning",
                f"{self._name}: {role_name(sound)}{where_of(sound)} has no caption",
                REBUILD,
                at_s=span[0],
                question=sound.question,
                place=sound.place,
            )
            for i, (sound, span) in enumerate(zip(self._sounds, self._spans, strict=True))
            if sound.may_be_shown
            and span is not None
            and isinstance(sound.piece, Utterance)
            and _shown_words(sound)
            and i not in self._covered
        ]


def _tokens(text: str) -> list[str]:
    """Return the words of a caption; signs that only lay out a dialogue are left out."""
    words = re.sub(r"[\s\u00a0]+", " ", text).split(" ")
    return [w for word in words if (w := word.strip("–—-").removesuffix(":")) != ""]


def _shown_words(sound: ExpectedSound) -> list[str]:
    if isinstance(sound.piece, Utterance):
        return _tokens(sound.piece.shown)
    if isinstance(sound.piece, ToneCue):
        return _tokens(f"[{sound.piece.name}]")
    if isinstance(sound.piece, Excerpt):
        return _tokens(sound.piece.sound.words or f"[{sound.piece.sound.description}]")
    return []
