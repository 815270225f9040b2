"""Files of all kinds: cut off, lying, hostile, tagged; and the reports."""

from __future__ import annotations

import json
import re
import struct
from fractions import Fraction
from typing import TYPE_CHECKING

import jsonschema
import numpy as np
import pytest
import soundfile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pausewright.checker.check import check_track
from pausewright.checker.files.by_av import decoded
from pausewright.checker.files.decode import TrackReader
from pausewright.checker.files.tags import read_tags
from pausewright.checker.listen.listen import listen, sound_stretches
from pausewright.checker.report.lines import WIDTH
from pausewright.checker.report.report import as_data, as_json, as_text, schema
from pausewright.checker.result.naming import clock, seconds
from pausewright.problems import PausewrightError, TrackError
from support.amounts import cases
from support.damage.damaged_bytes import damaged_bytes
from support.tracks.checker_tracks import QUESTIONS, SCRIPT, Gap, Say, laid, layout, worded, written

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.result.findings import CheckResult
    from pausewright.wording.worded import Worded
    from support.tracks.checker_tracks import Wave

RATE = 16_000


@pytest.fixture(scope="module")
def script(tmp_path_factory: pytest.TempPathFactory) -> Worded:
    """Return the worded script of all tests here."""
    return worded(tmp_path_factory.mktemp("script"), SCRIPT)


@pytest.fixture(scope="module")
def wave() -> Wave:
    """Return the samples of a good track at 16 kHz."""
    return laid(layout(), RATE)


def codes(result: CheckResult) -> list[str]:
    """Return the codes of a result's findings."""
    return [finding.code for finding in result.findings]


# ---- where sound is --------------------------------------------------------------------------


def test_stretches_are_exact() -> None:
    """A stretch reaches from its first to its last sample at the threshold; joins are counted."""
    track = np.zeros((1000, 1), dtype=np.float32)
    track[100:200] = 0.5
    track[249:300] = -0.5  # 49 frames later: the same stretch
    track[350:360] = 0.5  # 50 frames later: another one
    track[400] = 0.0999

    for size in (7, 50, 1000):
        blocks = [track[at : at + size] for at in range(0, len(track), size)]
        assert sound_stretches(blocks, 0.1, 50) == ((100, 300), (350, 360))


def test_either_channel_counts() -> None:
    """Sound on one channel of two is sound."""
    track = np.zeros((100, 2), dtype=np.float32)
    track[10:20, 0], track[15:30, 1] = 0.5, -0.5

    assert sound_stretches([track], 0.1, 5) == ((10, 30),)


def test_stereo_is_checked_like_mono(script: Worded, wave: Wave, tmp_path: Path) -> None:
    """The same sound on both channels gives the same silences."""
    track = written(tmp_path / "t.wav", np.repeat(wave[:, None], 2, axis=1) * 0.7, RATE)

    result = check_track(track, script, edition=None)

    assert result.is_good
    assert result.n_channels == 2


# ---- files -----------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", [".wav", ".flac", ".mp3"])
def test_two_decoders_agree(kind: str, wave: Wave, tmp_path: Path) -> None:
    """Both decoders find as many frames as were written, in each format."""
    track = written(tmp_path / f"t{kind}", wave, RATE)

    assert listen(track).n_frames == len(wave)
    assert sum(map(len, decoded(track))) == len(wave)


def test_a_cut_wav_is_found(script: Worded, wave: Wave, tmp_path: Path) -> None:
    """A WAV whose data ends before its header's length is found as such."""
    track = written(tmp_path / "t.wav", wave, RATE)
    track.write_bytes(track.read_bytes()[: len(wave)])

    assert "length-claim" in codes(check_track(track, script, edition=None))


def test_a_cut_mp3_is_found(script: Worded, wave: Wave, tmp_path: Path) -> None:
    """An MP3 with fewer frames than its Xing header states is found as such."""
    track = written(tmp_path / "t.mp3", wave, RATE)
    data = track.read_bytes()
    track.write_bytes(data[: len(data) * 3 // 4])

    assert "length-claim" in codes(check_track(track, script, edition=None))


def test_a_cut_flac_is_found(script: Worded, wave: Wave, tmp_path: Path) -> None:
    """A FLAC file that ends too soon is found as such."""
    track = written(tmp_path / "t.flac", wave, RATE)
    data = track.read_bytes()
    track.write_bytes(data[: len(data) * 3 // 4])

    assert {"length-claim", "decode-stopped"} & set(codes(check_track(track, script, edition=None)))


def test_a_lying_header_is_found(script: Worded, wave: Wave, tmp_path: Path) -> None:
    """A WAV header that states twice the data is found."""
    track = written(tmp_path / "t.wav", wave, RATE)
    data = bytearray(track.read_bytes())
    at = data.index(b"data") + 4
    data[at : at + 4] = struct.pack("<I", 4 * len(wave))
    track.write_bytes(data)

    assert "length-claim" in codes(check_track(track, script, edition=None))


def test_silence_alone(script: Worded, tmp_path: Path) -> None:
    """A silent track has no sound, is not good, and does not fail the check itself."""
    track = written(tmp_path / "t.wav", np.zeros(RATE * 3, dtype=np.float32), RATE)

    result = check_track(track, script, edition=None)

    assert "no-sound" in codes(result)
    assert not result.is_good
    assert "NOT GOOD" in as_text(result)


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("empty.wav", b""),
        ("text.wav", b"not a sound at all"),
        ("riff.wav", b"RIFF\xff\xff\xff\xffWAVE"),
        ("flac.flac", b"fLaC\x00\x00\x00\x22"),
        ("id3.mp3", b"ID3\x04\x00\x00\x7f\x7f\x7f\x7f"),
    ],
)
def test_what_is_no_track(name: str, data: bytes, script: Worded, tmp_path: Path) -> None:
    """Files that hold no sound are an error with a hint."""
    (tmp_path / name).write_bytes(data)

    with pytest.raises(TrackError) as caught:
        check_track(tmp_path / name, script, edition=None)

    assert caught.value.hint


@pytest.mark.parametrize("path", ["missing.mp3", ".", "nul\0l.wav"])
def test_paths_that_are_no_file(path: str, tmp_path: Path) -> None:
    """A missing file, a folder and an impossible name are errors with a hint."""
    with pytest.raises(TrackError) as caught:
        TrackReader(tmp_path / path)

    assert caught.value.hint


def test_numbers_that_are_no_sound(script: Worded, tmp_path: Path) -> None:
    """A track with infinite samples is refused."""
    wave = np.zeros(RATE, dtype=np.float32)
    wave[100] = np.inf
    soundfile.write(str(tmp_path / "t.wav"), wave, RATE, subtype="FLOAT")

    with pytest.raises(TrackError, match="not finite"):
        check_track(tmp_path / "t.wav", script, edition=None)


@settings(
    max_examples=cases(25, 600),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(data=st.data(), kind=st.sampled_from([".wav", ".flac", ".mp3"]))
def test_damaged_bytes_never_crash(data: st.DataObject, kind: str, tmp_path: Path) -> None:
    """Random damage to a track's bytes gives findings or a plain error, never another failure."""
    path = tmp_path / f"good{kind}"
    if not path.exists():
        written(path, laid(layout()[:8], RATE), RATE)
    broken = tmp_path / f"broken{kind}"
    broken.write_bytes(damaged_bytes(data, path.read_bytes()))
    try:
        read_tags(broken)
        heard = listen(broken)
    except PausewrightError as error:
        told = error.hint
        assert told
    else:
        assert all(0 <= start < end <= heard.n_frames for start, end in heard.stretches)


# ---- levels and tags -------------------------------------------------------------------------


def test_too_loud_and_over_the_ceiling(script: Worded, wave: Wave, tmp_path: Path) -> None:
    """A track that is 12 dB up is told as too loud, and as over the true-peak ceiling."""
    track = written(tmp_path / "t.wav", np.clip(wave * 4, -1, 1), RATE)

    found = codes(check_track(track, script, edition=None))

    assert {"loudness", "true-peak"} <= set(found)
    assert "silence-short" not in found


def test_edition_and_chapters_of_an_mp3(script: Worded, tmp_path: Path) -> None:
    """Edition and chapters are read from ID3 (CHAP, TXXX); what differs is found."""
    from mutagen.id3 import CHAP, ID3, TIT2, TXXX  # noqa: PLC0415

    track = written(tmp_path / "t.mp3", laid(layout()))
    tags = ID3()
    tags.add(TIT2(text="Eight sums"))
    tags.add(TXXX(desc="EDITION", text="k7-2f"))
    tags.add(CHAP(element_id="c1", start_time=0, end_time=5000))
    tags.save(track)

    assert codes(check_track(track, script, edition="k7-2f")) == []
    assert codes(check_track(track, script, edition="other")) == ["edition-differs"]
    tags.add(CHAP(element_id="c2", start_time=5000, end_time=9_000_000))
    tags.delall("TXXX")
    tags.save(track)
    found = codes(check_track(track, script, edition="k7-2f"))
    assert sorted(found) == ["chapter-off", "chapter-outside", "edition-missing"]


def test_tags_of_a_flac(wave: Wave, tmp_path: Path) -> None:
    """Edition and chapters are read from Vorbis comments."""
    from mutagen.flac import FLAC  # noqa: PLC0415

    track = written(tmp_path / "t.flac", wave, RATE)
    file = FLAC(track)
    file["EDITION"] = "k7-2f"
    file["CHAPTER001"] = "00:00:01.500"
    file.save()

    tags = read_tags(track)

    assert tags.edition == "k7-2f"
    assert [chapter.start_s for chapter in tags.chapters] == [Fraction(3, 2)]


# ---- reports ---------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def damaged(script: Worded, tmp_path_factory: pytest.TempPathFactory) -> CheckResult:
    """Return the result of a track with several faults."""
    items = layout()
    items = [
        Gap(item.wait_s + 1, item.tag) if isinstance(item, Gap) and item.tag == "answer 4" else item
        for item in items
        if not (isinstance(item, Say) and item.tag == "n6")
    ]
    track = written(tmp_path_factory.mktemp("t") / "t.wav", laid(items, RATE), RATE)
    return check_track(track, script, edition="k7-2f")


def test_json_follows_the_schema(damaged: CheckResult) -> None:
    """The JSON report is valid under the published schema (JSON Schema 2020-12)."""
    jsonschema.Draft202012Validator.check_schema(schema())
    jsonschema.validate(json.loads(as_json(damaged)), schema())

    assert as_data(damaged)["verdict"] == "not good"


def test_text_report(damaged: CheckResult) -> None:
    """The report keeps to 100 columns, has a row a question, and says that no person heard it."""
    text = as_text(damaged)

    assert max(map(len, text.splitlines())) <= WIDTH
    assert len(re.findall(r"^[1-8] .*(good|WRONG)$", text, re.MULTILINE)) == 8
    assert re.search(r"^4 .*WRONG$", text, re.MULTILINE)
    assert "Not heard by a person yet" in text
    assert "+1.000" in text


def test_reports_hold_no_words_of_questions(damaged: CheckResult) -> None:
    """No word of four letters or more that only questions use stands in a report."""
    questions = set(re.findall(r"[a-z]{4,}", " ".join(QUESTIONS).lower()))
    other = (
        "between your words with have then that from what which numbers sheet long there are the "
        "number"
    )

    for report in (as_text(damaged), as_json(damaged)):
        told = set(re.findall(r"[a-z]{4,}", report.replace(damaged.title, "").lower()))
        assert told & questions <= set(other.split())


def test_clock_times() -> None:
    """Times are rounded once, half up: 59.9996 s is a minute."""
    assert clock(Fraction("59.9996")) == "01:00.000"
    assert clock(Fraction("3723.4565")) == "62:03.457"
    assert seconds(Fraction("-0.0306")) == "-0.031"
    assert seconds(Fraction("-0.0001")) == "0.000"
