"""The comparison of two readings sees every value of a script, and no place."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from fractions import Fraction
from pathlib import Path

import pytest
from pausewright.problems import Place
from pausewright.script import model
from pausewright.script.reader import read
from pausewright.script.tidying.sameness import _difference, difference
from support.scripts.script_cases import HEAD, TAIL

FILE = Path(__file__).parents[1] / "cases" / "wide.md"
WIDE = FILE.read_text(encoding="utf-8")
NOT_COMPARED = {"place", "places", "sources"}
PLAIN = HEAD + '\nListen.\n\n1. One? {key="1"}\n' + TAIL


def values(one: object) -> Iterator[object]:
    """Walk every dataclass inside a value."""
    if isinstance(one, Place):
        return
    if dataclasses.is_dataclass(one) and not isinstance(one, type):
        yield one
        for field in dataclasses.fields(one):
            yield from values(getattr(one, field.name))
    elif isinstance(one, Mapping):
        for inner in one.values():
            yield from values(inner)
    elif isinstance(one, tuple):
        for inner in one:
            yield from values(inner)


CUE = model.RecordedCue(Fraction(1), Fraction(2), ("Mind the step.",))
"""Stands in a file beside a recording; this script has none."""
ALL = [*values(read(FILE, WIDE).script), CUE]
KINDS = sorted({type(one) for one in ALL}, key=lambda kind: kind.__name__)


def test_every_kind_of_value_is_tried() -> None:
    """The script with every construct holds every dataclass of the model.

    A reference to a question stands in none of the model's fields; a formula is a text
    (tests/wording/test_bad_writing.py).
    """
    known = {
        value for value in vars(model).values()
        if isinstance(value, type) and dataclasses.is_dataclass(value)
    }  # fmt: skip

    assert {kind.__name__ for kind in known - set(KINDS)} == {"Formula", "QuestionRef"}


@pytest.mark.parametrize("kind", KINDS, ids=lambda k: k.__name__)
def test_every_field_but_places_is_compared(kind: type) -> None:
    """Another value in any field is a difference, named by its path."""
    one = next(value for value in ALL if type(value) is kind)
    assert _difference(one, one, "value") == ""
    for field in dataclasses.fields(one):  # type: ignore[arg-type]
        if field.name in NOT_COMPARED:
            continue
        changed = dataclasses.replace(one, **{field.name: ("another", "value")})  # type: ignore[type-var]

        assert _difference(one, changed, "value").startswith(f"value.{field.name}"), field.name


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("Ask now.", "Ask now!"),
        ("Listen **well**", "Listen *well*"),
        ('[1/8]{say="one eighth"', '[1/8]{say="one eight"'),
        ('pause-after="1 s"', ""),
        ("- B. every month", "- B. every year"),
        ("- after ten. {phrase", "\n    - after ten. {phrase"),
        ("A hint for markers.", "A hint for  markers."),
        ('::: staff-note {to="reader"}', "::: staff-note"),
        ("[0.8 s]{.pause} Bye", "[0.9 s]{.pause} Bye"),
        ('{.withdrawn key="nothing"}', '{key="nothing"}'),
        ("pause: 1.5 s", "pause: 1.4 s"),
        ("# Close", "# End"),
        ('phrase-readings="2"', 'phrase-readings="3"'),
        ("numbering", "numbering"),
    ],
)
def test_a_changed_script_differs(old: str, new: str) -> None:
    """A changed word, sign, time, attribute or paragraph is seen; no change is none."""
    found = difference(read(FILE, WIDE), read(FILE, WIDE.replace(old, new)))

    assert (found == "") is (old == new or old not in WIDE)


@pytest.mark.parametrize(
    "other",
    [
        PLAIN.replace("\n\n", "\n\n\n"),
        PLAIN.replace("\nListen.", "\n<!-- a note -->\nListen."),
        PLAIN.replace("Listen.", "Listen.  "),
    ],
)
def test_where_something_stands_is_no_difference(other: str) -> None:
    """Lines, columns, comments and blanks at the ends of lines are not compared."""
    assert difference(read(FILE, PLAIN), read(FILE, other)) == ""


def test_arrangements_and_problems_are_compared() -> None:
    """What stands under `arrangements` is compared as it is, and problems by their kind."""
    arranged = PLAIN.replace("---\n\nListen", "arrangements:\n  b: {label: B}\n---\n\nListen")

    assert difference(read(FILE, PLAIN), read(FILE, arranged)) == "arrangements"
    assert difference(read(FILE, arranged), read(FILE, arranged)) == ""
    assert (
        difference(read(FILE, arranged), read(FILE, arranged.replace("label: B", "label: C")))
        == "arrangements"
    )
    assert difference(read(FILE, PLAIN), read(FILE, PLAIN.replace("{key", "{kye"))) == "problems"


def test_included_text_is_compared(tmp_path: Path) -> None:
    """An included file that changed in between is a difference."""
    part, text = tmp_path / "part.md", HEAD + "\n[Part](part.md){.include}\n" + TAIL
    part.write_text("Listen. <!-- one -->\n", encoding="utf-8")
    before = read(tmp_path / "test.md", text)
    part.write_text("Listen. <!-- two -->\n", encoding="utf-8")

    assert difference(before, read(tmp_path / "test.md", text)).startswith("includes")
