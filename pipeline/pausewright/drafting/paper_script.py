"""A script from what was found in a paper; what is doubtful stands in comments."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Final

from pausewright.drafting.paper_items import PaperHeading, PaperQuestion, PaperText
from pausewright.frozen import frozen
from pausewright.script.attributes.braces import escaped
from pausewright.script.written_words import as_comment, one_blank, written

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.drafting.paper_items import PaperFound

LOOK: Final = "look at this"
"""A comment begins so that says what is doubtful."""
LEFT: Final = "left out of the test"
_NEEDS_A_BLOCK: Final = frozenset("{}")


@frozen
class Manner:
    """How the questions of a new test are read."""

    title: str
    language: str = "en-GB"
    readings: int = 2
    between: str = "2 s"
    """Silence between two readings."""
    answer_time: str = "10 s"
    announce: str = "Question {number}."
    """ "" for nothing."""


def settings_rows(manner: Manner) -> list[str]:
    """Return the settings of a new test, with the lines around them."""
    rows = ["---", f"title: {_yaml(manner.title)}", f"language: {_yaml(manner.language)}"]
    if manner.readings > 1:
        rows += [f"readings: {manner.readings}", f"between-readings: {_yaml(manner.between)}"]
    rows.append(f"answer-time: {_yaml(manner.answer_time)}")
    if manner.announce.strip():
        rows.append(f"announce: {_yaml(manner.announce)}")
    return [*rows, "---", ""]


def script_of_paper(found: PaperFound, cautions: tuple[str, ...], manner: Manner) -> str:
    """Return the script of what was found in a paper; each doubt stands above what it is about.

    `cautions` are what reading the paper had to say.
    """
    rows = settings_rows(manner)
    rows += [as_comment(f"{LOOK}: {one}") for one in cautions]
    rows += [""] if cautions else []
    numbers = {False: 0, True: 0}
    practice = (False, False)
    has_heading = False
    for one in found.items:
        if not has_heading and not isinstance(one, PaperHeading):
            rows += ["# Test", ""]
        has_heading = True
        if isinstance(one, PaperHeading):
            if one.rank == "part":
                practice = (one.practice, one.practice)
            else:
                practice = (practice[0], practice[0] or one.practice)
            rows += _doubts(one.doubts)
            mark = "#" if one.rank == "part" else "##"
            braces = " {.practice}" if one.practice else ""
            rows += [f"{mark} {_title(one.title)}{braces}", ""]
        elif isinstance(one, PaperText):
            rows += [*_doubts(one.doubts), written(one_blank(one.text)), ""]
        else:
            numbers[practice[1]] += 1
            rows += [*_question(one, numbers[practice[1]]), ""]
    if not found.items or isinstance(found.items[-1], PaperQuestion):
        rows += ["# Close", "", as_comment(f"{LOOK}: this sentence was added")]
        rows += ["", "The test is over.", ""]
    rows += [as_comment(f"{LEFT}, as {one.why}: {one.text}") for one in found.left]
    return re.sub(r"\n{3,}", "\n\n", "\n".join(rows)).rstrip("\n") + "\n"


def _question(one: PaperQuestion, number: int) -> Iterator[str]:
    """Give the lines of a question, with what is doubtful above it."""
    doubts = list(one.doubts)
    if one.number != number:
        doubts.append(f"the paper numbers it {one.number}")
    items = []
    key = " ".join(one_blank(one.key).split())
    key_block = bool(key) and (bool(_NEEDS_A_BLOCK & set(key)) or not key.strip("| "))
    if key and not key_block:
        if "|" in key:
            doubts.append("its key holds |, which stands between answers that are all right")
        items.append(f'key="{escaped(key)}"')
    if one.marks != 1:
        items.append(f'marks="{one.marks}"')
    yield from _doubts(doubts)
    first, *more = [row for words in one.words for row in _paragraph(words)]
    yield f"{number}. {first}" + (f" {{{' '.join(items)}}}" if items else "")
    for row in more:
        yield ""
        yield f"    {row}"
    if one.answers:
        yield ""
    is_sub = bool(one.answers) and one.answers[0].letter.islower()
    for answer in one.answers:
        row = written(" ".join(one_blank(answer.text).split()), begins_line=False)
        yield f"    - {answer.letter}. {row}"
        if is_sub and answer is not one.answers[-1]:
            yield ""
    if key_block:
        yield from ("", "    ::: key", f"    {written(key)}", "    :::")


def _paragraph(words: str) -> list[str]:
    return [written(row) for row in [" ".join(one_blank(words).split())] if row]


def _title(title: str) -> str:
    """Return a heading, which holds plain words alone."""
    plain = one_blank(title).replace("\n", " ")
    return written(plain.replace("$", "").replace("*", ""), begins_line=False)


def _doubts(doubts: list[str]) -> list[str]:
    rows = [as_comment(f"{LOOK}: {one}") for one in doubts]
    return ["", *rows, ""] if rows else []


def _yaml(text: str) -> str:
    return json.dumps(one_blank(text).replace("\n", " "), ensure_ascii=False)
