"""Promises: worked out from the standard script alone, the same as what is planned; or told."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import pytest
from pausewright.arrange.declarations import named
from pausewright.checker.promises.effect import without_effect
from pausewright.checker.promises.events import Said, Waited
from pausewright.checker.promises.promise import promise_of
from pausewright.checker.promises.shown_as_promised import Readable
from pausewright.checker.promises.sounded_as_promised import pitch_hz
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions, make_version
from pausewright.problems import ScriptError
from support.amounts import cases
from support.places import DEMO, ROOT
from support.promises import differences
from support.random_scripts.builds import opened
from support.random_scripts.scripts import drawn_by_seed
from support.scripts.versions import END, HEAD, version, written

if TYPE_CHECKING:
    from pathlib import Path

F = Fraction
PAGE = (ROOT / "docs" / "arrangements.md").read_text("utf-8")
EXAMPLES = re.findall(r"```yaml\n(.*?)```", PAGE, re.DOTALL)
FIELDS = (
    "readings: 3",
    "readings: 4, pace: 90 %",
    "look-time: {before-questions: 5 s, words: 'Look at number {number}.'}",
    "pauses: {sentence: 1.1 s, clause: 0.7 s}",
    (
        "extra-time: 25 %, share-of: listed-silences, stretch: [answer-time, look-time], "
        "where: each-gap"
    ),
    "extra-time: 60 s, where: part-end, extra-words: 'You have {time} more.'",
    "captions: everything, voice: iris",
    "rest-breaks: {after-questions: '1'}, readings: 3",
    "rest-breaks: {every: 2 min}",
)
"""Drawn scripts are tried with each of these."""


@pytest.mark.parametrize("seed", range(cases(4, 120)))
def test_drawn_scripts_are_planned_as_promised(tmp_path: Path, seed: int) -> None:
    """Whatever is drawn: both readings of the docs come to the same, in every arrangement."""
    script = drawn_by_seed(7_000 + seed).write(tmp_path)
    rows = [
        f"x{i}: {{label: {chr(66 + i)}, basis: file, {fields}}}" for i, fields in enumerate(FIELDS)
    ]
    (tmp_path / "drawn.arrangements.yaml").write_text(
        "\n".join(["standard: {label: A}", *rows, ""]), "utf-8"
    )
    project = opened(script)
    n_made = 0
    for arrangement in project.arrangements:
        made = make_version(project.script, project.worded, arrangement)
        if not any(one.severity == "error" for one in made.problems):
            n_made += 1
            assert differences(project.script, made) == [], arrangement.name
    assert n_made > 2


@pytest.mark.parametrize("text", EXAMPLES)
def test_each_example_of_the_docs_is_planned_as_promised(tmp_path: Path, text: str) -> None:
    """The declarations of docs/arrangements.md come to the same by both readings of the page."""
    found = re.search(r"```markdown script\n(.*?)```", PAGE, re.DOTALL)
    assert found is not None
    script = tmp_path / "harbour.md"
    script.write_text(found[1], "utf-8")
    (tmp_path / "harbour.arrangements.yaml").write_text(text, "utf-8")
    project = open_project(script)

    for arrangement in project.arrangements:
        made = make_version(project.script, project.worded, arrangement)
        assert differences(project.script, made) == []


@pytest.mark.parametrize("script", sorted(DEMO.glob("*.md")), ids=lambda path: path.stem)
def test_each_demo_is_planned_as_promised(script: Path) -> None:
    """Every version of every demo."""
    project = open_project(script)

    for made in made_versions(project):
        assert differences(project.script, made) == []


# ---- what each field promises, by hand

BODY = HEAD + (
    '# Songs {readings="2" between-readings="3 s" answer-time="6 s"}\n\n'
    '1. Who sings, and where? {key="A"}\n2. Why? It is £14.50, and £2. {key="B"}\n\n'
    '# Sums {answer-time="8 s"}\n\nLook. {look-time="4 s"}\n\n'
    '3. Take nine. {key="C"}\n\n    - a. How many? {answer-time="5 s"}\n'
    '    - k. How much? {answer-time="7 s"}\n'.replace("- k.", "- b.")
    + END
)


def promised(folder: Path, fields: str, *kinds: str) -> list[tuple[str, Fraction]]:
    """Return what is waited for, by item, in an arrangement of `BODY`."""
    made = version(folder, BODY, fields)
    script = open_project(folder / "tide.md").script
    return [
        (str(one.item or one.after), one.wait_s)
        for one in promise_of(script, made.arrangement).waited()
        if one.kind in kinds
    ]


def test_readings_and_silences_by_hand(tmp_path: Path) -> None:
    """Three readings have two silences between them; numbers are those of the script."""
    assert promised(tmp_path, "readings: 3", "between-readings") == [
        *[("1", F(3))] * 2, *[("2", F(3))] * 2, *[("3a", F(3))] * 2, *[("3b", F(3))] * 2,
    ]  # fmt: skip


def test_extra_time_by_hand(tmp_path: Path) -> None:
    """A quarter of 6 + 6 + 5 + 7 s is 6 s; after question 3 means after its last sub-question."""
    quarter = "extra-time: 25 %, share-of: listed-silences, stretch: [answer-time], where: each-gap"
    split = "extra-time: 20 s, where: {question 3: 12 s, test-end: 8 s}"

    assert [s for _, s in promised(tmp_path, quarter, "answer-time")] == [
        F(15, 2), F(15, 2), F(25, 4), F(35, 4),
    ]  # fmt: skip
    assert [s for _, s in promised(tmp_path, split, "answer-time")] == [F(6), F(6), F(5), F(27)]


def test_breaks_and_look_times_by_hand(tmp_path: Path) -> None:
    """A break holds 20 s after its question; look times stand before each question."""
    assert promised(tmp_path, 'rest-breaks: {after-questions: "2"}', "hold") == [("2", F(20))]
    looked = "look-time: {in-script: 9 s, before-questions: 2 s, words: 'Look.'}"
    assert promised(tmp_path, looked, "look-time") == [
        ("1", F(2)), ("2", F(2)), ("2", F(9)), ("3", F(2)),
    ]  # fmt: skip


def test_marks_by_hand(tmp_path: Path) -> None:
    """A comma after a figure is a mark; an initial, a date and a number are none."""
    text = HEAD + (
        '1. It is £14.50, and a bell, if you want one. On 5 May, 2024, "so," said J. K. Low. '
        'Add 1,250; then 3. {answer-time="6 s"}' + END
    )
    written(tmp_path, text, "x: {label: B, basis: f, pauses: {clause: 1 s}}")
    project = open_project(tmp_path / "tide.md")
    promise = promise_of(project.script, named(project.arrangements, "x"))
    marks = [m for one in promise.events if isinstance(one, Said) for m in one.marks]

    assert [(m.kind, m.excuse) for m in marks] == [
        ("clause", ""), ("clause", ""), ("sentence", ""), ("clause", "a year stands after it"),
        ("clause", ""), ("clause", ""), ("sentence", ""), ("clause", ""),
    ]  # fmt: skip


# ---- no arrangement without effect


@pytest.mark.parametrize(
    "fields",
    [
        "pace: 100 %",
        "loudness: headphones",
        "captions: instructions",
        "transcript: instructions",
        "voice: joe",
        "rest-breaks: {every: 60 min}",
    ],
)
def test_a_field_without_effect_is_refused(tmp_path: Path, fields: str) -> None:
    """A field that changes nothing on this script is an error at its place, with a hint."""
    script = written(tmp_path, BODY, "x: {label: B, basis: f, " + fields + "}")
    name = fields.partition(":")[0]
    with pytest.raises(ScriptError) as caught:
        made_versions(open_project(script))

    (problem,) = [p for p in caught.value.problems if p.code == "arrangement-without-effect"]
    assert problem.message == f"‘{name}’ changes nothing on this script"
    assert problem.place.file.name == "tide.arrangements.yaml"
    assert problem.hint


def test_pauses_and_readings_without_effect(tmp_path: Path) -> None:
    """Pauses where nothing has a mark, and readings that all have already."""
    text = HEAD + '# One {readings="3"}\n\n1. ship {answer-time="6 s"}' + END
    for fields, name in (("pauses: {clause: 1 s}", "pauses"), ("readings: 3", "readings")):
        written(tmp_path, text, "x: {label: B, basis: f, " + fields + "}")
        project = open_project(tmp_path / "tide.md")
        arrangement = named(project.arrangements, "x")
        assert [one.name for one in without_effect(project.script, arrangement)] == [name]


# ---- single rules


@pytest.mark.parametrize("tone_hz", [60.0, 130.0, 440.0, 520.0, 660.0, 1000.0, 4000.0])
def test_pitch_of_a_sine_is_told(tone_hz: float) -> None:
    """A sine's own frequency is the source; a tenth of a second is enough."""
    rng = np.random.default_rng(3)
    n = np.arange(4410)
    wave = np.sin(2 * np.pi * tone_hz * n / 44_100 + 0.3) + rng.normal(0, 0.01, len(n))
    measured = pitch_hz(wave.astype(np.float32), 44_100)

    assert measured is not None
    assert abs(measured / tone_hz - 1) < 0.01


def test_what_may_not_be_read_is_told_by_its_place() -> None:
    """A word is withheld where it stands only in places that may not be shown."""
    readable = Readable({"listen", "to", "question"}, {"gull", "listen"})

    assert readable.leaked("Listen to the gull.") == {"gull"}
    assert readable.leaked("Question 1: listen!") == set()


def test_a_difference_in_a_version_is_found(tmp_path: Path) -> None:
    """A version that is not as declared differs from its promise."""
    made = version(tmp_path, BODY, "readings: 3")
    script = open_project(tmp_path / "tide.md").script
    other = replace(made, arrangement=replace(made.arrangement, readings=4))

    assert differences(script, made) == []
    assert {one.code for one in differences(script, other)} == {"promise-readings"} | {
        one.code for one in differences(script, other) if one.field == "readings"
    }
    assert any(isinstance(one, Waited) for one in promise_of(script, made.arrangement).events)
