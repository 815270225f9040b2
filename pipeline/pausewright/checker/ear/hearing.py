"""The ear of the check: which utterances of a matched track are heard, and what is found.

Languages other than English are not judged, nor sounds whose words nobody gave; the report says
how many.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.ear.clips import as_clip, clips, widened
from pausewright.checker.ear.recogniser import PACKAGES
from pausewright.checker.ear.spoken import ANYTHING, numbers_in
from pausewright.checker.ear.weigh import opinions, saying
from pausewright.checker.result.findings import EarSummary, Finding
from pausewright.checker.result.measuring_versions import versions_of
from pausewright.checker.result.naming import clock, role_name, where_of
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from pausewright.checker.ear.recogniser import Clip, Recogniser
    from pausewright.checker.ear.weigh import Matter, Opinion, Saying
    from pausewright.checker.expect.expected import Expectation, ExpectedSound
    from pausewright.checker.files.decoded_track import Kept
    from pausewright.checker.match.match import Matching
    from pausewright.checker.match.measured import Frames
    from pausewright.wording.line_elements import SpokenPart

AT_ONCE_S: Final = 240
"""Seconds of speech that are heard in one go; what is held in memory."""

_ALWAYS_DOUBTED: Final = frozenset({"passage", "dictation"})
"""Roles in which only utterances written with figures can be certain: there may be verse."""
_FIGURE: Final = re.compile(r"\d")

_CODES: Final[dict[Matter, str]] = {
    "number": "heard-number",
    "order": "heard-order",
    "negation": "heard-negation",
    "unit": "heard-unit",
    "comparison": "heard-comparison",
    "words": "heard-words",
    "elsewhere": "heard-elsewhere",
}
_OTHER: Final[dict[Matter, str]] = {
    "number": "another number is heard than the script says",
    "order": "the numbers are heard in another order than the script says",
    "negation": "a “not”, “no” or the like is missing or too much",
    "unit": "another unit is heard than the script says",
    "comparison": "a word that compares is heard as another",
}
_DOUBTFUL: Final[dict[Matter, str]] = {
    "number": "a number may not be what the script says",
    "order": "numbers may stand in another order than the script says",
    "negation": "a “not”, “no” or the like may be missing or too much",
    "unit": "a unit may not be what the script says",
    "comparison": "a word that compares may not be what the script says",
    "words": "the words were not understood",
}


@dataclass(frozen=True, slots=True)
class Ear:
    """A recogniser that a check may use, and who is told how far it is."""

    recogniser: Recogniser
    progress: Callable[[int, int], None] | None = None
    """Called with utterances heard and in all."""


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A stretch of sound and the expected sounds that are in it."""

    span: Frames
    members: tuple[int, ...]
    saying: Saying


def listen_to_words(
    kept: Kept, expectation: Expectation, matching: Matching, ear: Ear
) -> tuple[list[Finding], EarSummary]:
    """Hear every utterance that was found on a track; return findings and what was judged.

    `kept` are the track's samples.
    """
    rate_hz = kept.rate_hz
    stretches, n_foreign, n_unknown = _stretches(expectation, matching)
    sounds = sorted({part for parts in matching.parts for part in parts}
                    | {part for extra in matching.extras for part in extra.stretches})  # fmt: skip
    spans = widened([one.span for one in stretches], sounds, rate_hz)
    others = _distinct([one.saying for one in stretches])
    found: list[Finding] = []
    n_heard = n_doubtful = n_other = 0
    batch: list[_Stretch] = []
    held: list[Clip] = []

    def judge() -> None:
        nonlocal n_heard, n_doubtful, n_other
        for one, opinion in zip(
            batch, opinions([b.saying for b in batch], held, ear.recogniser, others), strict=True
        ):
            n_doubtful += opinion.verdict == "doubtful"
            n_other += opinion.verdict == "other"
            if opinion.verdict != "same":
                found.append(_finding(one, opinion, expectation, stretches, others, rate_hz))
        n_heard += len(batch)
        batch.clear()
        held.clear()
        if ear.progress is not None:
            ear.progress(n_heard, len(stretches))

    in_batch_s = Fraction(0)
    for one, span, clip in zip(stretches, spans, clips(kept, spans), strict=True):
        batch.append(one)
        held.append(clip)
        in_batch_s += Fraction(span[1] - span[0], rate_hz)
        if in_batch_s >= AT_ONCE_S or len(batch) >= _MOST_IN_A_BATCH:
            judge()
            in_batch_s = Fraction(0)
    if batch:
        judge()
    return found, EarSummary(
        n_heard, n_heard - n_doubtful - n_other, n_doubtful, n_other, n_foreign, n_unknown,
        versions_of(PACKAGES),
    )  # fmt: skip


_MOST_IN_A_BATCH: Final = 24
"""Few, so that progress is seen to move."""


def ear_cautions(summary: EarSummary) -> list[str]:
    """Return what a reader of the report must know about the ear."""
    said = [
        (
            f"The machine's ear heard {summary.n_heard} utterances: {summary.n_same} as the script "
            f"says, {summary.n_doubtful} to be listened to, {summary.n_other} otherwise. It hears "
            "words, not how well they are said."
        ),
        "This report holds words of the test: keep it as you keep the script.",
    ]
    if summary.n_other_language:
        said.append(
            f"The ear knows English only: {summary.n_other_language} utterances in other "
            "languages were not judged by it."
        )
    if summary.n_beside_sounds:
        said.append(
            f"{summary.n_beside_sounds} utterances run together with other sounds and were not "
            "judged by the ear."
        )
    return said


def _stretches(expectation: Expectation, matching: Matching) -> tuple[list[_Stretch], int, int]:
    """Return what can be heard, in order, and how many sounds are foreign or without words.

    Utterances that run into each other are one stretch.
    """
    groups: dict[Frames, list[int]] = {}
    for i, span in enumerate(matching.heard):
        if span is not None:
            groups.setdefault(span, []).append(i)
    found: list[_Stretch] = []
    n_foreign = n_unknown = 0
    for span, members in sorted(groups.items()):
        sounds = [expectation.sounds[i] for i in members]
        utterances = [s.element for s in sounds if isinstance(s.element, Utterance)]
        if len(utterances) < len(sounds):
            n_unknown += len(utterances)
        elif not all(_is_english(one.speech.language) for one in utterances):
            n_foreign += len(utterances)
        else:
            text = " ".join(words_said(one) for one in utterances)
            doubted = any(
                sound.role in _ALWAYS_DOUBTED and not _FIGURE.search(one.shown)
                for sound, one in zip(sounds, utterances, strict=True)
            )
            found.append(_Stretch(span, tuple(members), saying(text, is_only_doubted=doubted)))
    return found, n_foreign, n_unknown


def words_said(utterance: Utterance) -> str:
    """Return the words of an utterance; a sign stands for exact sounds and other languages."""
    return " ".join(
        f" {ANYTHING} " if _is_unknown(part) else part.text for part in utterance.spoken
    )


def _is_unknown(part: SpokenPart) -> bool:
    return part.is_ipa or not (part.language is None or _is_english(part.language))


def _is_english(language: str) -> bool:
    return language.lower().split("-")[0] == "en"


def _distinct(sayings: Sequence[Saying]) -> list[Saying]:
    return list({one.text: one for one in sayings}.values())


def _finding(
    one: _Stretch,
    opinion: Opinion,
    expectation: Expectation,
    stretches: Sequence[_Stretch],
    others: Sequence[Saying],
    rate_hz: int,
) -> Finding:
    sound = expectation.sounds[one.members[0]]
    at_s = Fraction(one.span[0], rate_hz)
    where = f"{role_name(sound)}{where_of(sound)}"
    is_other = opinion.verdict == "other"
    if opinion.matter == "elsewhere" and opinion.elsewhere is not None:
        text = others[opinion.elsewhere].text
        home = next(s for s in stretches if s.saying.text == text)
        sentence = f"in {where}, other words of this script are heard"
        sentence += _home_of(expectation.sounds[home.members[0]])
    else:
        sentence = f"in {where}, {(_OTHER if is_other else _DOUBTFUL)[opinion.matter]}"
    hint = (
        f"listen at {clock(at_s)}; build the track again if it is wrong"
        if is_other
        else f"listen at {clock(at_s)}; it is right if you hear what the script says"
    )
    return Finding(
        _CODES[opinion.matter],
        "error" if is_other else "warning",
        sentence,
        hint,
        at_s=at_s,
        question=sound.question,
        place=sound.place,
        said=" ".join(one.saying.text.replace(ANYTHING, "…").split()),
        heard=opinion.heard or "(nothing)",
    )


def _home_of(sound: ExpectedSound) -> str:
    return f": those of {sound.question.name}" if sound.question else ""


# ---- takes in memory --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class HeardUtterance:
    """What the ear makes of one utterance before it is laid into a track."""

    utterance: Utterance
    is_judged: bool
    """False for languages other than English; nothing else is known then."""
    verdict: str = ""
    """"same", "doubtful" or "other"."""
    matter: str = ""
    """What differs: "number", "order", "negation", "unit", "comparison", "words", "elsewhere"."""
    heard: str = ""
    """As the recogniser wrote it."""
    numbers_said: tuple[str, ...] = ()
    """The numbers of the words for the voice, in digits."""
    numbers_heard: tuple[str, ...] = ()


def hear(
    utterances: Sequence[Utterance],
    take_of: Callable[[Utterance], NDArray[np.float32 | np.int16]],
    rate_hz: int,
    ear: Ear,
) -> list[HeardUtterance]:
    """Return what is heard in the takes of utterances, in order.

    Parameters
    ----------
    utterances : what is said
    take_of : gives the sound of one, asked for a few at a time: shape (n_frames,) or
        (n_frames, n_channels); float32 with full scale ±1.0, or int16
    rate_hz : rate of all takes
    ear : the recogniser; its progress is told utterances heard and in all
    """
    judged = [i for i, one in enumerate(utterances) if _is_english(one.speech.language)]
    sayings = [saying(words_said(utterances[i])) for i in judged]
    found = [HeardUtterance(one, is_judged=False) for one in utterances]
    for at in range(0, len(judged), _MOST_IN_A_BATCH):
        part = slice(at, at + _MOST_IN_A_BATCH)
        sounds = [as_clip(_in_columns(take_of(utterances[i])), rate_hz) for i in judged[part]]
        for i, opinion in zip(
            judged[part], opinions(sayings[part], sounds, ear.recogniser), strict=True
        ):
            said = words_said(utterances[i])
            found[i] = HeardUtterance(
                utterances[i], True, opinion.verdict, opinion.matter, opinion.heard,  # noqa: FBT003
                numbers_in(said), numbers_in(opinion.heard),
            )  # fmt: skip
        if ear.progress is not None:
            ear.progress(min(len(judged), at + _MOST_IN_A_BATCH), len(judged))
    return found


def _in_columns(take: NDArray[np.float32 | np.int16]) -> NDArray[np.float32]:
    wide = take[:, None] if take.ndim == 1 else take
    scale = 1.0 if wide.dtype.kind == "f" else 1 / 32768
    return (wide * scale).astype("float32")
