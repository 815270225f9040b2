"""Versions against the standard track: only what is declared may differ."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pytest
import soundfile
from pausewright.arrange.arrangement_words import ArrangementWords
from pausewright.checker.check import check_track
from pausewright.checker.judge.against_standard import measured_track
from pausewright.checker.report.report import as_text
from pausewright.checker.result.proofs import Comparison
from pausewright.deliver.build import build_versions
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from support.scripts.short_scripts import SMALL
from support.scripts.versions import END, HEAD, options, written
from support.voices.fake_voice import FakeEngine, fake_engines

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from numpy.typing import NDArray
    from pausewright.checker.result.findings import CheckResult
    from pausewright.voice.engine import RawTake

VERSIONS = """
longer: {label: B, basis: f, extra-time: 25 %, stretch: [answer-time],
  share-of: listed-silences, where: each-gap}
slower: {label: C, basis: f, pace: 80 %}
three: {label: D, basis: f, readings: 3}
"""
RATE_HZ = 44_100


class Built:
    """Tracks of all versions, and how to check one of them, damaged or not."""

    def __init__(
        self, folder: Path, kind: str = "wav", versions: str = VERSIONS, **changes: object
    ) -> None:
        """Build them; `changes` are options."""
        self.script = written(folder, SMALL, versions)
        made = options(folder, formats=(kind,), **changes)
        self.tracks = {
            one.label: next(f for f in one.files if f.suffix == f".{kind}")
            for one in build_versions(self.script, made)
        }
        self.project = open_project(self.script, made.profiles)
        self.standard = measured_track(self.tracks["A"], self.project.worded)

    def checked(
        self,
        label: str,
        damage: Callable[[NDArray[np.int16]], NDArray[np.int16]] | None = None,
        in_place: str = "",
    ) -> CheckResult:
        """Check a version, or the track of another version in its place, against the standard."""
        track = self.tracks[in_place or label]
        if damage is not None:
            wave, _ = soundfile.read(track, dtype="int16")
            track = track.with_name(f"damaged{track.suffix}")
            soundfile.write(track, damage(wave), RATE_HZ)
        version = made_versions(self.project, [label])[0]
        return check_track(track, version.worded, edition=None, standard=self.standard)


@pytest.fixture(scope="module")
def tracks(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Built]:
    """Return how to get the tracks of one format; they are built once."""
    return cache(lambda kind: Built(tmp_path_factory.mktemp(kind), kind))


@pytest.mark.parametrize("kind", ["wav", "flac", "mp3"])
def test_versions_differ_as_declared(tracks: Callable[[str], Built], kind: str) -> None:
    """Every version is good against the standard track, and the report says what is the same."""
    built = tracks(kind)
    found = {label: built.checked(label) for label in "BCD"}

    assert {label: [f.sentence for f in one.errors] for label, one in found.items()} == {
        "B": [], "C": [], "D": [],
    }  # fmt: skip
    longer, slower, three = (found[label].comparison for label in "BCD")
    assert longer is not None
    assert slower is not None
    assert three is not None
    assert longer.n_same == longer.n_partners == longer.n_sounds - 1  # one instruction is restated
    assert slower.n_partners == slower.n_sounds
    assert three.n_sounds - three.n_partners == 2  # one more reading of two questions
    assert slower.pace_over_all is not None
    assert abs(slower.pace_over_all / Fraction(4, 5) - 1) < Fraction(1, 100)
    assert "80 % declared" in as_text(found["C"])


def _other_sound(wave: NDArray[np.int16]) -> NDArray[np.int16]:
    """Play the first sentence backwards: as long, as loud, another recording."""
    loud = np.flatnonzero(np.abs(wave) > 100)
    start = loud[0]
    end = loud[np.flatnonzero(np.diff(loud) > RATE_HZ // 2)[0]] + 1
    wave = wave.copy()
    wave[start:end] = wave[start:end][::-1]
    return wave


@dataclass
class PeakyEngine(FakeEngine):
    """The voice without a model with a click in each word, 12 dB over it, as consonants have."""

    def synthesise(self, prepared: object) -> RawTake:
        """Return the bursts with their clicks."""
        take = super().synthesise(prepared)
        for start, end in take.word_spans:
            take.samples[(start + end) // 2] = 0.8
        return take


def test_a_louder_version_is_the_same_recording_with_its_peaks_turned_down(tmp_path: Path) -> None:
    """At −18 LUFS the limiter changes the wave; backwards it is still another recording."""
    built = Built(
        tmp_path,
        versions="loud: {label: B, basis: f, loudness: loudspeaker}",
        engines=fake_engines(PeakyEngine(ramp_s=0.02)),
    )

    assert "standard-sound-differs" not in {f.code for f in built.checked("B").errors}
    found = built.checked("B", _other_sound)
    assert "standard-sound-differs" in {f.code for f in found.errors}


def test_another_take_is_found(tracks: Callable[[str], Built]) -> None:
    """A sound of the same length that is another recording is named."""
    found = tracks("wav").checked("B", _other_sound)

    assert "standard-sound-differs" in {f.code for f in found.errors}


def test_an_untouched_silence_is_held_to_the_standard(tracks: Callable[[str], Built]) -> None:
    """A silence that the arrangement does not list may not differ, though it is no promise."""

    def shorter(wave: NDArray[np.int16]) -> NDArray[np.int16]:
        quiet = np.abs(wave) <= 3
        edges = np.flatnonzero(np.diff(quiet.astype(np.int8)))
        at = next(a for a, b in itertools.pairwise(edges) if b - a > 0.3 * RATE_HZ and a)
        return np.delete(wave, slice(at + 2000, at + 2000 + RATE_HZ // 100))

    built = tracks("wav")
    good, found = built.checked("B").comparison, built.checked("B", shorter)

    assert [f.code for f in found.errors].count("standard-silence-differs") == 1
    assert good is not None
    assert found.comparison is not None
    assert found.comparison.n_silences == good.n_silences - 1


def test_the_standard_track_is_no_slower_version(tracks: Callable[[str], Built]) -> None:
    """Speech at the standard pace in place of the slower one: every utterance is off."""
    found = tracks("wav").checked("C", in_place="A")

    assert [f.code for f in found.errors].count("pace-differs") > 5


def test_another_label_is_found(tracks: Callable[[str], Built]) -> None:
    """A track that carries the label of another version is not good for this one."""
    found = tracks("flac").checked("B", in_place="D")

    assert "label-differs" in {f.code for f in found.errors}


def test_the_proof_of_a_track_that_is_cut_off_claims_nothing_more_than_was_found(
    tracks: Callable[[str], Built],
) -> None:
    """They end at 41 s and 50 s: a track of 45 s lacks the second, one of 30 s both."""
    built = tracks("wav")
    half = built.checked("B", lambda wave: wave[: 45 * RATE_HZ]).extra_time
    none = built.checked("B", lambda wave: wave[: 30 * RATE_HZ]).extra_time

    assert half is not None
    assert half.measured_s is None
    assert half.sentence == (
        "entitled 2.125 s, given 2.125 s in 2 places (not measured: 1 of 2 silences was not "
        "found), none inside speech of those that were"
    )
    assert none is not None
    assert none.sentence == (
        "entitled 2.125 s, given 2.125 s in 2 places (not measured: none of its silences was "
        "found), where on the track is not known"
    )


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        (
            (40, 38, 38, 25),
            ("38 sounds belong", "2 are", "25 untouched silences are", "38 sounds are"),
        ),
        ((2, 1, 1, 1), ("1 sound belongs", "1 is", "1 untouched silence is", "1 sound is")),
        ((1, 1, 0, 0), ("1 sound belongs", "0 are", "0 untouched silences are", "0 sounds are")),
    ],
)
def test_the_comparison_counts_in_words_that_fit(
    numbers: tuple[int, int, int, int], said: tuple[str, str, str, str]
) -> None:
    """One sound is, two sounds are."""
    belong, own, silences, same = said

    assert Comparison("a.mp3", *numbers, Fraction(1), None, None).sentence == (
        f"against a.mp3: {belong} on both tracks, {own} the arrangement's own, "
        f"{silences} the same, {same} the same recording"
    )


def test_a_break_that_comes_late_is_found(tmp_path: Path) -> None:
    """AA-14: a track without its rest breaks, where questions ended in time, is not good."""
    rows = "\n".join(f"{n}. What is {n} plus {n}?" for n in range(1, 9))
    text = HEAD + '# Sums {answer-time="15 s"}\n\n' + rows + END
    script = written(tmp_path, text, "x: {label: B, basis: f, rest-breaks: {every: 1 min}}")
    built = build_versions(script, options(tmp_path, formats=("flac",)))
    project = open_project(script, options(tmp_path).profiles)
    track = next(f for f in built[1].files if f.suffix == ".flac")
    good = check_track(track, made_versions(project, ["B"])[0].worded, edition=None)
    assert good.errors == ()

    written(tmp_path, text, "x: {label: B, basis: f, rest-breaks: {every: 20 s}}")
    strict = made_versions(open_project(script, options(tmp_path).profiles), ["B"])[0]
    like = made_versions(project, ["B"])[0]
    assert isinstance(like.worded, ArrangementWords)
    like.worded.arrangement = strict.arrangement
    late = check_track(track, like.worded, edition=None)
    assert {f.code for f in late.errors} == {"rest-break-late"}
