"""`pausewright tidy` as a user meets it: what is written, what never is, exit codes, JSON."""

from __future__ import annotations

import json
import os
import stat
from functools import partial
from typing import TYPE_CHECKING

import pytest
from pausewright.script.tidying import tidy_text as tidy_module
from support.scripts.script_cases import HEAD, TAIL

if TYPE_CHECKING:
    from pathlib import Path

    from support.command_line import Run

UNTIDY = HEAD + "\n1.  One?{key=1}" + TAIL
TIDY = HEAD + '\n1. One? {key="1"}' + TAIL


@pytest.fixture
def run(run: Run) -> Run:
    """Run `tidy` in a folder of its own; gives exit code, output and messages."""
    return partial(run, "tidy")


@pytest.fixture
def script(tmp_path: Path) -> Path:
    """Return a script that is not tidy."""
    file = tmp_path / "unit.md"
    file.write_text(UNTIDY, encoding="utf-8", newline="\n")
    return file


def _files(folder: Path) -> set[str]:
    return {file.name for file in folder.iterdir()}


def test_the_new_file_stands_beside_the_script(run: Run, script: Path) -> None:
    """The script stays; NAME.tidy.md holds the one form and is not touched a second time."""
    code, out, err = run("unit.md")
    assert (code, err) == (0, "")
    assert "wrote unit.tidy.md" in out
    assert script.read_text(encoding="utf-8") == UNTIDY
    written = script.with_name("unit.tidy.md")
    assert written.read_bytes() == TIDY.encode()

    written.write_text("mine", encoding="utf-8")
    code, _, err = run("unit.md")
    assert code == 2
    assert "is there already and was left as it is" in err
    assert "hint: move it away, or choose another name: --out" in err
    assert written.read_text(encoding="utf-8") == "mine"


def test_out_names_another_file_never_an_old_one(run: Run, script: Path) -> None:
    """`--out` writes there; the script itself is a file that exists and is refused."""
    (script.parent / "sub").mkdir()

    assert run("unit.md", "--out", "sub/new.md")[0] == 0
    assert (script.parent / "sub" / "new.md").read_bytes() == TIDY.encode()
    assert run("unit.md", "-o", "unit.md")[0] == 2
    assert script.read_text(encoding="utf-8") == UNTIDY
    code, _, err = run("unit.md", "-o", "nowhere/new.md")
    assert (code, "cannot be written" in err, "hint:" in err) == (2, True, True)


def test_the_text_can_be_printed(run: Run, script: Path) -> None:
    """`--out -` gives the text and nothing else on standard output, and writes no file."""
    assert run("unit.md", "-o", "-")[:2] == (0, TIDY)
    assert _files(script.parent) == {"unit.md"}


def test_check_shows_a_difference_and_exits_with_one(run: Run, script: Path) -> None:
    """`--check` prints a unified diff and writes nothing; a tidy file passes."""
    code, out, _ = run("unit.md", "--check")
    assert code == 1
    assert out.startswith("--- unit.md\n+++ unit.md (tidy)\n@@ ")
    assert '\n-1.  One?{key=1}\n+1. One? {key="1"}\n' in out
    assert run("unit.md", "--check", "--quiet")[1].count("\n") == 1
    assert _files(script.parent) == {"unit.md"}

    script.write_text(TIDY, encoding="utf-8", newline="\n")
    code, out, err = run("unit.md", "--check")
    assert (code, out, err) == (0, "unit.md is already tidy\n", "")
    assert run("unit.md")[0] == 0
    assert _files(script.parent) == {"unit.md"}


@pytest.mark.parametrize(
    ("raw", "note"),
    [
        (b"\xef\xbb\xbf" + TIDY.encode(), "byte-order mark"),
        (TIDY.replace("\n", "\r\n").encode(), "end in CR"),
        (TIDY.rstrip("\n").encode(), "No newline at end of file"),
    ],
)
def test_check_sees_bytes_that_lines_do_not_show(
    run: Run, script: Path, raw: bytes, note: str
) -> None:
    """A mark at the start, other line ends and a missing last one are told in words."""
    script.write_bytes(raw)
    code, out, _ = run("unit.md", "--check")

    assert code == 1
    assert note in out


def test_check_takes_no_out(run: Run, script: Path) -> None:
    """The two contradict each other."""
    code, _, err = run("unit.md", "--check", "-o", "x.md")

    assert (code, "takes no --out" in err) == (2, True)
    assert _files(script.parent) == {"unit.md"}


def test_json(run: Run, script: Path) -> None:
    """The result as data; the text itself only if it was asked for; problems as elsewhere."""
    found = json.loads(run("unit.md", "--json")[1])
    assert found["written"] == "unit.tidy.md"
    assert (found["is_tidy"], found["warnings"], "text" in found) == (False, [], False)
    assert found["difference"].startswith("--- ")
    assert json.loads(run("unit.md", "--json", "-o", "-")[1])["text"] == TIDY
    code, out, _ = run("unit.md", "--json", "--check")
    assert (code, json.loads(out)["written"]) == (1, None)

    script.write_text(HEAD + "\n1. One? {kye=1}\n" + TAIL, encoding="utf-8")
    code, out, err = run("unit.md", "--json")
    assert (code, err) == (2, "")
    assert [p["code"] for p in json.loads(out)["problems"]] == ["attribute-unknown"]


def test_a_script_with_problems_is_left_alone(run: Run, script: Path) -> None:
    """The problems are printed as `outline` prints them, and nothing is written."""
    script.write_text(HEAD + "\n1. One? {kye=1}\n" + TAIL, encoding="utf-8")
    code, out, err = run("unit.md")

    assert (code, out) == (2, "")
    assert "unit.md:7:10: error: ‘kye’ is not an attribute" in err
    assert "hint: did you mean key?" in err
    assert _files(script.parent) == {"unit.md"}


def test_warnings_are_shown_unless_quiet(run: Run, script: Path) -> None:
    """A warning does not stand in the way."""
    script.write_text(HEAD + "\nYou have five seconds.\n\n1.  One?\n" + TAIL, encoding="utf-8")

    assert "warning" in run("unit.md", "-o", "-")[2]
    assert run("unit.md", "-o", "-", "-q")[2] == ""
    assert [w["code"] for w in json.loads(run("unit.md", "--json")[1])["warnings"]] == ["unstated"]


def test_a_changed_meaning_is_an_internal_fault(
    run: Run, script: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """If tidying went wrong, nothing is written or printed, and the exit code says whose fault."""
    right = tidy_module.canonical
    monkeypatch.setattr(
        tidy_module, "canonical", lambda file, text: right(file, text).replace("One", "Two")
    )
    code, out, err = run("unit.md", "-o", "-")

    assert (code, out) == (70, "")
    assert "nothing was written" in err
    assert run("unit.md")[0] == 70
    assert _files(script.parent) == {"unit.md"}


@pytest.mark.skipif(os.name == "nt", reason="rights of this kind are a POSIX matter")
def test_the_new_file_has_no_wider_rights_than_the_script(run: Run, script: Path) -> None:
    """A script that only its owner may read stays so: it holds the keys."""
    script.chmod(0o600)

    assert run("unit.md")[0] == 0
    assert stat.S_IMODE(script.with_name("unit.tidy.md").stat().st_mode) == 0o600
