"""Answers about a new version → its declaration: what each question of the form means."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.desk.cards.new_version import NewVersion, quoted
from pausewright.problems import OutputError
from pausewright.script.silences import SILENCE_KINDS, SILENCES
from pausewright.shown_text import one_line

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pausewright.desk.frame import Form

KINDS: Final = tuple((kind, SILENCES[kind].name) for kind in SILENCE_KINDS)
"""Silences that extra time may be a share of and make longer."""
BASES: Final = (
    ("listed-silences", "of the silences that are ticked below"),
    ("whole-test", "of the time that the whole test is given"),
)
WHERE: Final = (
    ("each-gap", "into each silence that is ticked, in proportion"),
    ("part-end", "to the end of each part"),
    ("test-end", "to the end of the test"),
    ("fixed-and-remainder", "a pause after each question, and what is left at the end"),
)
UNITS: Final = (("%", "per cent"), ("min", "minutes"))
USUAL: Final = {
    "unit": "%",
    "of": "listed-silences",
    "where": "each-gap",
    "extra_words": "You have {time} more.",
}
"""What the form holds at first."""
_NUMBER: Final = re.compile(r"\d{1,6}(?:\.\d{1,6})?")
_NUMBERS: Final = re.compile(r"\d{1,4}(?:\s*,\s*\d{1,4})*")
_MOST_SIGNS: Final = 200


def version_of(form: Form) -> NewVersion:
    """Return the declaration that a form comes to.

    Raises
    ------
    OutputError
        If something is missing or no number; what does not fit the test only its reading can say.
    """
    name, basis = (_words(form, one) for one in ("name", "basis"))
    label = form.one("label").strip()
    if not label:
        raise OutputError("it is not said what the room calls it", "write a letter, as B")
    if not name:
        raise OutputError("the version has no name", "write one; it stays in the office")
    if not basis:
        raise OutputError(
            "it is not said why it is permitted",
            "write where the decision is kept, for example: Access file 14",
        )
    fields = tuple(_fields(form))
    if not fields:
        raise OutputError("nothing is chosen that would differ", "answer at least one question")
    return NewVersion(name, label, basis, fields)


def next_label(taken: Iterable[str]) -> str:
    """Return the first letter that no version has yet."""
    used = {one.casefold() for one in taken}
    return next((one for one in "BCDEFGHIJKLMNOPQRSTUVWXYZ" if one.casefold() not in used), "")


def _fields(form: Form) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    if pace := _number(form, "pace", "the pace"):
        found.append(("pace", f"{pace} %"))
    if readings := _number(form, "readings", "how often each question is read"):
        found.append(("readings", readings))
    pauses = [
        f"{mark}: {length} s"
        for mark in ("sentence", "clause")
        if (length := _number(form, f"pause_{mark}", "a pause"))
    ]
    if pauses:
        found.append(("pauses", f"{{{', '.join(pauses)}}}"))
    if look := _number(form, "look", "the time to look at the sheet"):
        found.append(("look-time", f"{look} s"))
    if breaks := form.one("breaks").strip():
        if not _NUMBERS.fullmatch(breaks):
            raise OutputError(
                f"‘{one_line(breaks)}’ are no numbers of questions", "write them as 8, 16"
            )
        found.append(("rest-breaks", f"{{after-questions: {quoted(breaks)}}}"))
    return [*found, *_extra_time(form)]


def _extra_time(form: Form) -> list[tuple[str, str]]:
    amount = _number(form, "extra", "how much extra time")
    if not amount:
        return []
    unit = _chosen(form, "unit", UNITS)
    where = _chosen(form, "where", WHERE)
    ceiling = _number(form, "ceiling", "the most extra time")
    most = f", {ceiling} min at most" if ceiling else ""
    found = [("extra-time", quoted(f"{amount} {unit}{most}"))]
    base = _chosen(form, "of", BASES)
    if unit == "%":
        found.append(("share-of", base))
    if where == "each-gap" or (unit == "%" and base == "listed-silences"):
        ticked = [kind for kind, _ in KINDS if kind in form.all("stretch")]
        if not ticked:
            raise OutputError("no silence is ticked that extra time is for", "tick answer time")
        found.append(("stretch", f"[{', '.join(ticked)}]"))
    found.append(("where", where))
    if where == "fixed-and-remainder":
        pause = _number(form, "fixed", "the pause after each question")
        if not pause:
            raise OutputError("it is not said how long the pause is", "write it in seconds")
        found.append(("fixed-pause", f"{pause} s"))
    if where != "each-gap" and (words := _words(form, "extra_words")):
        found.append(("extra-words", quoted(words)))
    if confirmed := _number(form, "confirmed", "the sum that is meant"):
        found.append(("extra-time-confirmed", f"{confirmed} s"))
    return found


def _words(form: Form, name: str) -> str:
    return " ".join(one_line(form.one(name)).split())[:_MOST_SIGNS]


def _number(form: Form, name: str, what: str) -> str:
    """Return a number as it was written; "" if the field is empty."""
    text = form.one(name).strip().removesuffix("%").rstrip()
    if text and not _NUMBER.fullmatch(text):
        raise OutputError(f"‘{one_line(text)}’ is no number: {what}", "write it in figures, as 80")
    return text


def _chosen(form: Form, name: str, choices: tuple[tuple[str, str], ...]) -> str:
    value = form.one(name)
    if value not in dict(choices):
        raise OutputError("this answer is not one of the list", "choose it again")
    return value
