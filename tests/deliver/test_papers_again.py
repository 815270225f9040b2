"""Papers alone: the answer sheet before a build, all papers again after it, whole or not at all."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.build import build_versions
from pausewright.deliver.needed_rooms import make_rooms
from pausewright.deliver.papers_again import write_papers
from pausewright.deliver.project import open_project
from pausewright.papers.answer_sheet import answer_sheet
from pausewright.problems import OutputError
from pausewright.records.record_files import read_record
from support.scripts.short_scripts import SMALL
from support.scripts.versions import options, written

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build_options import Options

VERSIONS = "large: {label: B, basis: f, print: {size: 18 pt}}"


def names(files: tuple[Path, ...], folder: Path) -> list[str]:
    """Return files as they lie in a folder."""
    return sorted(file.relative_to(folder).as_posix() for file in files)


@pytest.fixture
def script(tmp_path: Path) -> Path:
    """Return a script with two versions."""
    return written(tmp_path, SMALL, VERSIONS)


@pytest.fixture
def how(tmp_path: Path) -> Options:
    """Return how to build it."""
    return options(tmp_path / "out")


def state(folder: Path) -> dict[str, bytes]:
    """Return every file of a folder."""
    return {
        file.relative_to(folder).as_posix(): file.read_bytes()
        for file in sorted(folder.rglob("*"))
        if file.is_file()
    }


def test_before_a_build_there_is_the_answer_sheet(script: Path, how: Options) -> None:
    """One for each version, in a folder of its own; a second time takes the place of the first."""
    for _ in range(2):
        made = write_papers(script, how)
        found = names(made.files, made.folder)
        edition = found[0].rpartition("_")[2]

        assert not made.is_timed
        assert found == [f"print/candidates/answer-sheet_{one}_{edition}" for one in "AB"]
        assert sorted(state(made.folder)) == found
    assert not (how.out / script.stem).exists()


def test_clock_times_need_a_track(script: Path, how: Options) -> None:
    """The sentence says what to do first; nothing is written."""
    with pytest.raises(OutputError, match="need a built track") as error:
        write_papers(script, replace(how, start="09:15"))

    assert "pausewright build" in error.value.hint
    assert not how.out.exists()


@pytest.mark.parametrize("start", ["25:00", "9", "09:61", "noon"])
def test_a_start_that_is_no_time_is_refused(script: Path, how: Options, start: str) -> None:
    """Before anything is read."""
    with pytest.raises(OutputError, match="no time of day"):
        write_papers(script, replace(how, start=start))


def test_after_a_build_all_papers_are_made_anew(script: Path, how: Options) -> None:
    """The same bytes again; the mark scheme comes along, and the record lists it."""
    build_versions(script, how)
    folder = how.out / script.stem
    before = state(folder)
    made = write_papers(script, replace(how, mark_scheme=True))
    after = state(folder)
    added = set(after) - set(before)

    assert made.is_timed
    assert {name.partition("_")[0] for name in added} == {"confidential/mark-scheme"}
    changed = {name for name in before if before[name] != after[name]}
    assert changed == {f"confidential/build-record_{one}.json" for one in "AB"}
    for label in "AB":
        record = read_record(folder / "confidential" / f"build-record_{label}.json")
        assert record is not None
        assert "mark-scheme" in {file.kind for file in record.files}
    assert not any(one.is_fresh for one in build_versions(script, how))


def test_a_spoiled_build_gets_no_papers(script: Path, how: Options) -> None:
    """Papers beside a track that nobody built would be worse than none."""
    build_versions(script, how)
    folder = how.out / script.stem
    next(folder.rglob("*.vtt")).write_text("other", encoding="utf-8")
    before = state(folder)
    with pytest.raises(OutputError, match="not the one that was built"):
        write_papers(script, how)

    assert state(folder) == before


def test_papers_for_other_times_are_refused(script: Path, how: Options) -> None:
    """An arrangement that was changed since, which the edition does not show."""
    build_versions(script, how)
    folder = how.out / script.stem
    before = state(folder)
    written(script.parent, SMALL, VERSIONS.replace("print", "readings: 3, print"))
    with pytest.raises(OutputError, match="other settings"):
        write_papers(script, how)

    assert state(folder) == before


def test_a_fault_leaves_everything_as_it_was(
    script: Path, how: Options, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second version fails after the first was written."""
    build_versions(script, how)
    folder = how.out / script.stem
    before = state(folder)
    from pausewright.deliver.outputs import papers_output  # noqa: PLC0415

    labels: list[str] = []

    def broken(*arguments: object, label: str, **more: object) -> object:
        labels.append(label)
        if label == "B":
            raise OutputError("planted", "")
        return answer_sheet(*arguments, label=label, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(papers_output, "answer_sheet", broken)
    with pytest.raises(OutputError, match="planted"):
        write_papers(script, replace(how, mark_scheme=True))

    assert labels == ["A", "B"]
    assert state(folder) == before
    assert [path.name for path in how.out.iterdir()] == [script.stem]


def test_no_room_gets_a_mark_scheme(script: Path, how: Options) -> None:
    """It stays in the office's folder, which only its owner can open."""
    build_versions(script, replace(how, mark_scheme=True))
    scheme = next((how.out / script.stem).rglob("mark-scheme_A_*"))
    needs = script.parent / "needs.csv"
    needs.write_text("candidate,arrangement,room\n1,standard,Hall\n2,large,Annex\n", "utf-8")
    made = make_rooms(open_project(script, how.profiles), needs, how.out, script.parent / "rooms")

    assert scheme.parent.name == "confidential"
    assert scheme.stat().st_mode & 0o077 == 0
    names = [file.name for file in made.files]
    assert [name for name in names if name.startswith("answer-sheet_")]
    assert not [name for name in names if "mark-scheme" in name]


def test_one_worker_and_two_make_the_same_papers(script: Path, how: Options) -> None:
    """Byte for byte, in every version; and so does a second build elsewhere."""
    found = []
    for number, workers in enumerate((1, 2, 2)):
        out = script.parent / f"out-{number}"
        build_versions(script, replace(how, out=out, workers=workers, mark_scheme=True))
        held = state(out / script.stem)
        found.append({name: held[name] for name in held if name.endswith(".pdf")})

    assert len(found[0]) == 14  # two versions with seven papers each
    assert found[0] == found[1] == found[2]
