"""Arrangements are read from settings or a file of their own, with every problem placed."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from pausewright.arrange.arrangement import NO_CHANGES, ExtraTime, Share
from pausewright.arrange.declarations import ArrangementError, named
from pausewright.arrange.fields import FIELDS
from support.scripts.arrangement_cases import QUARTER, REFUSED, declared

if TYPE_CHECKING:
    from pathlib import Path


def test_without_declarations_there_is_the_standard_track(tmp_path: Path) -> None:
    """The standard track has label A and changes nothing."""
    found, problems = declared(tmp_path)

    assert problems == ()
    assert [(a.name, a.label, a.changes) for a in found] == [("standard", "A", ())]
    assert named(found) is found[0]


@pytest.mark.parametrize("inside", [False, True])
def test_both_places_mean_the_same(tmp_path: Path, inside: bool) -> None:  # noqa: FBT001
    """A file beside the script and `arrangements:` in its settings are read alike."""
    indented = "".join(f"  {row}\n" for row in QUARTER.splitlines())
    settings = "arrangements:\n" + indented if inside else ""
    found, problems = declared(tmp_path, "" if inside else QUARTER, settings)

    assert problems == ()
    assert [(a.name, a.label) for a in found] == [
        ("standard", "A"), ("extra-quarter", "B"), ("slower", "C"),
    ]  # fmt: skip
    assert found[1].extra_time == ExtraTime(
        Share(Fraction(1, 4)), "each-gap", Fraction(1800), "listed-silences",
        ("answer-time", "phrase-time"),
    )  # fmt: skip
    assert found[1].basis == "Access file 14/B"
    assert found[2].pace == Fraction(4, 5)
    assert found[2].place is not None
    assert (found[2].place.line, found[2].place.column) == ((14, 3) if inside else (9, 1))


def test_an_arrangement_is_found_by_name_or_label(tmp_path: Path) -> None:
    """A version is named by its name or its label; an unknown one is refused with the nearest."""
    found, _ = declared(tmp_path, QUARTER)

    assert named(found, "A").name == "standard"
    assert named(found, "slower") is named(found, "C")
    with pytest.raises(ArrangementError, match="‘slow’ is not declared") as caught:
        named(found, "slow")
    assert caught.value.hint == "did you mean slower?"


@pytest.mark.parametrize("text", REFUSED)
def test_what_is_refused(tmp_path: Path, text: str) -> None:
    """A declaration that cannot be meant is one problem, in the file, with a hint."""
    _, problems = declared(tmp_path, text + "\n")

    assert len(problems) == 1
    assert REFUSED[text] in problems[0].message
    assert problems[0].hint
    assert problems[0].place.file.name == "test.arrangements.yaml"


def test_places_are_those_of_the_file(tmp_path: Path) -> None:
    """Line and column of a problem are those in the arrangements' own file."""
    _, problems = declared(
        tmp_path, "standard: {label: A}\nslower:\n  label: C\n  pace: 5\n  basis: f\n"
    )

    assert [(p.place.line, p.place.column) for p in problems] == [(4, 9)]


def test_arrangements_in_two_places_are_refused(tmp_path: Path) -> None:
    """Settings and file together are one problem: nobody could say which counts."""
    _, problems = declared(tmp_path, QUARTER, "arrangements: {standard: {label: A}}\n")

    assert [p.code for p in problems] == ["arrangements-twice"]


def test_extra_time_may_be_forbidden_by_the_script(tmp_path: Path) -> None:
    """`extra-time: not-permitted` refuses such an arrangement, with the script's reason."""
    _, problems = declared(
        tmp_path, QUARTER, 'extra-time: not-permitted\nextra-time-reason: "Rule 7"\n'
    )

    assert [p.message for p in problems] == ["the script does not permit extra time: Rule 7"]


def test_a_file_that_is_no_text(tmp_path: Path) -> None:
    """An arrangements file in another encoding is a problem, no traceback."""
    (tmp_path / "test.arrangements.yaml").write_bytes(b"x: {label: \xe9}\n")
    _, problems = declared(tmp_path)

    assert [p.code for p in problems] == ["file-encoding"]


def test_every_example_of_the_table_is_read(tmp_path: Path) -> None:
    """The example that a hint gives for a field is itself accepted."""
    for name, spec in FIELDS.items():
        where = "fixed-and-remainder" if name == "fixed-pause" else "part-end"
        rows = [
            "label: Z",
            'basis: "f"',
            "extra-time: 5 min",
            "stretch: [answer-time]",
            "share-of: whole-test",
            f"where: {where}",
        ]
        rows = [row for row in rows if not row.startswith(f"{name}:")] + [spec.example]
        found, problems = declared(tmp_path, "x:\n" + "".join(f"  {row}\n" for row in rows))

        assert problems == (), spec.example
        assert name in {"label", *found[1].declared()}
        assert (name in found[1].changes) == spec.is_change


def test_label_and_basis_are_no_changes() -> None:
    """All but label, basis, the time of what is left and cutting into files changes the track."""
    assert (
        {"label", "basis", "test-time", "extra-time-confirmed", "split"}
        == NO_CHANGES
        <= set(FIELDS)
    )
