"""Folders as they are handed over: what was built is recognised, and everything else is found."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import jsonschema
import pytest
import soundfile
from pausewright.checker.report.folder_report import as_folder_data, as_folder_text, folder_schema
from pausewright.checker.report.report import schema
from pausewright.deliver.recheck import recheck
from pausewright.problems import TrackError
from pausewright.records.record_schemas import published_schema
from referencing import Registry, Resource
from support.scripts.short_scripts import SMALL
from support.tracks.delivered_tests import built_test, stick
from support.voices.fake_voice import UNLIKE_SPEECH

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.result.delivered import Delivered
    from pausewright.deliver.build import Built


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """Return a small test, built once."""
    return built_test(tmp_path_factory.mktemp("office"))


@pytest.fixture(scope="module")
def other(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """Return the next edition of the same test."""
    folder = tmp_path_factory.mktemp("other")
    return built_test(folder, SMALL.replace("How many boats", "How many red boats"))


def codes(found: Delivered) -> list[str]:
    """Return codes and severities of all findings, each once, sorted.

    What the voice without a model is known for is left out.
    """
    found_codes = {f"{one.severity} {one.code}" for one in found.all_findings}
    return sorted(found_codes - UNLIKE_SPEECH)


def listed(folder: Path) -> Path:
    """Return the packing list of a folder."""
    return next(folder.glob("*_packing-list.json"))


def test_the_packing_list_keeps_to_its_schema_and_tells_nothing(built: Built) -> None:
    """It lists every file beside it, and names neither title nor arrangement."""
    folder = built.folder / "version-A"
    text = listed(folder).read_text("utf-8")
    data = json.loads(text)

    jsonschema.validate(data, published_schema("packing_list.schema.json"))
    assert {e["name"] for e in data["files"]} == {
        f.name for f in folder.iterdir() if not f.name.endswith("_packing-list.json")
    }
    assert set(data) == {"packing_list", "version_label", "edition", "track", "files"}
    assert "standard" not in text
    wav = next(folder.glob("*[!k].wav"))
    assert data["track"]["n_samples"] == soundfile.info(wav).frames


def test_a_copy_is_good_without_the_script_and_with_it(built: Built, tmp_path: Path) -> None:
    """A stick in the room, its file system's own files among it, needs nothing else."""
    copy = stick(built, tmp_path / "stick")
    (copy / ".hidden").write_text("x")
    (copy / "System Volume Information").mkdir()
    (copy / "System Volume Information" / "WPSettings.dat").write_text("x")
    alone = recheck(copy)
    together = recheck(copy, script=built.folder.parent.parent / "morning.md")

    assert codes(alone) == codes(together) == []
    (room,) = alone.rooms
    assert (room.version_label, room.edition, len(room.checks)) == ("A", built.edition, 2)
    assert {row.state for row in room.files} == {"as listed"}
    assert all(check.rows for check in together.checks)
    assert not any(check.rows for check in alone.checks)


def test_the_whole_folder_of_a_build_is_good(built: Built) -> None:
    """Room folder, papers and record of one build belong together."""
    assert codes(recheck(built.folder)) == []
    assert codes(recheck(built.folder / "version-A")) == []


Damage = Callable[["Path", "Built"], object]


def _of_both(copy: Path, other: Built) -> None:
    """Put all files of another edition into the folder too."""
    shutil.copytree(other.folder / "version-A", copy, dirs_exist_ok=True)


def _track_of(copy: Path, other: Built, name: str = "") -> None:
    track = next((other.folder / "version-A").glob("*[!k].mp3"))
    shutil.copy(track, copy / (name or track.name))


def _over_the_track(copy: Path, other: Built) -> None:
    _track_of(copy, other, next(copy.glob("*[!k].mp3")).name)


def _cut(copy: Path, _: Built) -> None:
    wav = next(copy.glob("*[!k].wav"))
    samples, rate_hz = soundfile.read(wav, dtype="int16")
    soundfile.write(wav, samples[:-1000], rate_hz)


def _edit_list(copy: Path, change: Callable[[dict[str, object]], object]) -> None:
    file = listed(copy)
    data = json.loads(file.read_text("utf-8"))
    change(data)
    file.write_text(json.dumps(data), encoding="utf-8")


@pytest.mark.parametrize(
    ("damage", "expected"),
    [
        pytest.param(_of_both, ["error editions-mixed"], id="two-editions"),
        pytest.param(
            _track_of,
            ["error edition-differs", "error file-unknown", "error total-differs"],
            id="track-of-another-edition",
        ),
        pytest.param(
            _over_the_track,
            ["error edition-differs", "error file-changed", "error total-differs"],
            id="another-track-under-the-name",
        ),
        pytest.param(_cut, ["error file-changed", "error total-differs"], id="cut"),
        pytest.param(
            lambda copy, _: next(copy.glob("*.vtt")).write_bytes(b"WEBVTT\n"),
            ["error file-changed"],
            id="captions-changed",
        ),
        pytest.param(
            lambda copy, _: next(copy.glob("*[!k].mp3")).unlink(), ["error file-missing"], id="gone"
        ),
        pytest.param(
            lambda copy, _: next(copy.glob("*[!k].mp3")).rename(copy / "TRACK01.MP3"),
            ["warning file-renamed"],
            id="renamed",
        ),
        pytest.param(
            lambda copy, _: (copy / "song.ogg").write_bytes(b"x"),
            ["error file-unknown"],
            id="something-to-play",
        ),
        pytest.param(
            lambda copy, _: (copy / "shopping.txt").write_bytes(b"x"),
            ["warning file-unknown"],
            id="something-else",
        ),
        pytest.param(
            lambda copy, _: listed(copy).write_text("{"), ["error packing-list-form"], id="no-json"
        ),
        pytest.param(
            lambda copy, _: _edit_list(copy, lambda data: data.update(version_label="B")),
            ["error label-differs"],
            id="label-of-the-list",
        ),
        pytest.param(
            lambda copy, _: _edit_list(
                copy, lambda data: data.update(track={"rate_hz": 44100, "n_samples": 5})
            ),
            ["error total-differs"],
            id="total-of-the-list",
        ),
        pytest.param(
            lambda copy, _: _edit_list(
                copy,
                lambda data: data.update(files=[{"name": "../secret", "sha256": "0" * 64}]),
            ),
            ["error packing-list-form"],
            id="a-way-out-of-the-folder",
        ),
    ],
)
def test_damage_is_found(
    built: Built, other: Built, tmp_path: Path, damage: Damage, expected: list[str]
) -> None:
    """Each damage to a stick is told by its own name, and by no other."""
    copy = stick(built, tmp_path / "stick")
    damage(copy, other)

    assert codes(recheck(copy)) == expected


def test_swapped_folders_are_found(built: Built, tmp_path: Path) -> None:
    """Version A in a folder that is called version-B fails (the wrong recording in a room)."""
    assert codes(recheck(stick(built, tmp_path / "version-B"))) == ["error label-differs"]


def test_a_stick_against_the_record_of_the_office(
    built: Built, other: Built, tmp_path: Path
) -> None:
    """The record finds a stick that agrees with itself and is of another edition."""
    record = built.folder / "confidential" / "build-record_A.json"
    copy = stick(other, tmp_path / "stick")

    assert codes(recheck(copy)) == []
    assert codes(recheck(copy, record=record)) == ["error record-differs"]
    assert codes(recheck(stick(built, tmp_path / "good"), record=record)) == []


def test_a_record_serves_where_there_is_no_list(built: Built, tmp_path: Path) -> None:
    """Without a list a folder is compared with the record; with neither the call is refused."""
    record = built.folder / "confidential" / "build-record_A.json"
    copy = stick(built, tmp_path / "stick")
    listed(copy).unlink()

    assert codes(recheck(copy, record=record)) == []
    next(copy.glob("*.srt")).write_text("x", encoding="utf-8")
    assert codes(recheck(copy, record=record)) == ["error file-changed"]
    with pytest.raises(TrackError, match="nothing to compare") as refused:
        recheck(copy)
    assert "--script" in refused.value.hint


def test_a_folder_without_a_list_can_be_checked_with_the_script(
    built: Built, tmp_path: Path
) -> None:
    """A person's own folder of tracks is checked as sound; that it has no list is said."""
    copy = stick(built, tmp_path / "stick")
    listed(copy).unlink()
    found = recheck(copy, script=built.folder.parent.parent / "morning.md")

    assert codes(found) == []
    assert found.rooms[0].cautions != ()


def test_a_changed_paper_is_found(built: Built, tmp_path: Path) -> None:
    """The check of a whole build compares papers and records too."""
    whole = shutil.copytree(built.folder, tmp_path / "whole")
    paper = next(whole.rglob("answer-sheet*"))
    paper.write_text("mine", encoding="utf-8")
    assert codes(recheck(whole)) == ["error file-changed"]
    paper.unlink()
    assert codes(recheck(whole)) == ["error file-missing"]


def test_rooms_of_two_editions_do_not_go_together(
    built: Built, other: Built, tmp_path: Path
) -> None:
    """Two room folders on one stick, each good by itself, are of one edition or fail."""
    stick(built, tmp_path / "both" / "room-1")
    stick(other, tmp_path / "both" / "room-2")
    found = recheck(tmp_path / "both")

    assert codes(found) == ["error editions-mixed"]
    assert [room.is_good for room in found.rooms] == [True, True]


def test_the_script_of_another_edition_is_found(built: Built, other: Built) -> None:
    """A folder is compared with the edition of the script that is given."""
    found = recheck(built.folder, script=other.folder.parent.parent / "morning.md")

    assert "error edition-differs" in codes(found)


def test_the_json_keeps_to_its_schema(built: Built, other: Built, tmp_path: Path) -> None:
    """Good and bad folders give data that validates, tracks by their own schema."""
    copy = stick(built, tmp_path / "stick")
    _over_the_track(copy, other)
    registry: Registry[Any] = Registry().with_resource(
        "urn:pausewright:check-report:4", Resource.from_contents(schema())
    )
    validator = jsonschema.Draft202012Validator(folder_schema(), registry=registry)
    for found, verdict in ((recheck(copy), "not good"), (recheck(built.folder), "good")):
        data = as_folder_data(found)
        validator.validate(data)
        assert data["verdict"] == verdict


def test_the_text_says_what_to_do_in_lines_that_fit(
    built: Built, other: Built, tmp_path: Path
) -> None:
    """At most 100 columns; verdict first and again near the end."""
    copy = stick(built, tmp_path / "stick")
    _over_the_track(copy, other)
    lines = as_folder_text(recheck(copy)).splitlines()

    assert max(map(len, lines)) <= 100
    assert [line.startswith("NOT GOOD: 1 folder") for line in (lines[0], lines[-1])] == [True] * 2
    assert any("what to do:" in line for line in lines)


@pytest.mark.parametrize(
    "text",
    ["", "[]", "null", '{"packing_list": 1}', "[" * 100_000, '{"packing_list": 1, "files": 7}'],
)
def test_any_packing_list_is_read(built: Built, tmp_path: Path, text: str) -> None:
    """A damaged list is a finding, never a crash."""
    copy = stick(built, tmp_path / "stick")
    listed(copy).write_text(text, encoding="utf-8")

    assert codes(recheck(copy)) == ["error packing-list-form"]


def test_a_damaged_record_is_an_error_of_the_call(built: Built, tmp_path: Path) -> None:
    """A record that cannot be read is told with its name."""
    file = tmp_path / "record.json"
    file.write_text('{"record_format": 1}', encoding="utf-8")

    with pytest.raises(TrackError, match="no build record"):
        recheck(built.folder, record=file)
