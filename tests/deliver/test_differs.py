"""What differs between two states of a test: exactly what was edited, proved on the tracks."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from hashlib import sha256
from typing import TYPE_CHECKING

import pytest
import soundfile
from pausewright.deliver.build import Options, build
from pausewright.deliver.differs.difference import differ
from pausewright.deliver.differs.shape import shapes
from pausewright.deliver.differs.told import difference_data, difference_text, shape_text
from pausewright.problems import OutputError, PausewrightError
from pausewright.script.declared import Settings
from support.edits.table import EDITS, edited
from support.scripts.short_scripts import SMALL
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.differs.difference import Difference

MOST_SEEDS = 60
"""So many scripts are drawn at most until one has the construct."""
PROVED = (
    "question: added", "setting: paragraph-pause", "sheet: words",
)  # fmt: skip
"""Edits after which both are built and the tracks are compared."""


def options(folder: Path) -> Options:
    """Return how tests build: to WAV, with the voice without a model."""
    engines = fake_engines(FakeEngine())
    return Options(
        folder / "out", ("wav",), workers=1, engines=engines, profiles=fake_profiles(folder)
    )


def two(folder: Path, old: str, new: str) -> tuple[Path, Path]:
    """Write two scripts."""
    (folder / "old.md").write_text(old, encoding="utf-8")
    (folder / "new.md").write_text(new, encoding="utf-8")
    return folder / "old.md", folder / "new.md"


def told(found: Difference) -> set[tuple[object, ...]]:
    """Return what was told of the standard version, as the edits have it."""
    return {
        (
            one.what, one.name, one.was,
            frozenset() if one.what in {"added", "removed"} else frozenset(one.aspects),
            one.is_moved,
        )
        for one in found.versions[0].compared.changes
    }  # fmt: skip


@pytest.mark.parametrize("name", EDITS)
def test_an_edit_is_told_and_nothing_else(tmp_path: Path, name: str) -> None:
    """Each construct, edited at random: neither more nor less is told than the edit changes."""
    made = next(found for seed in range(MOST_SEEDS) if (found := edited(seed, name)) is not None)
    old, new = two(tmp_path, made[0], made[1])

    difference = differ(old, new, options(tmp_path))

    assert told(difference) == made[2]


@pytest.mark.parametrize("name", PROVED)
def test_the_rest_is_the_same_sample_by_sample(tmp_path: Path, name: str) -> None:
    """All that is not told is identical at its new place, and the marks of files say the same."""
    made = next(found for seed in range(200, 260) if (found := edited(seed, name)) is not None)
    old, new = two(tmp_path, made[0], made[1])
    made_options = options(tmp_path)
    for script in (old, new):
        build(script, made_options)

    difference = differ(tmp_path / "out" / "old", tmp_path / "out" / "new", made_options)

    (version,) = difference.versions
    proof = version.proof
    assert proof is not None
    assert (proof.is_exact, proof.holds, proof.why_not) == (True, True, "")
    n_heard = sum(
        end - start
        for unit in difference.new.versions["standard"].contents.units
        for start, end in unit.spans
    )
    assert proof.n_samples + proof.n_other_samples == n_heard
    judge_outputs(difference)


def judge_outputs(found: Difference) -> None:
    """Compare what is said of outputs with the content marks of the files that were built."""
    marks = []
    for side in (found.old, found.new):
        built = side.versions["standard"].built
        assert built is not None
        marks.append({one.kind: one.content_mark for one in built.record.files if one.content_mark})
    old, new = marks
    said = {one.group: one.verdict for one in found.outputs}
    for group, kind in (
        ("track", "track"), ("answer-sheet", "answer-sheet"), ("staff-papers", "running-sheet"),
        ("reader-papers", "reader-copy"),
    ):  # fmt: skip
        if said[group] == "stays":
            assert old[kind] == new[kind], kind
    for group in ("track", "answer-sheet"):
        assert (said[group] == "stays") == (old[group] == new[group]), group


def test_what_is_spoiled_is_told(tmp_path: Path) -> None:
    """One sample that is other in what should be the same breaks the proof, by its name."""
    old, new = two(tmp_path, SMALL, SMALL.replace("How many boats", "How many barrels"))
    made = options(tmp_path)
    for script in (old, new):
        build(script, made)
    contents = json.loads((tmp_path / "out/new/confidential/contents_A.json").read_text("utf-8"))
    spans = {unit["name"]: unit["spans"] for unit in contents["units"] if "spans" in unit}
    at = (spans["question 2"][0][0] + spans["question 2"][0][1]) // 2
    record_file = tmp_path / "out/new/confidential/build-record_A.json"
    record = json.loads(record_file.read_text("utf-8"))
    entry = next(one for one in record["files"] if one["kind"] == "track")
    track = tmp_path / "out" / "new" / entry["path"]
    samples, rate_hz = soundfile.read(track, dtype="int16")
    samples[at] ^= 1
    soundfile.write(track, samples, rate_hz, subtype="PCM_16")

    with pytest.raises(OutputError, match="is not the file that was built"):
        differ(old, tmp_path / "out" / "new", made)
    entry["sha256"] = sha256(track.read_bytes()).hexdigest()
    record_file.write_text(json.dumps(record), encoding="utf-8")
    found = differ(tmp_path / "out" / "old", tmp_path / "out" / "new", made)

    proof = found.versions[0].proof
    assert proof is not None
    assert proof.differing == ("question 2",)
    assert not found.holds
    assert "NOT THE SAME ON THE TRACKS: question 2" in difference_text(found)


def test_sounds_that_fade_into_a_neighbours_silence_prove_nothing_wrong(tmp_path: Path) -> None:
    """As real voices do, the first word of a changed question begins in the silence before it."""
    plain = SMALL.replace('announce: "Number {number}."\n', "")
    old, new = two(tmp_path, plain, plain.replace("Two gulls", "Four gulls"))
    engines = fake_engines(FakeEngine(ramp_s=0.06))
    made = replace(options(tmp_path), engines=engines)
    for script in (old, new):
        build(script, made)

    (version,) = differ(tmp_path / "out" / "old", tmp_path / "out" / "new", made).versions

    assert version.proof is not None
    assert (version.proof.is_exact, version.proof.differing) == (True, ())
    assert version.proof.n_other_samples > 0


def test_coded_tracks_are_compared_by_their_levels(tmp_path: Path) -> None:
    """An MP3 has other samples where it is shifted: its levels must be the same; that is said."""
    old, new = two(tmp_path, SMALL, SMALL.replace("How many boats", "How many yellow boats"))
    made = Options(
        tmp_path / "out", ("mp3",), workers=1, engines=fake_engines(FakeEngine(ramp_s=0.02)),
        profiles=fake_profiles(tmp_path),
    )  # fmt: skip
    for script in (old, new):
        build(script, made)

    found = differ(old, new, made)

    proof = found.versions[0].proof
    assert proof is not None
    assert (proof.is_exact, proof.differing) == (False, ())
    assert "--format wav" in difference_text(found)


def test_a_script_against_what_was_built(tmp_path: Path) -> None:
    """The list of contents of a build is enough: the old script may be gone."""
    old, new = two(tmp_path, SMALL, SMALL.replace("ZEBRAFISH", "seven"))
    made = options(tmp_path)
    build(old, made)
    old.unlink()

    found = differ(tmp_path / "out" / "old", new, made)

    assert told(found) == {("changed", "question 1", "", frozenset({"key"}), False)}
    said = {one.group: one.verdict for one in found.outputs}
    assert said == {
        "track": "stays", "shown-with-track": "stays", "answer-sheet": "stays",
        "mark-scheme": "reprint", "staff-papers": "stays", "reader-papers": "stays",
    }  # fmt: skip
    text = difference_text(found)
    assert "question 1 (line 24): in the key" in text
    assert "nothing measured" in text
    assert json.loads(json.dumps(difference_data(found)))["versions"][0]["to_hear"] == []
    (tmp_path / "out/old/confidential/contents_A.json").unlink()
    with pytest.raises(PausewrightError, match="contents_A"):
        differ(tmp_path / "out" / "old", new, made)


def test_a_folder_that_is_no_build(tmp_path: Path) -> None:
    """It is refused with what to give."""
    (tmp_path / "old.md").write_text(SMALL, encoding="utf-8")
    (tmp_path / "nothing").mkdir()
    with pytest.raises(OutputError, match="holds no build record"):
        differ(tmp_path / "nothing", tmp_path / "old.md", options(tmp_path))


def test_every_setting_has_its_place() -> None:
    """No setting can change unseen: it is in the steps, on a paper, or among these."""
    from pausewright.deliver.differs.contents import FOR_STAFF, SHOWN  # noqa: PLC0415

    told_by_themselves = {*SHOWN, *FOR_STAFF, "title", "language", "sheet_head", "paper_templates"}
    in_steps = {
        "voice", "channels", "loudness", "numbering", "pace_wpm", "paragraph_pause_s",
        "sentence_pause_s",
        "announcement_pause_s", "zero", "captions", "withdrawn_wording", "continues_wording",
        "slate", "given", "time_cue_wording", "speakers", "tones", "patterns", "words",
        "lexicons", "styles",
    }  # fmt: skip
    change_nothing = {
        "captions_reason", "accept_voice_language", "writing_rate_wpm", "mark_scheme", "places",
        "recording_rights",
    }  # fmt: skip
    assert set(Settings.__dataclass_fields__) == told_by_themselves | in_steps | change_nothing


# ---- shape

RESERVE = SMALL.replace("How many boats are there?", "How many ropes are there?").replace(
    "Two gulls and three gulls", "Two crabs and three crabs"
)


@pytest.mark.parametrize(
    ("change", "where", "what"),
    [
        (("readings: 2", "readings: 3"), "question 1", "readings"),
        (("between-readings: 1.5 s", "between-readings: 1.6 s"), "question 1", "silences"),
        (('for="20 s"', 'for="21 s"'), "stop 1", "silences"),
        (("ropes are there?", "ropes and long white sails are there?"), "question 1", "words"),
        (("voice: joe", "voice: joe\nsentence-pause: 0.5 s"), "the settings", "the pause between"),
        (("voice: joe", "voice: joe\npace: 150 words/min"), "the whole track", "pace"),
        (("End\n", "End\n\nOne more.\n"), "instruction 4", "is in both"),
    ],
)
def test_another_shape_is_told(
    tmp_path: Path, change: tuple[str, str], where: str, what: str
) -> None:
    """A reserve test has the same readings and silences, and is about as long."""
    old, same = two(tmp_path, SMALL, RESERVE)
    assert shapes(old, same, options(tmp_path)).is_alike
    assert "one shape" in shape_text(shapes(old, same, options(tmp_path)))
    _, other = two(tmp_path, SMALL, RESERVE.replace(*change))

    found = shapes(old, other, options(tmp_path))

    assert not found.is_alike
    assert any(one.where == where and one.what.startswith(what) for one in found.others)


def test_the_version_of_a_build_by_its_script(tmp_path: Path) -> None:
    """A script whose edition is built has its tracks at hand; another edition has none."""
    old, new = two(tmp_path, SMALL, SMALL.replace("Turn over.", "Turn the page."))
    made = options(tmp_path)
    build(old, made)
    assert differ(old, new, made).versions[0].proof is None
    build(new, made)
    proof = differ(old, new, made).versions[0].proof
    assert proof is not None
    assert proof.holds
    shutil.rmtree(tmp_path / "out" / "new")
    assert differ(old, new, made).versions[0].proof is None
