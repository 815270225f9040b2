"""Every example of docs/arrangements.md and the four example files are as good as they say."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pausewright.arrange.declarations import named, read_arrangements
from pausewright.arrange.fields import FIELDS
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions, make_version
from pausewright.script.reader import read
from support.scripts.versions import expected_waits, waits

if TYPE_CHECKING:
    from pausewright.deliver.version import Version

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "arrangements.md").read_text("utf-8")
SCRIPT = re.search(r"```markdown script\n(.*?)```", PAGE, re.DOTALL)
EXAMPLES = re.findall(r"```yaml\n(.*?)```(?:\n\n```text sum\n(.*?)\n```)?", PAGE, re.DOTALL)
EXAMPLE_FILES = sorted((ROOT / "demo_scripts" / "arrangements").glob("*.md"))
KINDS = ("answer-time", "extra-time", "between-readings", "look-time", "hold", "pause")


def made(folder: Path, text: str) -> Version:
    """Return the last arrangement of an example as a version of the page's script."""
    assert SCRIPT is not None
    script = folder / "harbour.md"
    script.write_text(SCRIPT[1], "utf-8")
    (folder / "harbour.arrangements.yaml").write_text(text, "utf-8")
    project = open_project(script)
    assert [p.message for p in project.problems] == []
    return make_version(project.script, project.worded, project.arrangements[-1])


@pytest.mark.parametrize(("text", "told"), EXAMPLES)
def test_each_example_is_carried_out(tmp_path: Path, text: str, told: str) -> None:
    """Each declaration works, its sum is the one on the page, and the check works out the same."""
    version = made(tmp_path, text)

    assert [p.message for p in version.problems if p.severity == "error"] == []
    assert (version.grant.sum_text if version.grant else "") == told
    assert expected_waits(version, *KINDS) == waits(version, *KINDS)


def test_there_is_an_example_for_every_field() -> None:
    """No field is left without an example on the page."""
    assert len(EXAMPLES) > 10
    for name in FIELDS:
        assert re.search(rf"(?m)^\s*{name}:|`{name}: ", PAGE), name


@pytest.mark.parametrize("script", EXAMPLE_FILES, ids=lambda path: path.stem)
def test_the_example_files_are_without_a_problem(script: Path) -> None:
    """The four published ways read clean, and every version of them can be planned."""
    project = open_project(script)
    versions = made_versions(project)

    assert [p.message for p in project.problems] == []
    assert len(versions) >= 2
    assert [p.message for v in versions for p in v.problems] == []
    for version in versions:
        assert expected_waits(version, *KINDS) == waits(version, *KINDS)
    yaml = script.with_name(f"{script.stem}.arrangements.yaml").read_text("utf-8")
    assert "The awarding body's current rules decide" in yaml
    assert f"`{script.stem}`" in PAGE


def test_the_four_ways_are_there() -> None:
    """Each is named by its method."""
    assert [p.stem for p in EXAMPLE_FILES] == [
        "each-gap", "fixed-and-remainder", "none-permitted", "silences-only-no-extra-reading",
    ]  # fmt: skip


def test_the_published_sum_comes_out() -> None:
    """AA-04: the example of the fixed pause gives 1,350 s in nine places."""
    script = next(p for p in EXAMPLE_FILES if p.stem == "fixed-and-remainder")
    version = made_versions(open_project(script), ["B"])[0]

    assert version.grant is not None
    assert version.grant.sum_text == "8 × 60 s + 870 s = 1,350 s = 25 % of 5,400 s"
    assert version.grant.n_places == 9


def test_none_is_refused_where_none_is_permitted(tmp_path: Path) -> None:
    """AA-09: extra time in the example that permits none is refused with its reason."""
    source = next(p for p in EXAMPLE_FILES if p.stem == "none-permitted")
    script = tmp_path / source.name
    script.write_text(source.read_text("utf-8"), "utf-8")
    (tmp_path / "none-permitted.arrangements.yaml").write_text(
        "x: {label: B, basis: f, extra-time: 5 min, where: test-end}\n", "utf-8"
    )
    found, problems = read_arrangements(read(script), script)

    assert named(found, "B").name == "x"
    assert "the rules of this test give no additional time" in problems.all[0].message
