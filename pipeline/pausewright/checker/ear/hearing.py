"""The ear of the check: which utterances of a matched track are heard, and what is found.

Languages other than English are not heard, nor recordings whose words nobody gave; the report says
how many.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.ear.clips import as_clip, clips, widened
from pausewright.checker.ear.ear_cautions import ear_cautions
from pausewright.checker.ear.recogniser import recogniser_versions
from pausewright.checker.ear.recorded import parts_of, shared_out
from pausewright.checker.ear.spoken import ANYTHING, numbers_in
from pausewright.checker.ear.weigh import opinions, saying
from pausewright.checker.result.findings import EarSummary, Finding, Uncompared
from pausewright.checker.result.naming import clock, role_name, where_of
from pausewright.frozen import frozen
from pausewright.wording.line_elements import Excerpt, Utterance

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
    from pausewright.wording.line_elements import SoundElement, SpokenPart

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
    "words": "the words were not understood, or some of them are not heard",
}


@frozen
class Ear:
    """A recogniser that a check may use, and who is told how far it is."""

    recogniser: Recogniser
    progress: Callable[[int, int], None] | None = None
    """Called with utterances heard and in all."""

    def listen(
        self,
        kept: Kept,
        expectation: Expectation,
        matching: Matching,
        language: str,
        shortened: frozenset[int] = frozenset(),
    ) -> tuple[list[Finding], EarSummary, list[str]]:
        """Return what `listen_to_words` does, and what a reader of the report is told of it.

        A check that is given no ear loads nothing of this.
        """
        found, summary = listen_to_words(kept, expectation, matching, self, language, shortened)
        return found, summary, ear_cautions(summary)


@frozen
class _Stretch:
    """A stretch of sound and the expected sounds that are in it."""

    span: Frames
    members: tuple[int, ...]
    saying: Saying


@dataclass(slots=True)
class _Found:
    """What can be heard of a track, and how much cannot, by the reason."""

    stretches: list[_Stretch]
    n_other_language: int = 0
    n_beside_sounds: int = 0
    n_without_words: int = 0
    n_missing: int = 0


def listen_to_words(
    kept: Kept,
    expectation: Expectation,
    matching: Matching,
    ear: Ear,
    language: str,
    shortened: frozenset[int] = frozenset(),
) -> tuple[list[Finding], EarSummary]:
    """Hear every utterance and every recording with words; return findings and what was judged.

    Parameters
    ----------
    kept : the track's samples
    expectation, matching : what it should hold, and where that was found
    ear : the recogniser
    language : BCP 47; that of the script, in which recordings are taken to be
    shortened : indices of expected sounds that are on the short side for their words
    """
    rate_hz = kept.rate_hz
    there = _stretches(kept, expectation, matching, ear, language)
    there.stretches = [_noted(one, shortened) for one in there.stretches]
    stretches = there.stretches
    sounds = _all_sounds(matching)
    spans = widened([one.span for one in stretches], sounds, rate_hz)
    others = _distinct([one.saying for one in stretches])
    pairs: list[tuple[_Stretch, Opinion]] = []
    batch: list[_Stretch] = []
    held: list[Clip] = []

    def judge() -> None:
        sayings = [one.saying for one in batch]
        pairs.extend(zip(batch, opinions(sayings, held, ear.recogniser, others), strict=True))
        batch.clear()
        held.clear()
        if ear.progress is not None:
            ear.progress(len(pairs), len(stretches))

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
    found = [
        _finding(one, opinion, expectation, stretches, others, rate_hz)
        for one, opinion in pairs
        if opinion.verdict != "same"
    ]
    return found, _summary(there, pairs, expectation, rate_hz)


def _noted(one: _Stretch, shortened: frozenset[int]) -> _Stretch:
    """Return a stretch with whether it is on the short side."""
    is_shortened = not shortened.isdisjoint(one.members)
    return replace(one, saying=replace(one.saying, is_shortened=is_shortened))


def _summary(
    there: _Found,
    pairs: Sequence[tuple[_Stretch, Opinion]],
    expectation: Expectation,
    rate_hz: int,
) -> EarSummary:
    def where(one: _Stretch) -> str:
        sound = expectation.sounds[one.members[0]]
        return f"{role_name(sound)}{where_of(sound)}"

    def at_s(one: _Stretch) -> Fraction:
        return Fraction(one.span[0], rate_hz)

    n_of = Counter(opinion.verdict for _, opinion in pairs)
    uncompared = tuple(
        Uncompared(
            where(one), at_s(one), expectation.sounds[one.members[0]].place, opinion.uncompared
        )
        for one, opinion in pairs
        if opinion.verdict == "same" and opinion.uncompared
    )
    return EarSummary(
        n_heard=len(pairs),
        n_same=n_of["same"] - len(uncompared),
        n_doubtful=n_of["doubtful"],
        n_other=n_of["other"],
        n_other_language=there.n_other_language,
        n_beside_sounds=there.n_beside_sounds,
        n_without_words=there.n_without_words,
        n_missing=there.n_missing,
        versions=recogniser_versions(),
        uncompared=uncompared,
        doubtful=tuple(
            (where(o), at_s(o)) for o, opinion in pairs if opinion.verdict == "doubtful"
        ),
    )


_MOST_IN_A_BATCH: Final = 24
"""Few, so that progress is seen to move."""


def _all_sounds(matching: Matching) -> list[Frames]:
    """Return every range of sound of a track, in order."""
    expected = {part for parts in matching.parts for part in parts}
    return sorted(expected | {part for extra in matching.extras for part in extra.stretches})


def _stretches(
    kept: Kept, expectation: Expectation, matching: Matching, ear: Ear, language: str
) -> _Found:
    """Return what can be heard, in order, and how many sounds are foreign or without words.

    Sounds that run into each other are one stretch; a recording is as many as it has parts.
    """
    groups: dict[Frames, list[int]] = {}
    found = _Found([])
    for i, span in enumerate(matching.heard):
        if span is not None:
            groups.setdefault(span, []).append(i)
        elif _is_spoken(expectation.sounds[i]):
            found.n_missing += 1
    for span, members in sorted(groups.items()):
        elements = [expectation.sounds[i].element for i in members]
        texts = [_text_of(one) for one in elements]
        languages = [e.speech.language if isinstance(e, Utterance) else language for e in elements]
        if None in texts:
            found.n_beside_sounds += len(texts) - texts.count(None)
            found.n_without_words += sum(
                isinstance(element, Excerpt) and text is None
                for element, text in zip(elements, texts, strict=True)
            )
        elif not all(map(_is_english, languages)):
            found.n_other_language += len(members)
        else:
            text = " ".join(filter(None, texts))
            spans = [(span, text)]
            if any(isinstance(element, Excerpt) for element in elements):
                spans = _in_parts(kept, matching.parts[members[0]], text, ear)
            doubted = any(_is_doubted(expectation.sounds[i]) for i in members)
            number = _number_of(expectation.sounds[members[0]])
            for part, words in spans:
                said = saying(words, number=number, is_only_doubted=doubted)
                found.stretches.append(_Stretch(part, tuple(members), said))
                number = ""
    return found


def _in_parts(
    kept: Kept, stretches: Sequence[Frames], text: str, ear: Ear
) -> list[tuple[Frames, str]]:
    """Return the parts of a recording that can be heard at once, each with its words."""
    parts = parts_of(stretches, kept.rate_hz)
    if len(parts) == 1:
        return [(parts[0], text)]
    heard = ear.recogniser.heard(list(clips(kept, parts)), "figures")
    return list(zip(parts, shared_out(text, heard), strict=True))


def _text_of(element: SoundElement) -> str | None:
    """Return the words of a sound; None for tones and for recordings without words."""
    if isinstance(element, Utterance):
        return words_said(element)
    return element.sound.words if isinstance(element, Excerpt) else None


def _number_of(sound: ExpectedSound) -> str:
    """Return the number that the reader of a recording may have announced."""
    is_question = isinstance(sound.element, Excerpt) and sound.role == "question"
    return str(sound.question) if is_question and sound.question is not None else ""


def _is_spoken(sound: ExpectedSound) -> bool:
    return _text_of(sound.element) is not None


def _is_doubted(sound: ExpectedSound) -> bool:
    """Return whether a difference is a reason to listen only: what may be verse, if no figures."""
    element = sound.element
    shown = element.shown if isinstance(element, Utterance) else _text_of(element) or ""
    is_verse = sound.role in _ALWAYS_DOUBTED or isinstance(element, Excerpt)
    return is_verse and not _FIGURE.search(shown)


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


@frozen
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
    uncompared: tuple[str, ...] = ()
    """Words that it could not compare, though it found nothing else: names, letters."""


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
                utterances[i],
                is_judged=True,
                verdict=opinion.verdict,
                matter=opinion.matter,
                heard=opinion.heard,
                numbers_said=numbers_in(said),
                numbers_heard=numbers_in(opinion.heard),
                uncompared=opinion.uncompared,
            )
        if ear.progress is not None:
            ear.progress(min(len(judged), at + _MOST_IN_A_BATCH), len(judged))
    return found


def _in_columns(take: NDArray[np.float32 | np.int16]) -> NDArray[np.float32]:
    wide = take[:, None] if take.ndim == 1 else take
    scale = 1.0 if wide.dtype.kind == "f" else 1 / 32768
    return (wide * scale).astype("float32")
