"""Signatures: bound to words, samples and papers; drafts are told everywhere; nothing is voiced."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import imageio_ffmpeg
import pytest
from mutagen.flac import FLAC
from mutagen.id3 import ID3
from pausewright.checker.files.sample_hash import samples_sha256
from pausewright.deliver.build import build_versions
from pausewright.deliver.recheck import recheck
from pausewright.deliver.sign import Word, sign
from pausewright.deliver.signed import signatures_file
from pausewright.problems import OutputError, ScriptError
from pausewright.records.record_files import read_record
from support.paper_text import pages_of, text_of
from support.scripts.short_scripts import SMALL
from support.scripts.versions import built_track, options, written
from support.voices.fake_voice import FakeEngine, fake_engines

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build_options import Options
    from pausewright.records.shapes import BuildRecord

DAY = date(2026, 11, 29)
VERSIONS = "large: {label: B, basis: f, print: {size: 18 pt}}"
FOR_TRACKS = ("wording", "sound", "timing")


@pytest.fixture
def script(tmp_path: Path) -> Path:
    """Return a script with two versions."""
    return written(tmp_path, SMALL, VERSIONS)


@pytest.fixture
def how(tmp_path: Path) -> Options:
    """Return how to build it."""
    return options(tmp_path / "out", formats=("mp3", "flac", "wav"))


def record(how: Options, label: str) -> BuildRecord:
    """Return the record of a version."""
    found = read_record(how.out / "tide" / "confidential" / f"build-record_{label}.json")
    assert found is not None
    return found


def state(how: Options, label: str, ending: str) -> str:
    """Return what the tags of a track say of its state, as a library of tags reads them."""
    track = built_track(how, label, ending)
    if ending == "mp3":
        return "".join(str(one) for one in ID3(track).getall("TXXX:STATE"))
    return "".join(FLAC(track).get("STATE", []))


def sums_of(how: Options) -> dict[str, str]:
    """Return the hash of each track's samples, by the last part of its name."""
    found = (how.out / "tide").glob("version-*/*.*")
    endings = {".mp3", ".flac", ".wav"}
    tracks = [one for one in found if one.suffix in endings and "sound-check" not in one.name]
    return {f"{track.parent.name}{track.suffix}": samples_sha256(track) for track in tracks}


def drafts(how: Options) -> set[str]:
    """Return the kinds of papers, with their labels, that say on each page that they are drafts."""
    found = set()
    for paper in (how.out / "tide").glob("print/*/*.pdf"):
        pages = pages_of(paper)
        said = {" · draft · mark " in page for page in pages}
        assert len(said) == 1, paper
        if said == {True}:
            found.add("_".join(paper.name.split("_")[:2]))
    return found


def test_the_hash_of_samples_is_that_of_another_decoder(script: Path, how: Options) -> None:
    """Ffmpeg's raw samples of WAV and FLAC, hashed by sha256sum."""
    build_versions(script, how, ["A"])
    sums = set()
    for ending in ("wav", "flac"):
        track = built_track(how, "A", ending)
        raw = track.with_suffix(f".{ending}.raw")
        ffmpeg = [imageio_ffmpeg.get_ffmpeg_exe(), "-v", "error", "-i", str(track)]
        subprocess.run([*ffmpeg, "-f", "s16le", str(raw)], check=True)
        assert samples_sha256(track) == hashlib.sha256(raw.read_bytes()).hexdigest()
        sums.add(samples_sha256(track))
    assert len(sums) == 1


def test_a_track_is_a_draft_until_all_three_are_signed(script: Path, how: Options) -> None:
    """Tags, records, papers; the samples stay, and nothing is voiced."""
    build_versions(script, how)
    before = sums_of(how)
    assert record(how, "A").state == "draft"
    assert {state(how, label, end) for label in "AB" for end in ("mp3", "flac")} == {"draft"}
    assert {"answer-sheet_A", "answer-sheet_B", "running-sheet_A"} <= drafts(how)

    engine = FakeEngine(ramp_s=0.02)
    for what in FOR_TRACKS:
        assert state(how, "A", "mp3") == "draft"
        made = sign(
            script, Word("R. Quill", what, DAY), replace(how, engines=fake_engines(engine)), ["A"]
        )
        assert [one.label for one in made.built] == ["A"]
    assert engine.n_synthesised == 0
    assert {state(how, "A", end) for end in ("mp3", "flac")} == {""}
    assert {state(how, "B", end) for end in ("mp3", "flac")} == {"draft"}
    signed = record(how, "A")
    assert signed.state == "signed"
    assert signed.heard_by == "R. Quill, 2026-11-29"
    assert len(signed.signed) == 3
    assert "answer-sheet_A" in drafts(how)
    assert sums_of(how) == before
    measured = text_of(how.out / "tide" / "confidential" / "what-was-measured_A.pdf")
    assert "sound: R. Quill, 2026-11-29" in measured
    packed = json.loads(
        next((how.out / "tide" / "version-A").glob("*_packing-list.json")).read_text("utf-8")
    )
    for one in packed["files"]:
        file = how.out / "tide" / "version-A" / one["name"]
        assert hashlib.sha256(file.read_bytes()).hexdigest() == one["sha256"]

    sign(script, Word("M. Reed", "papers", DAY), how)
    assert drafts(how) == set()


@pytest.mark.parametrize(
    ("old", "new", "voided"),
    [
        ("5 s", "6 s", {"sound", "timing"}),
        ("A crate holds nine pears.", "A crate holds ten pears.", {"wording", "sound", "timing"}),
        ("{key=", '{marks="3" key=', set()),
    ],
)
def test_a_change_voids_what_it_touches(
    tmp_path: Path, how: Options, old: str, new: str, voided: set[str]
) -> None:
    """A longer answer time leaves the words signed; a key leaves the track signed."""
    text = (
        "---\ntitle: Tide tables\nlanguage: en-GB\nvoice: joe\n---\n\n# Test\n\n"
        '1. A crate holds nine pears. {key="9" answer-time="5 s"}\n\nThe test is over.\n'
    )
    script = written(tmp_path, text, "")
    how = replace(how, formats=("wav",))
    build_versions(script, how)
    for what in FOR_TRACKS:
        sign(script, Word("R. Quill", what, DAY), how)
    script.write_text(text.replace(old, new), "utf-8")
    build_versions(script, how)
    held = {line.partition(":")[0] for line in record(how, "A").signed}
    assert held == set(FOR_TRACKS) - voided
    assert record(how, "A").state == ("draft" if voided else "signed")


def test_signing_is_whole_or_not_at_all(script: Path, how: Options) -> None:
    """What is not current, or no longer kept, is refused and leaves everything as it was."""
    with pytest.raises(OutputError, match="nothing of this edition is built"):
        sign(script, Word("R. Quill", "sound", DAY), how)
    build_versions(script, how)
    for bad in (Word(" ", "sound", DAY), Word("R. Quill", "everything", DAY)):
        with pytest.raises(OutputError):
            sign(script, bad, how)
    shutil.rmtree(script.parent / ".pausewright")
    with pytest.raises(ScriptError, match="no longer kept"):
        sign(script, Word("R. Quill", "sound", DAY), how)
    assert not signatures_file(script).exists()
    assert record(how, "A").signed == ()
    signatures_file(script).write_text("{}", "utf-8")
    with pytest.raises(OutputError, match="no file of signatures"):
        build_versions(script, how)


def test_openssl_verifies_a_signature_by_key(script: Path, how: Options, tmp_path: Path) -> None:
    """Ed25519 (RFC 8032) by `openssl pkeyutl`; a changed statement is refused."""
    pytest.importorskip("cryptography")
    openssl = shutil.which("openssl")
    if openssl is None:
        pytest.skip("openssl is not installed")
    key, public = tmp_path / "key.pem", tmp_path / "public.pem"
    subprocess.run([openssl, "genpkey", "-algorithm", "ed25519", "-out", str(key)], check=True)
    subprocess.run([openssl, "pkey", "-in", str(key), "-pubout", "-out", str(public)], check=True)
    how = replace(how, formats=("wav",))
    build_versions(script, how, ["A"])
    made = sign(script, Word("R. Quill", "timing", DAY, key), how, ["A"])
    statement, signature = made.detached

    def verdict() -> int:
        asked = [openssl, "pkeyutl", "-verify", "-pubin", "-inkey", str(public), "-rawin"]
        files = ["-in", str(statement), "-sigfile", str(signature)]
        return subprocess.run([*asked, *files], capture_output=True, check=False).returncode

    assert verdict() == 0
    assert json.loads(statement.read_text("utf-8"))["signed_for"] == "timing"
    statement.write_text(statement.read_text("utf-8").replace("Quill", "Quell"), "utf-8")
    assert verdict() != 0


def test_a_stick_of_before_is_told_as_a_draft(script: Path, how: Options, tmp_path: Path) -> None:
    """A copy that was made before it was signed says "draft"; the build's own file does not."""
    how = replace(how, formats=("flac",))
    build_versions(script, how, ["A"])
    track = built_track(how, "A", "flac")
    stick = tmp_path / "stick"
    stick.mkdir()
    shutil.copy(track, stick)
    for what in FOR_TRACKS:
        assert codes_of(track, script) == codes_of(stick / track.name, script)
        sign(script, Word("R. Quill", what, DAY), how, ["A"])
    assert "track-draft" in codes_of(stick / track.name, script)
    assert "track-draft" not in codes_of(track, script)
    (checked,) = recheck(track, script=script).checks
    assert "Signed for its sound by R. Quill, 2026-11-29." in checked.cautions


def codes_of(track: Path, script: Path) -> set[str]:
    """Return the codes of what the check finds on a track."""
    (found,) = recheck(track, script=script).checks
    return {one.code for one in found.findings}
