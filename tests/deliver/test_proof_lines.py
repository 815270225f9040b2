"""Lines of proof: "kept" stands only before what is on the track, whatever the script says."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
import soundfile
from pausewright.checker.check import check_track
from pausewright.checker.promises.promise import promise_of
from pausewright.deliver.build import build_versions
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from support.scripts.versions import HEAD, built_track, options, written

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.result.findings import CheckResult
    from pausewright.deliver.build import Options

SCRIPT = (
    HEAD.replace("voice: joe", "voice: joe\nreadings: 2") + '# Songs {answer-time="6 s"}\n\n'
    '1. Who sings, and where do they sing it? Tell me all. {key="A"}\n'
    '2. Why do gulls fly so far out to sea? {key="B"}\n\n'
    '# Sums {answer-time="8 s"}\n\nLook at them now. {look-time="4 s"}\n\n'
    '3. Take nine boats from twenty boats. {key="C"}\n\n# End\n\nThe test is over.\n'
)
VERSIONS = """
longer: {label: B, basis: file 7, extra-time: 25 %, share-of: listed-silences,
  stretch: [answer-time], where: each-gap}
again: {label: C, basis: file 7, readings: 3, look-time: 20 s, pauses: {sentence: 1.2 s}}
rests: {label: D, basis: file 7, rest-breaks: {after-questions: "2"}, voice: iris}
shorter: {label: E, basis: file 7, leave-out: [Sums]}
"""


@pytest.fixture(scope="module")
def how(tmp_path_factory: pytest.TempPathFactory) -> Options:
    """Return how the versions were built."""
    folder = tmp_path_factory.mktemp("proofs")
    made = options(folder)
    build_versions(written(folder, SCRIPT, VERSIONS), made)
    return made


def proofs(how: Options, track: Path, label: str) -> dict[str, bool | None]:
    """Return what was found of each field when a track is checked as a version."""
    return {one.field: one.is_kept for one in checked(how, track, label).proofs}


def checked(how: Options, track: Path, label: str) -> CheckResult:
    """Return what comes of a check of a track as a version."""
    project = open_project(how.out.parent / "tide.md", how.profiles)
    (version,) = made_versions(project, [label])
    promise = promise_of(project.script, version.arrangement)
    return check_track(track, version.worded, edition=None, promise=promise)


@pytest.mark.parametrize(
    ("label", "fields"),
    [
        ("B", {"extra-time": True}),
        ("C", {"readings": True, "look-time": True, "pauses": True}),
        ("D", {"rest-breaks": True, "voice": None}),
        ("E", {"leave-out": True}),
    ],
)
def test_kept_is_what_is_on_the_track(
    how: Options, label: str, fields: dict[str, bool | None]
) -> None:
    """A version keeps its own promises; whose voice it is is open."""
    found = proofs(how, built_track(how, label, ".wav"), label)

    assert {name: found[name] for name in fields} == fields
    assert found["words"]


@pytest.mark.parametrize(
    ("label", "fields"),
    [
        ("B", ("extra-time",)),
        ("C", ("readings", "look-time", "pauses")),
        ("D", ("rest-breaks",)),
        ("E", ("leave-out",)),
    ],
)
def test_the_standard_track_keeps_no_promise_of_a_version(
    how: Options, label: str, fields: tuple[str, ...]
) -> None:
    """The version's script says what is promised, and nothing of it is on this track."""
    found = proofs(how, built_track(how, "A", ".wav"), label)

    assert [name for name in fields if found[name] is not False] == []


def test_one_answer_time_that_is_cut_is_counted(how: Options, tmp_path: Path) -> None:
    """Two of three silences are as long as promised: that is not what was promised."""
    track = built_track(how, "B", ".wav")
    wave, rate_hz = soundfile.read(track)
    good = checked(how, track, "B")
    wait = next(one for one in good.silences if one.kind == "answer-time" and one.at_s is not None)
    assert wait.at_s is not None
    at = int(wait.at_s * rate_hz) + rate_hz
    cut = tmp_path / "cut.wav"
    soundfile.write(cut, [*wave[:at], *wave[at + rate_hz :]], rate_hz)

    (proof,) = (one for one in checked(how, cut, "B").proofs if one.field == "extra-time")

    assert proof.verdict == "NOT KEPT"
    assert (proof.n_asked, proof.n_found) == (3, 2)
    assert "2 of them as long as promised" in proof.sentence
