"""Whole builds with a voice without a model, in well under a second each."""

from __future__ import annotations

import json
import shutil
import sys
from fractions import Fraction
from typing import TYPE_CHECKING

import jsonschema
import pytest
import soundfile
from pausewright.deliver.build import Built, Options, Progress, build
from pausewright.deliver.output_folder import slug
from pausewright.problems import OutputError, ScriptError, SoundError
from pausewright.records.record_schemas import published_schema
from support.scripts.short_scripts import SMALL
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from pathlib import Path


def _script(folder: Path, text: str = SMALL) -> Path:
    file = folder / "morning.md"
    file.write_text(text, encoding="utf-8")
    return file


def _build(script: Path, engine: FakeEngine | None = None, **changes: object) -> Built:
    settings: dict[str, object] = {
        "out": script.parent / "out",
        "formats": ("wav",),
        "engines": fake_engines(engine or FakeEngine(ramp_s=0.02)),
        "profiles": fake_profiles(script.parent),
        **changes,
    }
    return build(script, Options(**settings))  # type: ignore[arg-type]


def test_a_build_makes_the_folders_that_can_be_handed_over(tmp_path: Path) -> None:
    """Track, captions, papers and records each lie in the folder of those who get them."""
    built = _build(_script(tmp_path), formats=("mp3", "wav", "flac"))
    name = f"harbour-morning_A_{built.edition}"

    assert built.is_good
    assert sorted(f.relative_to(tmp_path / "out" / "morning").as_posix() for f in built.files) == [
        "confidential/build-record_A.json",
        "confidential/check-report_A.html",
        "confidential/check-report_A.json",
        "confidential/check-report_A.txt",
        "confidential/contents_A.json",
        "confidential/running-times_A.json",
        "confidential/transcript-full_A.txt",
        "confidential/what-was-measured_A.pdf",
        f"print/candidates/answer-sheet_A_{built.edition}.pdf",
        f"print/staff/{name}_reader-screen.html",
        f"print/staff/instructions_A_{built.edition}.html",
        f"print/staff/instructions_A_{built.edition}.pdf",
        f"print/staff/interpreter-copy_A_{built.edition}.pdf",
        f"print/staff/reader-copy_A_{built.edition}.pdf",
        f"print/staff/running-sheet_A_{built.edition}.pdf",
        f"version-A/{name}.flac",
        f"version-A/{name}.mp3",
        f"version-A/{name}.srt",
        f"version-A/{name}.vtt",
        f"version-A/{name}.wav",
        f"version-A/{name}_packing-list.json",
        f"version-A/{name}_room-screen.html",
        f"version-A/{name}_sound-check.flac",
        f"version-A/{name}_sound-check.mp3",
        f"version-A/{name}_sound-check.wav",
        f"version-A/{name}_transcript.html",
        f"version-A/{name}_transcript.txt",
    ]
    assert all(f.is_file() for f in built.files)
    assert not list((tmp_path / "out").glob(".*"))


def test_each_output_says_what_it_wrote_and_of_what_kind(tmp_path: Path) -> None:
    """The record lists every file of the folder but itself, with the kind that its output gave."""
    script = tmp_path / "track-report.md"  # a name that says nothing of a kind
    script.write_text(
        SMALL.replace("title: Harbour morning", "title: Transcript report 1"), "utf-8"
    )
    built = _build(script, split_at_stops=True)
    own = built.folder / "confidential" / "build-record_A.json"
    kinds = {one["path"]: one["kind"] for one in json.loads(own.read_text("utf-8"))["files"]}
    name = f"version-A/transcript-report-1_A_{built.edition}"

    there = {f.relative_to(built.folder).as_posix() for f in built.folder.rglob("*") if f.is_file()}
    assert set(kinds) | {"confidential/build-record_A.json"} == there
    assert kinds == {
        f"{name}.wav": "track",
        f"{name}_1-of-2.wav": "piece",
        f"{name}_2-of-2.wav": "piece",
        f"{name}_sound-check.wav": "sound-check",
        f"{name}.vtt": "captions",
        f"{name}.srt": "captions",
        f"{name}_transcript.txt": "transcript",
        f"{name}_transcript.html": "transcript",
        f"{name}_room-screen.html": "room-screen",
        f"{name}_packing-list.json": "packing-list",
        "confidential/transcript-full_A.txt": "full-transcript",
        **{f"confidential/check-report_A.{end}": "report" for end in ("html", "json", "txt")},
        f"print/candidates/answer-sheet_A_{built.edition}.pdf": "answer-sheet",
        f"print/staff/instructions_A_{built.edition}.html": "instructions",
        "confidential/what-was-measured_A.pdf": "measured",
        "confidential/running-times_A.json": "running-times",
        "confidential/contents_A.json": "contents",
        f"print/staff/instructions_A_{built.edition}.pdf": "instructions-paper",
        f"print/staff/interpreter-copy_A_{built.edition}.pdf": "interpreter-copy",
        f"print/staff/reader-copy_A_{built.edition}.pdf": "reader-copy",
        f"print/staff/running-sheet_A_{built.edition}.pdf": "running-sheet",
        f"print/staff/transcript-report-1_A_{built.edition}_reader-screen.html": "reader-screen",
    }


def test_the_record_keeps_to_its_published_schema(tmp_path: Path) -> None:
    """The build record validates, and its hashes are those of the files."""
    built = _build(_script(tmp_path))
    record = json.loads((built.folder / "confidential" / "build-record_A.json").read_text("utf-8"))

    jsonschema.validate(record, published_schema("build_record.schema.json"))
    assert record["declared"]["answer-time"] == {"count": 2, "total_s": "8.5"}
    assert record["heard_by"] == "Not heard by a person yet"
    assert (
        record["track"]["n_samples"]
        == soundfile.info(next(f for f in built.files if f.suffix == ".wav")).frames
    )


@pytest.mark.parametrize("planted", ["ZEBRAFISH", "QUOKKA"])
def test_keys_leave_no_trace_outside_confidential_files(tmp_path: Path, planted: str) -> None:
    """No key is in a track's tags, captions, transcript or paper."""
    built = _build(_script(tmp_path), formats=("mp3", "flac"))

    for file in built.files:
        assert planted.encode() not in file.read_bytes().upper(), file


def test_captions_and_transcript_do_not_show_questions(tmp_path: Path) -> None:
    """An aural test stays one: candidates' texts hold instructions and numbers only."""
    built = _build(_script(tmp_path))
    texts = [f.read_text("utf-8") for f in built.files if f.parent.name == "version-A"
             and f.suffix in {".vtt", ".srt", ".txt"}]  # fmt: skip

    assert len(texts) == 3
    assert all("Number 1." in text for text in texts)
    assert not any("boats" in text or "gulls" in text for text in texts)


def test_a_second_build_finds_everything_current(tmp_path: Path) -> None:
    """With nothing changed nothing is voiced, written or checked again."""
    script, engine = _script(tmp_path), FakeEngine()
    first = _build(script, engine)
    before = {f: f.stat().st_mtime_ns for f in first.files}
    n_voiced = engine.n_synthesised
    second = _build(script, engine)

    assert not second.is_fresh
    assert engine.n_synthesised == n_voiced
    assert {f: f.stat().st_mtime_ns for f in second.files} == before


def test_changing_one_question_voices_only_it(tmp_path: Path) -> None:
    """Everything else comes from the take store."""
    script = _script(tmp_path)
    _build(script)
    script.write_text(SMALL.replace("How many boats", "How many red boats"), "utf-8")
    built = _build(script)

    assert built.is_fresh
    assert built.n_voiced == 1


def test_a_file_that_was_changed_is_built_again(tmp_path: Path) -> None:
    """A track that is no longer the recorded one is not called current."""
    script = _script(tmp_path)
    first = _build(script)
    track = next(f for f in first.files if f.suffix == ".wav")
    whole = track.read_bytes()
    track.write_bytes(whole[:-100])
    second = _build(script)

    assert second.is_fresh
    assert track.read_bytes() == whole


@pytest.mark.parametrize("workers", [1, 2])
def test_bytes_do_not_depend_on_workers_or_kept_takes(tmp_path: Path, workers: int) -> None:
    """Fresh or warm, with one worker or two: the same WAV bytes."""
    script = _script(tmp_path)
    reference = next(f for f in _build(script).files if f.suffix == ".wav").read_bytes()
    shutil.rmtree(tmp_path / "out")
    warm = next(f for f in _build(script, workers=workers).files if f.suffix == ".wav")
    assert warm.read_bytes() == reference

    shutil.rmtree(tmp_path / "out")
    shutil.rmtree(tmp_path / ".pausewright")
    fresh = next(f for f in _build(script, workers=workers).files if f.suffix == ".wav")
    assert fresh.read_bytes() == reference


def test_what_a_user_put_into_the_folder_stays(tmp_path: Path) -> None:
    """A rebuild keeps files that it did not write."""
    script = _script(tmp_path)
    built = _build(script)
    own = built.folder / "version-A" / "notes of mine.txt"
    own.write_text("mine", "utf-8")
    script.write_text(SMALL.replace("boats", "ships"), "utf-8")
    again = _build(script)

    assert own.read_text("utf-8") == "mine"
    old = [f for f in (again.folder / "version-A").iterdir() if built.edition in f.name]
    assert old == []


def test_a_file_in_the_way_is_never_overwritten(tmp_path: Path) -> None:
    """A user's file with the name of an output stops the build and stays."""
    script = _script(tmp_path)
    own = tmp_path / "out" / "morning" / "confidential" / "transcript-full_A.txt"
    own.parent.mkdir(parents=True)
    own.write_text("mine", "utf-8")

    with pytest.raises(OutputError, match="was not written by a build"):
        _build(script)
    assert own.read_text("utf-8") == "mine"
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == ["morning"]


def test_a_script_with_problems_leaves_nothing(tmp_path: Path) -> None:
    """All problems come at once and no folder appears."""
    script = _script(tmp_path, SMALL.replace("answer-time", "anwser-time").replace("[2 s]", "[2]"))

    with pytest.raises(ScriptError) as caught:
        _build(script)
    assert len([p for p in caught.value.problems if p.severity == "error"]) >= 3
    assert not (tmp_path / "out").exists()


def test_words_that_the_voice_cannot_say_are_a_problem_with_its_place(tmp_path: Path) -> None:
    """Zero sound is never laid: the question's line is named and nothing is written."""
    script = _script(tmp_path, SMALL.replace("How many boats are there?", "Unsayable."))

    with pytest.raises(ScriptError) as caught:
        _build(script)
    problem = caught.value.problems[0]
    line = SMALL.splitlines().index(next(r for r in SMALL.splitlines() if r.startswith("1. ")))
    assert problem.place.line == line + 1
    assert not (tmp_path / "out" / "morning").exists()


def test_a_missing_sound_file_is_a_problem_with_its_place(tmp_path: Path) -> None:
    """A sound that is not there is found before anything is voiced."""
    text = SMALL.replace("Stop writing.", "![Bell](bell.wav)\n\nStop writing.")
    with pytest.raises(ScriptError, match=r"bell\.wav"):
        _build(_script(tmp_path, text))


def test_an_unreadable_sound_file_is_a_problem_with_its_place(tmp_path: Path) -> None:
    """A file that is no sound is named with the line that asks for it."""
    (tmp_path / "bell.wav").write_bytes(b"this is no sound" * 40)
    text = SMALL.replace("Stop writing.", "![Bell](bell.wav)\n\nStop writing.")
    with pytest.raises((ScriptError, SoundError), match=r"bell\.wav") as caught:
        _build(_script(tmp_path, text))
    assert isinstance(caught.value, ScriptError)


@pytest.mark.skipif(sys.platform == "win32", reason="a folder's rights work differently there")
def test_an_output_folder_that_cannot_be_written_is_said_plainly(tmp_path: Path) -> None:
    """A file where the folder should be: one sentence, nothing half-written."""
    (tmp_path / "out").write_text("in the way", "utf-8")
    with pytest.raises(OutputError, match="cannot be written"):
        _build(_script(tmp_path))
    assert (tmp_path / "out").read_text("utf-8") == "in the way"


def test_a_full_disk_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """If the disk fills while files are written, no output appears and the old one stays."""
    script = _script(tmp_path)
    first = _build(script)
    script.write_text(SMALL.replace("boats", "ships"), "utf-8")

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pausewright.deliver.outputs.job.write_text", full)
    with pytest.raises(OutputError, match="disk is full"):
        _build(script)
    assert all(f.is_file() for f in first.files)
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == ["morning"]


def test_the_length_is_the_sum_of_its_parts(tmp_path: Path) -> None:
    """Declared silences and sounds add up to the track, to a sample a silence."""
    built = _build(_script(tmp_path))
    report = json.loads((built.folder / "confidential" / "check-report_A.json").read_text("utf-8"))
    info = soundfile.info(next(f for f in built.files if f.suffix == ".wav"))

    assert built.length_s == Fraction(info.frames, 44_100)
    assert [f for f in report["findings"] if f["severity"] == "error"] == []


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Harbour morning", "harbour-morning"),
        ("Été à l’île: no. 3!", "ete-a-l-ile-no-3"),
        ("漢字", "test"),
        ("con", "test-con"),
        ("x" * 100, "x" * 40),
        ("Spelling and dictation of the autumn term", "spelling-and-dictation-of-the-autumn"),
        ("Spelling and dictation in the autumn test", "spelling-and-dictation-in-the-autumn"),
        ("Spelling and dictation in autumn, part 10", "spelling-and-dictation-in-autumn-part-10"),
    ],
)
def test_titles_become_plain_file_names(title: str, name: str) -> None:
    """Names are ASCII, short and never a device name of an old system."""
    assert slug(title).rstrip("-") == name


def test_each_stage_says_how_far_it_is(tmp_path: Path) -> None:
    """Voicing, writing and the check of each track: steps that rise to the last one."""
    told: dict[str, list[tuple[int, int]]] = {}

    def note(one: Progress) -> None:
        told.setdefault(one.stage, []).append((one.n_done, one.n_all))

    _build(_script(tmp_path), formats=("wav", "flac"), progress=note)

    assert list(told) == ["voicing", "writing", "checking"]
    for steps in told.values():
        assert steps == sorted(steps)
        assert steps[-1][0] == steps[-1][1]
    assert len(told["checking"]) > 10  # time left can be reckoned within a track
