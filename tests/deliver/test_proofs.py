"""Proofs: all that is said in little time, never to be taken for a track."""

from __future__ import annotations

import json
import shutil
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
import soundfile
from pausewright.checker.expect.expect import expect
from pausewright.checker.unscripted import measure_track
from pausewright.deliver.build import Options
from pausewright.deliver.project import open_project
from pausewright.deliver.proofs import build_proofs
from pausewright.deliver.recheck import recheck
from pausewright.plan.proof_steps import ProofWords, proof_steps
from pausewright.plan.steps import steps
from pausewright.plan.timeline import Mark, Say, timeline
from pausewright.problems import OutputError, TrackError
from pausewright.script.silences import CANDIDATES
from pausewright.wording.line_elements import Excerpt, ToneCue, Utterance
from support.places import DEMO
from support.scripts.demo_scripts import SCRIPTS
from support.scripts.short_scripts import SMALL
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles, n_samples_of

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.project import Project
    from pausewright.wording.line_elements import SoundElement
    from support.command_line import Run

RATE_HZ = 44_100
DEMOS = [*SCRIPTS, *sorted((DEMO / "arrangements").glob("*.md"))]
SAID_TWICE = """---
title: Twice
language: en-GB
readings: 3
between-readings: 5 s, 0.5 s
again: "Once more."
answer-time: 9 s
---

1. How many boats are there? Count them.
2. How many gulls? {readings="1"}

::: stop {for="0.4 s"}
Ask now.
:::

The end.
"""


def n_samples(element: SoundElement) -> int:
    """Return the length of a sound with the voice without a model; recordings last two seconds."""
    if isinstance(element, ToneCue):
        return int(element.spec.tone_s * RATE_HZ)
    if isinstance(element, Excerpt):
        return 2 * RATE_HZ
    return n_samples_of("".join(part.text for part in element.spoken) or "sound")


def words_of(project: Project) -> ProofWords:
    """Return what only a proof says."""
    lines = (project.worded.of_proof("proof"), project.worded.of_proof("proof-same"))
    first, second = (tuple(e for e in line if isinstance(e, Utterance)) for line in lines)
    return ProofWords(first, second)


@pytest.mark.parametrize("script", DEMOS, ids=lambda script: script.stem)
def test_a_proof_lasts_as_long_as_what_is_said(script: Path) -> None:
    """Speech and shortened silences, as the check's own reading of the script has them: ± 1 s."""
    project = open_project(script)
    words = words_of(project)
    made, left_out = proof_steps(
        steps(project.worded), words, n_samples, RATE_HZ, all_readings=True
    )
    line = timeline(made, n_samples, RATE_HZ)

    expected = expect(project.worded)
    shortened_s = Fraction(0)
    for silence in expected.silences:
        if silence.kind == "hold":
            shortened_s += 1
        elif silence.kind in CANDIDATES:
            shortened_s += min(silence.wait_s, Fraction(1))
        else:
            shortened_s += silence.wait_s
    sounds = sum(n_samples(sound.element) for sound in expected.sounds)
    starts = [
        one.start_sample
        for one in line.placed
        if isinstance(one.step, Say) and one.step.element == words.is_proof[0]
    ]
    own = n_samples(words.is_proof[0]) + Fraction(4, 5) * RATE_HZ
    wanted_s = shortened_s + (sounds + len(starts) * own) / RATE_HZ

    assert left_out == ()
    assert abs(Fraction(line.n_samples, RATE_HZ) - wanted_s) < 1
    assert starts[0] == RATE_HZ // 2
    gaps = [b - a for a, b in pairwise([*starts, line.n_samples])]
    assert max(gaps) <= 60 * RATE_HZ


def test_a_reading_that_is_the_same_sound_is_named_and_left_out(tmp_path: Path) -> None:
    """Worked by hand: the words of question 1 are heard once, its announcements each time."""
    script = tmp_path / "twice.md"
    script.write_text(SAID_TWICE, encoding="utf-8")
    project = open_project(script, fake_profiles(tmp_path))

    made, left_out = proof_steps(
        steps(project.worded), words_of(project), n_samples, RATE_HZ, all_readings=False
    )

    rows = [
        one.element.words if isinstance(one, Say) and isinstance(one.element, Utterance)
        else "tone" if isinstance(one, Say) else one.wait_s
        for one in made
        if not isinstance(one, Mark)
    ]  # fmt: skip
    assert rows == [
        Fraction(1, 2), "Proof, not for use.", Fraction(4, 5),
        "How many boats are there?", Fraction(2, 5), "Count them.", 1,
        "Once more.", Fraction(4, 5), "The same reading again.", Fraction(1, 2),
        "Once more.", Fraction(4, 5), "The same reading again.", 1,
        "How many gulls?", 1,
        "Ask now.", 1, "tone", Fraction(4, 5), "The recording continues.", Fraction(4, 5),
        "The end.", 1,
    ]  # fmt: skip
    assert [(str(one.question), one.reading) for one in left_out] == [("1", 2), ("1", 3)]


def options(folder: Path, *formats: str) -> Options:
    """Return how proofs are built here."""
    return Options(
        folder / "out", formats or ("mp3",), workers=1, engines=fake_engines(FakeEngine()),  # type: ignore[arg-type]
        profiles=fake_profiles(folder),
    )  # fmt: skip


def test_no_check_takes_it_for_a_track(tmp_path: Path) -> None:
    """By its tags or its name it is refused, with its script and without, also in a folder."""
    script = tmp_path / "small.md"
    script.write_text(SMALL, encoding="utf-8")
    found = build_proofs(script, options(tmp_path, "mp3", "flac"))

    (proof,) = found.proofs
    assert found.folder == tmp_path / "out" / "small-proof"
    assert proof.length_s < proof.track_s
    assert len(proof.left_out) == 2
    mp3, flac, listed = proof.files
    assert "PROOF, NOT FOR USE" in listed.read_text("utf-8")
    for file in (mp3, flac):
        assert soundfile.info(file).duration == pytest.approx(float(proof.length_s), abs=1e-6)
        renamed = tmp_path / f"harbour{file.suffix}"
        shutil.copyfile(file, renamed)
        for track in (file, renamed):
            with pytest.raises(TrackError, match="is a proof, not for use"):
                measure_track(track)
    samples, rate_hz = soundfile.read(flac, dtype="int16")
    untagged = tmp_path / "small_proof.wav"
    soundfile.write(untagged, samples, rate_hz, subtype="PCM_16")
    with pytest.raises(TrackError, match="is a proof, not for use"):
        measure_track(untagged)
    with pytest.raises(TrackError, match="is a proof, not for use"):
        recheck(found.folder)
    with pytest.raises(OutputError, match="no place to say that it is a proof"):
        build_proofs(script, options(tmp_path, "wav"))


def test_the_command_says_what_was_left_out(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One call, one folder; options of a build beside it are refused."""
    script = tmp_path / "small.md"
    script.write_text(SMALL, encoding="utf-8")
    made = build_proofs(script, options(tmp_path))
    monkeypatch.setattr("pausewright.deliver.proofs.build_proofs", lambda *_, **__: made)

    code, out, _ = run("build", str(script), "--proof", "--json")
    assert code == 0
    data = json.loads(out)
    assert data["is_proof"] is True
    assert [one["reading"] for one in data["left_out"]] == [2, 2]
    code, out, _ = run("build", str(script), "--proof")
    assert code == 0
    assert "2 readings left out" in out
    assert run("build", str(script), "--all-readings")[0] == 2
    assert run("build", str(script), "--proof", "--split-at-stops")[0] == 2
