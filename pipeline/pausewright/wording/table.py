"""The table of written, spoken and shown forms that people sign off before a build."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pausewright.wording.language import language_for
from pausewright.wording.pieces import Utterance

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from pausewright.problems import Problem
    from pausewright.wording.worded import Worded


@dataclass(frozen=True, slots=True)
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


def _plain(text: str) -> str:
    for curly, straight in (("’", "'"), ("‘", "'"), ("“", '"'), ("”", '"'), ("…", ",")):
        text = text.replace(curly, straight)
    return " ".join(text.split())


def rows(worded: Worded) -> tuple[Row, ...]:
    """Return every distinct sentence of a script, in the order in which it is first said."""
    counted: dict[tuple[object, ...], int] = {}
    first: dict[tuple[object, ...], Utterance] = {}
    for piece in worded.all_pieces():
        if isinstance(piece, Utterance):
            key = (piece.written, piece.spoken, piece.shown, piece.speech.language)
            counted[key] = counted.get(key, 0) + 1
            first.setdefault(key, piece)
    return tuple(Row(utterance, counted[key]) for key, utterance in first.items())


def table_text(found: Sequence[Row], *, everything: bool) -> str:
    """Return the table as plain text: for each sentence its line and its forms.

    Sentences that are said and shown as they are written are only counted, unless `everything`.
    """
    out: list[str] = []
    listed = [row for row in found if everything or row.is_changed]
    for row in listed:
        one = row.utterance
        times = f"  ({row.n_times} times)" if row.n_times > 1 else ""
        file = "" if one.place.file == found[0].utterance.place.file else f"{one.place.file.name}, "
        out += [f"{file}line {one.place.line}{times}", f"    written  {one.written}"]
        out.append(f"    spoken   {row.spoken}")
        if one.shown != one.written:
            out.append(f"    shown    {one.shown}")
        out.append("")
    as_written = len(found) - len(listed)
    if as_written:
        noun = "sentence is" if as_written == 1 else "sentences are"
        out.append(f"{as_written} {noun} said and shown as written (--all lists them)")
    out += [*_reviews(found), "Signed off by: ____________________   on: ______________"]
    return "\n".join(out) + "\n"


def _reviews(found: Iterable[Row]) -> list[str]:
    """Return a line for each language whose words no speaker has reviewed."""
    tags = {part.language or row.utterance.speech.language
            for row in found for part in row.utterance.spoken}  # fmt: skip
    notes = []
    for tag in sorted(tags):
        known = language_for(tag)
        if known is None or known.needs_review:
            what = "has no words for figures" if known is None else "was not reviewed by a speaker"
            notes.append(f"The wording in {tag} {what}: have a speaker sign it off.")
    return notes


def table_data(found: Sequence[Row], problems: Sequence[Problem]) -> dict[str, Any]:
    """Return the table as data for `--json`, warnings first."""
    return {
        "problems": [
            {
                "severity": p.severity, "code": p.code,
                "file": str(p.place.file), "line": p.place.line,
                "column": p.place.column, "length": p.place.length, "message": p.message,
                "hint": p.hint,
            }
            for p in problems
        ],
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
            }
            for row in found
        ],
        "notes": _reviews(found),
    }  # fmt: skip
