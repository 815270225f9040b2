"""Tracks in pieces: cut in the holds, nothing lost, and the check finds what the builder spoils."""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import imageio_ffmpeg
import mutagen
import numpy as np
import pytest
import soundfile
from pausewright.deliver.build import CheckFailedError, build_versions
from pausewright.deliver.needed_rooms import make_rooms
from pausewright.deliver.outputs import pieces_output
from pausewright.deliver.project import open_project
from pausewright.plan.pieces import Piece, pieces
from pausewright.records.record_files import read_record
from pausewright.sound.cut import Cutter
from support.paper_text import text_of
from support.scripts.short_scripts import SMALL
from support.scripts.versions import END, HEAD, options, written
from support.tracks.delivered_tests import built_test

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from pausewright.deliver.build import Built

RATE_HZ = 44_100
SECOND_STOP = '::: stop {for="3 s"}\nRest your hand.\n:::\n\n# End'
SCRIPT = SMALL.replace("# End", SECOND_STOP)
"""Holds of 20 s and 3 s: three stretches."""


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """Return a test that was split, built once in every format."""
    folder = tmp_path_factory.mktemp("office")
    return built_test(folder, SCRIPT, ("mp3", "wav", "flac"), split_at_stops=True)


def of(built: Built, ending: str) -> tuple[Path, list[Path]]:
    """Return the whole track and the pieces of one format."""
    files = sorted((built.folder / f"version-{built.label}").glob(f"*[!k].{ending}"))
    whole = [file for file in files if "-of-" not in file.stem]
    return whole[0], [file for file in files if "-of-" in file.stem]


def samples(file: Path) -> np.ndarray[Any, np.dtype[np.int16]]:
    """Return a file's samples, shape (n,), by libsndfile."""
    found: np.ndarray[Any, np.dtype[np.int16]] = soundfile.read(file, dtype="int16")[0]
    return found


def by_ffmpeg(file: Path, *filters: str) -> tuple[int, str]:
    """Return how many samples ffmpeg decodes, and what its filters say."""
    command = [
        imageio_ffmpeg.get_ffmpeg_exe(), "-hide_banner", "-nostdin", "-i", str(file),
        *(("-af", ",".join(filters)) if filters else ()), "-f", "s16le", "-ac", "1", "-",
    ]  # fmt: skip
    done = subprocess.run(command, check=True, capture_output=True)
    return len(done.stdout) // 2, done.stderr.decode("utf-8", "replace")


# ---- what is written -------------------------------------------------------------------------


@pytest.mark.parametrize("ending", ["wav", "flac"])
def test_the_pieces_are_the_track_sample_for_sample(built: Built, ending: str) -> None:
    """Nothing is taken out and nothing added."""
    whole, parts = of(built, ending)

    assert [part.stem.removeprefix(whole.stem) for part in parts] == [
        "_1-of-3", "_2-of-3", "_3-of-3",
    ]  # fmt: skip
    assert np.array_equal(np.concatenate([samples(part) for part in parts]), samples(whole))


def test_the_pieces_of_an_mp3_are_as_long_as_the_track(built: Built) -> None:
    """Two decoders (libsndfile, ffmpeg) give each piece its length and its sound."""
    whole, parts = of(built, "mp3")
    exact = [len(samples(part)) for part in of(built, "wav")[1]]

    assert [len(samples(part)) for part in parts] == exact
    assert [by_ffmpeg(part)[0] for part in parts] == exact
    assert sum(exact) == len(samples(whole))
    joined = np.concatenate([samples(part) for part in parts]).astype(np.float64)
    track = samples(whole).astype(np.float64)
    assert np.square(joined - track).sum() < 0.01 * np.square(track).sum()


def test_each_cut_lies_half_a_second_before_the_tone(built: Built) -> None:
    """The hold of 20 s leaves 19.5 s on its piece, that of 3 s leaves 2.5 s; then 0.5 s lead in."""
    _, parts = of(built, "wav")
    heard = [np.flatnonzero(samples(part)) for part in parts]

    leads = [int(loud[0]) for loud in heard]
    tails = [
        len(samples(part)) - 1 - int(loud[-1]) for part, loud in zip(parts, heard, strict=True)
    ]
    # the tone rises from nothing, and a take's pads lie outside its edges
    assert leads == pytest.approx([RATE_HZ // 2] * 3, abs=60)
    assert tails[:2] == pytest.approx([19.5 * RATE_HZ, 2.5 * RATE_HZ], abs=100)


def test_ffmpeg_hears_the_lead_of_each_mp3_piece(built: Built) -> None:
    """Its silencedetect, 40 dB below the speech, finds 0.5 s at the start (±20 ms)."""
    for part in of(built, "mp3")[1]:
        _, said = by_ffmpeg(part, "silencedetect=noise=-62dB:d=0.1")
        ends_s = [float(end) for end in re.findall(r"silence_end: ([\d.]+)", said)]
        assert ends_s[0] == pytest.approx(0.5, abs=0.02)


def test_the_tags_of_a_piece_say_which_one_it_is(built: Built) -> None:
    """ID3 TRCK "n/N" (ID3v2.3, 4.2.1), Vorbis TRACKNUMBER; chapters in the piece's own time."""
    length_s = [len(samples(part)) / RATE_HZ for part in of(built, "wav")[1]]
    for number, part in enumerate(of(built, "mp3")[1], 1):
        tags = mutagen.File(part).tags
        assert str(tags["TRCK"]) == f"{number}/3"
        assert str(tags["TIT2"]) == f"Harbour morning ({number} of 3)"
        assert str(tags["TXXX:EDITION"]) == built.edition
        assert str(tags["TXXX:VERSION LABEL"]) == "A"
        chapters = sorted(tags.getall("CHAP"), key=lambda chapter: chapter.start_time)
        titles = [str(chapter.sub_frames["TIT2"]) for chapter in chapters]
        assert titles == [
            ["Opening", "Stop 1"], ["Test", "Question 1", "Question 2", "Stop 2"], ["End"],
        ][number - 1]  # fmt: skip
        assert chapters[-1].end_time == pytest.approx(1000 * length_s[number - 1], abs=1)
        assert all(a.end_time == b.start_time for a, b in pairwise(chapters))
        flac = mutagen.File(of(built, "flac")[1][number - 1])
        assert (flac["TRACKNUMBER"], flac["TRACKTOTAL"]) == ([str(number)], ["3"])
        assert flac["TITLE"] == [f"Harbour morning ({number} of 3)"]
    assert "TRCK" not in mutagen.File(of(built, "mp3")[0]).tags


def test_a_chapter_leads_to_the_same_sound_in_piece_and_track(built: Built) -> None:
    """Question 2 begins where the whole track's chapter says, less the start of its piece."""
    whole, parts = of(built, "mp3")

    def start_ms(file: Path) -> int:
        chapters = mutagen.File(file).tags.getall("CHAP")
        titled = {str(one.sub_frames["TIT2"]): int(one.start_time) for one in chapters}
        return titled["Question 2"]

    before_ms = 1000 * len(samples(parts[0])) / RATE_HZ
    assert start_ms(parts[1]) + before_ms == pytest.approx(start_ms(whole), abs=1)


def test_papers_lists_and_records_know_the_pieces(built: Built) -> None:
    """The running sheet says when to start the next file; list and record hold all of them."""
    sheet = text_of(next((built.folder / "print" / "staff").glob("running-sheet*.pdf")))
    assert "file 1 ends; start file 2" in sheet
    assert "file 2 ends; start file 3" in sheet
    assert "does not go on to the next file by itself" in sheet
    for number in (1, 2, 3):
        assert f"_{number}-of-3." in sheet
    record = read_record(built.folder / "confidential" / "build-record_A.json")
    assert record is not None
    kinds = [entry.kind for entry in record.files]
    assert (kinds.count("track"), kinds.count("piece")) == (3, 9)
    listed = next(built.folder.rglob("*_packing-list.json")).read_text("utf-8")
    assert listed.count("-of-3.") == 9
    assert [check.track for check in built.checks][-1].endswith("_1-of-3 to 3-of-3.wav")
    assert built.is_good


def test_a_test_without_stops_is_one_stretch(tmp_path: Path) -> None:
    """It says so, and writes no pieces."""
    script = HEAD + '# T\n\n1. How many? {key="x" answer-time="2 s"}' + END
    built = built_test(tmp_path, script, ("wav",), split_at_stops=True)

    assert of(built, "wav")[1] == []
    assert built.notes[-1] == ("version A was not split: it has no stop, so it is one stretch")
    assert " files" not in text_of(next(built.folder.rglob("running-sheet*.pdf")))


def test_another_choice_is_another_build(tmp_path: Path) -> None:
    """With and without pieces are two builds; the pieces go when they are not asked for."""
    fresh = []
    for split in (False, True, True, False):
        built = built_test(tmp_path, SCRIPT, ("wav",), split_at_stops=split)
        fresh.append(built.is_fresh)
        assert len(of(built, "wav")[1]) == (3 if split else 0)
    assert fresh == [True, True, False, True]


BREAKS = """
x:
  label: B
  basis: file QUOKKA
  rest-breaks: {after-questions: 1}
  split: at-stops
plain:
  label: C
  split: at-stops
"""
TWO = (
    HEAD.replace("voice: joe", 'voice: joe\nannounce: "Number {number}."')
    + '# T\n\n1. How many? {key="x" answer-time="2 s"}\n'
    + '2. Which one? {key="y" answer-time="by hand"}'
    + END
)


@pytest.fixture(scope="module")
def versions(tmp_path_factory: pytest.TempPathFactory) -> tuple[Built, ...]:
    """Return three versions, two of which declare `split`."""
    folder = tmp_path_factory.mktemp("versions")
    script = written(folder, TWO, BREAKS.replace("\nx:", "\nneed-ZEBRA:"))
    return build_versions(script, options(folder))


def test_an_arrangement_splits_its_own_version(versions: tuple[Built, ...]) -> None:
    """Also at rest breaks and at answer times by hand; without a basis where nothing changes."""
    assert [len(of(one, "wav")[1]) for one in versions] == [0, 3, 2]
    for one in versions[1:]:
        whole, parts = of(one, "wav")
        assert np.array_equal(np.concatenate([samples(p) for p in parts]), samples(whole))


def test_no_piece_tells_a_need(versions: tuple[Built, ...]) -> None:
    """Name and basis of the arrangement are in no file of the room's folder."""
    for file in (versions[1].folder / "version-B").iterdir():
        held = file.read_bytes()
        for planted in ("ZEBRA", "QUOKKA"):
            assert planted not in file.name
            assert planted.encode() not in held
            assert planted.encode("utf-16-le") not in held


def test_rooms_get_the_pieces_and_how_to_use_them(
    versions: tuple[Built, ...], tmp_path: Path
) -> None:
    """`needs` copies them with the track, and the checklist says that it is one or the other."""
    needs = tmp_path / "needs.csv"
    needs.write_text("candidate,arrangement,room\nC1,B,Hall\nC2,A,Annexe\n", "utf-8")
    out = versions[0].folder.parent
    script = out.parent / f"{versions[0].folder.name}.md"
    make_rooms(open_project(script, options(out.parent).profiles), needs, out, tmp_path / "rooms")

    names = [file.name for file in (tmp_path / "rooms" / "hall").rglob("*[!k].wav")]
    assert sorted(name[-10:-4] for name in names if "-of-" in name) == [
        "1-of-3", "2-of-3", "3-of-3",
    ]  # fmt: skip
    assert "its files, never both" in (tmp_path / "rooms" / "hall" / "checklist.txt").read_text()
    annexe = (tmp_path / "rooms" / "annexe" / "checklist.txt").read_text()
    assert "never both" not in annexe


# ---- faults of the builder -------------------------------------------------------------------

Pieces = tuple[Piece, ...]


def _moved(by_s: float) -> Callable[[Pieces], Pieces]:
    """Move the first cut."""

    def fault(found: Pieces) -> Pieces:
        cut = found[0].end_sample + round(by_s * RATE_HZ)
        first, second, *rest = found
        return (replace(first, end_sample=cut), replace(second, start_sample=cut), *rest)

    return fault


def _renumbered(found: Pieces) -> Pieces:
    """Give the first two pieces each other's numbers."""
    return (replace(found[0], number=2), replace(found[1], number=1), *found[2:])


def _fused(found: Pieces) -> Pieces:
    """Forget the first cut."""
    last = replace(found[2], number=2, n_all=2)
    return replace(found[0], n_all=2, end_sample=found[1].end_sample), last


FAULTS: dict[str, tuple[Callable[[Pieces], Pieces], str]] = {
    "last piece dropped": (lambda found: found[:-1], "piece-missing"),
    "pieces swapped": (_renumbered, "piece-differs"),
    "a stop not cut": (_fused, "piece-cut"),
    "cut in speech": (_moved(-20), "piece-cut"),
    "cut at the start of the hold": (_moved(-19.4), "piece-cut"),
    "cut at the tone": (_moved(0.45), "piece-cut"),
    "cut after the tone": (_moved(1.1), "piece-cut"),
}


@pytest.mark.parametrize(("fault", "code"), FAULTS.values(), ids=FAULTS.keys())
def test_a_fault_of_the_builder_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: Callable[[Pieces], Pieces], code: str
) -> None:
    """The check of the pieces fails, that of the whole track does not; nothing is delivered."""
    monkeypatch.setattr(pieces_output, "pieces", lambda line: fault(pieces(line)))
    with pytest.raises(CheckFailedError) as caught:
        built_test(tmp_path, SCRIPT, ("wav",), split_at_stops=True)

    whole, parts = caught.value.checks
    assert not whole.errors
    found = [one for one in parts.errors if one.code == code]
    assert found
    assert all(one.hint for one in found)
    assert not (tmp_path / "out" / "morning").exists()


@pytest.mark.parametrize("ending", ["wav", "mp3"])
def test_one_lost_sample_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ending: str
) -> None:
    """The second piece ends one sample early; the length says so, and it alone is named."""
    right = Cutter.take
    asked: list[int] = []

    def take(self: Cutter, n_samples: int) -> Iterator[Any]:
        asked.append(n_samples)
        blocks = list(right(self, n_samples))
        if len(asked) == 2:
            at = next(i for i, block in enumerate(blocks) if block.any())
            blocks[at] = np.delete(blocks[at], np.flatnonzero(blocks[at][:, 0])[0], axis=0)
        yield from blocks

    monkeypatch.setattr(Cutter, "take", take)
    with pytest.raises(CheckFailedError) as caught:
        built_test(tmp_path, SCRIPT, (ending,), split_at_stops=True)

    length, *others = [f for f in caught.value.checks[1].errors if f.code == "piece-differs"]
    assert (length.difference, length.unit) == (-1, "frames")
    if ending == "wav":
        assert [re.findall(r"\d-of-3", one.sentence) for one in others] == [["2-of-3"]]


def test_a_stream_that_is_too_short_is_no_piece() -> None:
    """The cutter gives what is asked for, or raises."""
    blocks = [np.zeros((n, 1), np.int16) for n in (3, 4)]
    cutter = Cutter(iter(blocks))

    assert [len(block) for block in cutter.take(5)] == [3, 2]
    with pytest.raises(ValueError, match="1 samples too early"):
        list(cutter.take(3))


def test_a_short_hold_is_cut_in_its_middle(tmp_path: Path) -> None:
    """Half of a hold of 0.7 s stays on its piece, and the check agrees."""
    script = SMALL.replace('stop {for="20 s"}', 'stop {for="0.7 s"}')
    built = built_test(tmp_path, script, ("wav",), split_at_stops=True)

    lead = np.flatnonzero(samples(of(built, "wav")[1][1]))[0]
    assert lead == pytest.approx(0.35 * RATE_HZ, abs=10)
    assert built.is_good
