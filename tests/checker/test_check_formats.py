"""Every format that is delivered: whole, cut off, with changed bytes, and hostile."""

from __future__ import annotations

import itertools
from fractions import Fraction
from typing import TYPE_CHECKING, BinaryIO

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pausewright.checker.check import check_track
from pausewright.checker.files import by_av
from pausewright.checker.listen.listen import listen
from pausewright.problems import PausewrightError, TrackError
from support.amounts import cases
from support.damage.damaged_bytes import damaged_bytes
from support.spoiling.files import write
from support.tracks.checker_tracks import SCRIPT, laid, layout, worded

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    import numpy as np
    from pausewright.wording.worded import Worded

RATE_HZ = 44_100
KINDS = ("ogg", "opus", "m4a")


@pytest.fixture(scope="module")
def script(tmp_path_factory: pytest.TempPathFactory) -> Worded:
    """Return the worded script of all tests here."""
    return worded(tmp_path_factory.mktemp("script"), SCRIPT)


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return a good track in each format."""
    folder = tmp_path_factory.mktemp("tracks")
    wave = laid(layout(), RATE_HZ)
    return {kind: write(folder, wave, RATE_HZ, kind) for kind in KINDS}


@pytest.mark.parametrize("kind", KINDS)
def test_a_good_track_passes(kind: str, script: Worded, files: dict[str, Path]) -> None:
    """Each judged silence is within 20 ms, and no error is found."""
    result = check_track(files[kind], script, edition=None, second_decoder=True)

    assert [f.code for f in result.findings if f.severity == "error"] == []
    judged = [row.difference_s for row in result.silences if row.allowed_s is not None]
    assert all(d is not None and abs(d) <= Fraction(20, 1000) for d in judged)


@pytest.mark.parametrize("kind", KINDS)
def test_a_file_that_is_cut_off(
    kind: str, script: Worded, files: dict[str, Path], tmp_path: Path
) -> None:
    """Half a file is an error that says so, or cannot be read at all."""
    data = files[kind].read_bytes()
    half = tmp_path / files[kind].name
    half.write_bytes(data[: len(data) // 2])
    try:
        result = check_track(half, script, edition=None, second_decoder=True)
    except PausewrightError as why:
        assert why.hint  # noqa: PT017  either way is right
    else:
        told = {"length-claim", "decode-stopped", "file-damaged", "track-ends-early"}
        assert told & {f.code for f in result.findings}


@pytest.mark.parametrize("kind", ["ogg", "opus"])
def test_one_changed_byte_is_found(
    kind: str, script: Worded, files: dict[str, Path], tmp_path: Path
) -> None:
    """A page's own sum tells that a byte was changed."""
    data = bytearray(files[kind].read_bytes())
    data[len(data) // 2] ^= 1
    changed = tmp_path / files[kind].name
    changed.write_bytes(data)

    result = check_track(changed, script, edition=None)

    assert "file-damaged" in {f.code for f in result.findings}


@settings(
    max_examples=cases(12, 300),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(data=st.data(), kind=st.sampled_from(KINDS))
def test_damaged_bytes_never_crash(data: st.DataObject, kind: str, tmp_path: Path) -> None:
    """Random damage gives findings or a plain error, never another failure."""
    good = tmp_path / f"good.{kind}"
    if not good.exists():
        wave = laid(layout()[:4], RATE_HZ)
        write(tmp_path, wave, RATE_HZ, kind, name="good")
    broken = tmp_path / f"broken.{kind}"
    broken.write_bytes(damaged_bytes(data, good.read_bytes()))
    try:
        heard = listen(broken)
    except PausewrightError as error:
        assert error.hint  # noqa: PT017  either way is right
    else:
        assert all(0 <= start < end <= heard.n_frames for start, end in heard.stretches)


def test_a_stop_in_the_middle_is_told(
    script: Worded, files: dict[str, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is decoded before a fault is judged, and that decoding stopped there is said."""
    whole = by_av.decoded_from

    def stopping(file: BinaryIO, name: str) -> Iterator[np.ndarray]:
        yield from itertools.islice(whole(file, name), 200)
        raise TrackError("decoding stops here", "copy the track again")

    monkeypatch.setattr(by_av, "decoded_from", stopping)
    result = check_track(files["m4a"], script, edition=None)

    assert "decode-stopped" in {f.code for f in result.findings}
