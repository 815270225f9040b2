"""A new version by answers to questions: what is declared, what is refused, what stays as it was.

What an arrangement means is taken from docs/arrangements.md, through its own reader.
"""

from __future__ import annotations

from fractions import Fraction
from html import unescape
from typing import TYPE_CHECKING

import pytest
from pausewright.arrange.arrangement import FixedAndRemainder, Pauses, RestBreaks, Share
from pausewright.arrange.declarations import read_arrangements
from pausewright.desk.cards.model import CardError
from pausewright.desk.cards.new_version import NewVersion, with_version
from pausewright.script.reader import read
from support.desks.folder import GOOD, HOSTILE

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.arrange.arrangement import Arrangement
    from support.desks.folder import Place

PLAIN = GOOD.replace(
    "arrangements:\n  standard: {label: A}\n  slower: {label: B, pace: 80 %, basis: file 1}\n", ""
)
MARKED = GOOD.replace("What is 7", "Take seven. What is 7")
OFFICE = {"name": "slower again", "label": "C", "basis": "Access file 14/B"}
USUAL = {"unit": "%", "of": "listed-silences", "where": "each-gap", "stretch": "answer-time"}
EXTRA = OFFICE | USUAL | {"extra": "25"}


def declared(script: Path) -> dict[str, Arrangement]:
    """Return what a script declares, by label."""
    found, problems = read_arrangements(read(script), script)
    assert problems.errors == ()
    return {one.label: one for one in found}


def asked(place: Place, name: str, text: str, fields: dict[str, str]) -> tuple[int, str, Path]:
    """Answer the form of a test; return status, page and script."""
    script = place.folder / name
    script.write_text(text, encoding="utf-8")
    page = f"/test/{place.id_of(name)}/versions"
    place.client.waited(page, "A new version")
    reply = place.client.post(f"{page}/new", fields)
    return reply.status, unescape(reply.text), script


def test_a_version_is_declared_by_answers(place: Place) -> None:
    """Below those that are there, and no other line changes; taken back as all else."""
    more = OFFICE | {"pace": "75", "readings": "3", "pause_sentence": "1.2", "breaks": "1"}
    status, page, script = asked(place, "versions.md", MARKED, {**USUAL, **more})

    assert status == 200, page
    rows = script.read_text("utf-8").split("\n")
    assert [row for row in rows if row not in MARKED.split("\n")] == [
        '  "slower again":', '    label: "C"', '    basis: "Access file 14/B"', "    pace: 75 %",
        "    readings: 3", "    pauses: {sentence: 1.2 s}",
        '    rest-breaks: {after-questions: "1"}',
    ]  # fmt: skip
    found = declared(script)
    assert list(found) == ["A", "B", "C"]
    assert (found["C"].name, found["C"].basis) == ("slower again", "Access file 14/B")
    assert found["C"].pace == Fraction(3, 4)
    assert found["C"].readings == 3
    assert found["C"].pauses == Pauses(Fraction(6, 5), None)
    assert found["C"].rest_breaks == RestBreaks((1,), None, "")

    page = f"/test/{place.id_of('versions.md')}/words"
    base = place.client.get(page).text.partition('name="base" value="')[2][:64]
    text = script.read_text("utf-8")
    place.client.post(page, {"base": base, "text": text, "how": "back"})
    assert script.read_text("utf-8") == MARKED


def test_the_first_version_and_extra_time(place: Place) -> None:
    """Where none is declared yet; a pause after each question, with a ceiling and its words."""
    more = {"where": "fixed-and-remainder", "fixed": "0.5", "ceiling": "30"}
    words = {"extra_words": "You now have {time} more."}
    _, _, script = asked(place, "first-version.md", PLAIN, EXTRA | more | words)

    found = declared(script)["C"].extra_time
    assert found is not None
    assert found.amount == Share(Fraction(1, 4))
    assert found.at_most_s == 1800
    assert (found.base, found.stretch) == ("listed-silences", ("answer-time",))
    assert found.where == FixedAndRemainder(Fraction(1, 2))
    assert found.words == "You now have {time} more."


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({}, "it is not said what the room calls it"),
        (OFFICE, "nothing is chosen that would differ"),
        (OFFICE | {"basis": " "}, "it is not said why it is permitted"),
        (OFFICE | {"name": "", "pace": "80"}, "the version has no name"),
        (OFFICE | {"pace": "slow"}, "is no number"),
        (OFFICE | {"pace": "80", "label": "B"}, "same label"),
        (OFFICE | {"pace": "80", "label": "<b>"}, "is not a short label"),
        (OFFICE | {"pace": "900"}, "900"),
        (OFFICE | {"readings": "1"}, "changes nothing"),
        (OFFICE | {"breaks": "first"}, "are no numbers of questions"),
        (OFFICE | {"breaks": "99"}, "99"),
        (EXTRA | {"where": "nowhere"}, "is not one of the list"),
        (EXTRA | {"stretch": "x"}, "no silence is ticked"),
        (EXTRA | {"where": "fixed-and-remainder"}, "how long the pause is"),
        (EXTRA | {"where": "test-end", "extra_words": "More time."}, "how much time there is"),
        (EXTRA | {"of": "whole-test"}, "test-time"),
        (OFFICE | {"name": "standard", "pace": "80"}, "standard"),
    ],
)
def test_what_cannot_be_declared_is_told(place: Place, fields: dict[str, str], said: str) -> None:
    """In the page with the answers that were given; nothing is written."""
    status, text, script = asked(place, "no-version.md", GOOD, fields)

    assert status == 400
    assert said.lower() in text.partition("Nothing was changed")[0].lower()
    assert script.read_text("utf-8") == GOOD
    if fields.get("basis") == OFFICE["basis"]:
        assert f'value="{OFFICE["basis"]}"' in text


def test_a_sum_that_is_not_sure_is_asked_for(place: Place) -> None:
    """A stated test time makes a share mean several sums: a field takes the right one."""
    text = PLAIN.replace("\nlanguage:", "\ntest-time: 20 min\nlanguage:")
    status, page, script = asked(place, "sums.md", text, EXTRA)
    assert status == 400
    assert "if that sum is right, state it" in page.lower()
    assert script.read_text("utf-8") == text

    status, _, script = asked(place, "sums.md", text, EXTRA | {"confirmed": "2"})
    assert status == 200
    assert declared(script)["C"].extra_time_confirmed_s == 2


def test_hostile_answers_are_words(place: Place) -> None:
    """In names and reasons, for settings and for pages alike."""
    odd = {"name": f'"x": {{a}} # {HOSTILE}', "basis": f"- 'y'\n: \\ {HOSTILE}\t\x00"}
    status, page, script = asked(place, "odd-version.md", GOOD, {**OFFICE, **odd, "pace": "80"})

    assert status == 200
    assert declared(script)["C"].name == odd["name"]
    assert HOSTILE not in place.client.get(f"/test/{place.id_of('odd-version.md')}/versions").text
    refused = place.client.post(
        f"/test/{place.id_of('odd-version.md')}/versions/new", {**OFFICE, **odd, "pace": "no"}
    )
    assert HOSTILE not in refused.text
    assert "<img" not in page


NEW = NewVersion("later", "C", "why", (("pace", "80 %"),))
ADDED = '  later:\n    label: "C"\n    basis: "why"\n    pace: 80 %\n'
DEEPER = "".join(f"  {row}\n" for row in ADDED.splitlines())


@pytest.mark.parametrize(
    ("head", "expected"),
    [
        ("title: x\n", f"title: x\narrangements:\n{ADDED}"),
        ("arrangements: # ours\n  b:\n    label: B\n\n# end\nx: 1\n",
         f"arrangements: # ours\n  b:\n    label: B\n{ADDED}\n# end\nx: 1\n"),
        ("arrangements:\n    b: {label: B,\n      basis: y}\n",
         "arrangements:\n    b: {label: B,\n      basis: y}\n" + DEEPER),
        ("arrangements:\nx: 1\n", f"arrangements:\n{ADDED}x: 1\n"),
    ],
)  # fmt: skip
def test_where_the_lines_go(head: str, expected: str) -> None:
    """Written down by hand."""
    assert with_version(f"---\n{head}---\n\n1. One?\n", NEW) == f"---\n{expected}---\n\n1. One?\n"


@pytest.mark.parametrize(
    "text", ["1. One?\n", "---\ntitle: x\n", "---\narrangements: {b: {label: B}}\n---\n"]
)
def test_where_no_lines_can_go(text: str) -> None:
    """Said, and nothing changed."""
    with pytest.raises(CardError):
        with_version(text, NEW)
