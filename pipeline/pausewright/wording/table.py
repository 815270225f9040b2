"""The table of written, spoken and shown forms that people sign off before a build."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from pausewright.frozen import frozen
from pausewright.shown_text import problems_data
from pausewright.wording.language import language_for
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from pausewright.problems import Problem
    from pausewright.wording.worded import Worded


@frozen
class Row:
    """One distinct sentence."""

    utterance: Utterance
    n_times: int
    """How often the script says it, readings apart."""

    @property
    def spoken(self) -> str:
        """The words for the voice; a word that is given by its sounds has them in brackets."""
        parts = []
        for part in self.utterance.spoken:
            sounds = f"{part.word} (/{part.text}/)" if part.word else f"/{part.text}/"
            parts.append(sounds if part.is_ipa else part.text)
        return " ".join("".join(parts).split())

    @property
    def is_changed(self) -> bool:
        """Whether it is said or shown otherwise than it is written."""
        one = self.utterance
        return _plain(one.written) != _plain(self.spoken) or one.shown != one.written


HeardAs: TypeAlias = Literal["same", "listen", "other", "not judged"]
"""As the script says; doubtful; otherwise; in a language that the recogniser does not know."""


@frozen
class Heard:
    """What a recogniser made of one sentence when it was voiced."""

    verdict: HeardAs
    words: str
    """As the recogniser wrote them."""
    numbers_said: tuple[str, ...]
    """Numbers of the words for the voice, in digits."""
    numbers_heard: tuple[str, ...]
    uncompared: tuple[str, ...] = ()
    """Words that could not be compared, though nothing else is otherwise: names, letters."""

    @property
    def has_same_numbers(self) -> bool:
        """Whether every number is heard, and in order."""
        return self.numbers_said == self.numbers_heard


def _plain(text: str) -> str:
    for curly, straight in (("’", "'"), ("‘", "'"), ("“", '"'), ("”", '"'), ("…", ",")):
        text = text.replace(curly, straight)
    return " ".join(text.split())


def rows(worded: Worded) -> tuple[Row, ...]:
    """Return every distinct sentence of a script, in the order in which it is first said."""
    counted: dict[tuple[object, ...], int] = {}
    first: dict[tuple[object, ...], Utterance] = {}
    for element in worded.all_elements():
        if isinstance(element, Utterance):
            key = (element.written, element.spoken, element.shown, element.speech.language)
            counted[key] = counted.get(key, 0) + 1
            first.setdefault(key, element)
    return tuple(Row(utterance, counted[key]) for key, utterance in first.items())


def table_text(
    found: Sequence[Row], *, everything: bool, heard: Sequence[Heard] | None = None
) -> str:
    """Return the table as plain text: for each sentence its line and its forms.

    Sentences that are said and shown as they are written are only counted, unless `everything`.
    `heard`, one for each row, puts what was not heard as it is said first.
    """
    ears: Sequence[Heard | None] = heard or [None] * len(found)
    pairs = list(zip(found, ears, strict=True))
    out: list[str] = _hearing_lines(found, heard) if heard else []
    listed = [pair for pair in pairs if everything or pair[0].is_changed or _is_doubted(pair[1])]
    listed.sort(key=lambda pair: _URGENCY[pair[1].verdict] if pair[1] else len(_URGENCY))
    for row, ear in listed:
        one = row.utterance
        times = f"  ({row.n_times} times)" if row.n_times > 1 else ""
        file = "" if one.place.file == found[0].utterance.place.file else f"{one.place.file.name}, "
        out += [f"{file}line {one.place.line}{times}", f"    written  {one.written}"]
        out.append(f"    spoken   {row.spoken}")
        if one.shown != one.written:
            out.append(f"    shown    {one.shown}")
        out += [f"    because  {one}" for one in one.because]
        if ear is not None and ear.verdict != "not judged":
            out.append(f"    heard    {ear.words or '(nothing)'}{_remark(ear)}")
        out.append("")
    as_written = len(found) - len(listed)
    if as_written:
        noun = "sentence is" if as_written == 1 else "sentences are"
        out.append(f"{as_written} {noun} said and shown as written (--all lists them)")
    out += [*_reviews(found), "Signed off by: ____________________   on: ______________"]
    return "\n".join(out) + "\n"


_REMARKS: dict[HeardAs, str] = {
    "same": "",
    "not judged": "",
    "listen": "   <- listen to it",
    "other": "   <- not what the script says",
}
_URGENCY: dict[HeardAs, int] = {"other": 0, "listen": 1, "same": 2, "not judged": 2}


def _remark(ear: Heard) -> str:
    if ear.verdict == "same" and ear.uncompared:
        return f"   <- not compared: {' '.join(ear.uncompared)}"
    return _REMARKS[ear.verdict]


def _is_doubted(ear: Heard | None) -> bool:
    """Return whether a person should listen: there is something, or something not compared."""
    return ear is not None and (
        ear.verdict in {"listen", "other"} or bool(ear.uncompared) or not ear.has_same_numbers
    )


def _hearing_lines(found: Sequence[Row], heard: Sequence[Heard]) -> list[str]:
    """Return what the ear found in all, and what it cannot do."""
    judged = [
        (row, one) for row, one in zip(found, heard, strict=True) if one.verdict != "not judged"
    ]
    count = {verdict: sum(one.verdict == verdict for one in heard) for verdict in _URGENCY}
    n_left = sum(one.verdict == "same" and bool(one.uncompared) for one in heard)
    left = f", {n_left} as far as their words could be compared" if n_left else ""
    lines = [
        (
            f"heard: {count['same'] - n_left} of {len(heard)} word for word as the script says"
            f"{left}, {count['listen']} to be listened to, {count['other']} otherwise"
        ),
        *_number_lines([pair for pair in judged if pair[1].numbers_said]),
    ]
    if count["not judged"]:
        lines.append(f"not heard, in other languages than English: {count['not judged']}")
    lines.append("A machine hears words, not how well they are said: listen to the voice yourself.")
    return [*lines, ""]


def _number_lines(pairs: Sequence[tuple[Row, Heard]]) -> list[str]:
    """Return in how many sentences the numbers are heard as said, and which the others are."""
    others = [(row, one) for row, one in pairs if not one.has_same_numbers]
    n_right = len(pairs) - len(others)
    return [
        f"numbers: {n_right} of {len(pairs)} sentences with numbers are heard with the same",
        *(
            f"    line {row.utterance.place.line}: said {_numbers(one.numbers_said)}, "
            f"heard {_numbers(one.numbers_heard)}"
            for row, one in others
        ),
    ]


def _numbers(numbers: Sequence[str]) -> str:
    return " and ".join(numbers) or "no number"


def _reviews(found: Iterable[Row]) -> list[str]:
    """Return a line for each language whose words no speaker has reviewed."""
    tags = {
        part.language or row.utterance.speech.language
        for row in found
        for part in row.utterance.spoken
    }
    notes = []
    for tag in sorted(tags):
        known = language_for(tag)
        if known is None or known.needs_review:
            what = "has no words for figures" if known is None else "was not reviewed by a speaker"
            notes.append(f"The wording in {tag} {what}: have a speaker sign it off.")
    return notes


def table_data(
    found: Sequence[Row], problems: Sequence[Problem], heard: Sequence[Heard] | None = None
) -> dict[str, object]:
    """Return the table as data for `--json`, warnings first; `heard` has one for each row."""
    ears: Sequence[Heard | None] = heard or [None] * len(found)
    return {
        **problems_data("problems", problems),
        "sentences": [
            {
                "file": str(row.utterance.place.file),
                "line": row.utterance.place.line,
                "column": row.utterance.place.column,
                "language": row.utterance.speech.language,
                "voice": row.utterance.speech.voice,
                "times": row.n_times,
                "written": row.utterance.written,
                "spoken": row.utterance.words,
                "spoken_with_sounds": row.spoken,
                "shown": row.utterance.shown,
                "is_changed": row.is_changed,
                "because": list(row.utterance.because),
                **_heard_data(ear),
            }
            for row, ear in zip(found, ears, strict=True)
        ],
        "notes": _reviews(found),
    }


def _heard_data(ear: Heard | None) -> dict[str, object]:
    if ear is None:
        return {}
    return {
        "heard": {
            "verdict": ear.verdict,
            "words": ear.words,
            "numbers_said": list(ear.numbers_said),
            "numbers_heard": list(ear.numbers_heard),
            "not_compared": list(ear.uncompared),
        }
    }
