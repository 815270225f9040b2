"""Proofs of the versions of a script: to be listened to before a track is signed for, not used."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.deliver.output_folder import refuse_long_name, write_text
from pausewright.deliver.project import open_project
from pausewright.deliver.track_sound import RATE_HZ
from pausewright.deliver.version import made_versions
from pausewright.files.stage import settle, staged
from pausewright.frozen import frozen
from pausewright.plan.clock import counter
from pausewright.plan.proof_steps import ProofWords, proof_steps
from pausewright.plan.timeline import Mark, timeline
from pausewright.problems import OutputError
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.deliver.build_options import Options
    from pausewright.deliver.outputs.job import Job
    from pausewright.plan.proof_steps import LeftOut
    from pausewright.plan.timeline import Timeline
    from pausewright.problems import Problem

FOLDER: Final = "proof"
"""Ending of the folder of proofs, beside the folder of the build."""
_OURS: Final = re.compile(r"[^/]+_[2-9A-HJ-NP-Z]{6}_proof\.(?:mp3|flac|txt)")


@frozen
class Proof:
    """The proof of one version."""

    label: str
    files: tuple[Path, ...]
    length_s: Fraction
    track_s: Fraction
    """How long the track itself is."""
    left_out: tuple[LeftOut, ...]
    """Readings that are named and not heard."""


@frozen
class Proofs:
    """The proofs of a script."""

    folder: Path
    edition: str
    proofs: tuple[Proof, ...]
    warnings: tuple[Problem, ...]


def build_proofs(
    script: Path, options: Options, names: Sequence[str] = (), *, all_readings: bool = False
) -> Proofs:
    """Build proofs into `options.out`/(name of the script)-proof.

    Parameters
    ----------
    script : the script
    options : where to, in which formats, which voices
    names : names or labels of versions; none: all
    all_readings : whether readings that are the same sound once more are heard too

    Raises
    ------
    ScriptError
        With all problems of the script and of its arrangements.
    OutputError
        If a format is asked for that cannot say of itself that it is a proof.
    """
    if "wav" in options.formats:
        raise OutputError(
            "a WAV file has no place to say that it is a proof", "write --format mp3 or flac"
        )
    folder = options.out / f"{script.stem}-{FOLDER}"
    refuse_long_name(folder)
    project = open_project(script, options.profiles)
    project.raise_errors()
    versions = made_versions(project, names)
    settle(folder)
    from pausewright.deliver.production import Production  # noqa: PLC0415  all that is heavy

    def ours() -> set[str]:
        return {file.name for file in folder.glob("*") if _OURS.fullmatch(file.name)}

    keys = {version.label: "" for version in versions}
    with staged(folder, ours=ours) as stage:
        jobs = Production(project, options, versions, keys=keys, folder=folder, stage=stage).jobs()
        proofs = tuple(_proof(job, stage, all_readings=all_readings) for job in jobs)
    warnings = (*project.warnings, *(one for version in versions for one in version.warnings))
    placed = tuple(
        replace(one, files=tuple(folder / file.name for file in one.files)) for one in proofs
    )
    return Proofs(folder, project.edition, placed, tuple(dict.fromkeys(warnings)))


def _proof(job: Job, stage: Path, *, all_readings: bool) -> Proof:
    from pausewright.deliver.outputs.track_output import blocks_of, tags_of  # noqa: PLC0415
    from pausewright.sound.track_files import Target, write_tracks  # noqa: PLC0415

    worded = job.project.worded
    lines = worded.of_proof("proof"), worded.of_proof("proof-same")
    worded.problems.raise_errors()
    first, second = (tuple(one for one in line if isinstance(one, Utterance)) for line in lines)
    job.sounds.studio.record((*first, *second))
    words = ProofWords(first, second)
    steps, left_out = proof_steps(
        job.version.steps, words, job.sounds.n_sound_samples, RATE_HZ, all_readings=all_readings
    )
    line = timeline(steps, job.sounds.n_sound_samples, RATE_HZ)
    proof = replace(job, line=line)
    tags = tags_of(proof)
    tags = replace(tags, title=f"PROOF, NOT FOR USE: {tags.title}", is_proof=True)
    name = f"{job.name}_proof"
    targets = [
        Target(stage / f"{name}.{format_}", format_, tags=tags) for format_ in job.options.formats
    ]
    blocks = blocks_of(proof, "writing")
    write_tracks(blocks, targets, rate_hz=RATE_HZ, channels=job.settings.channels)
    listed = stage / f"{name}.txt"
    write_text(listed, _list_of(job, line, left_out), private=True)
    return Proof(
        job.label,
        (*(target.path for target in targets), listed),
        Fraction(line.n_samples, RATE_HZ),
        Fraction(job.line.n_samples, RATE_HZ),
        left_out,
    )


def _list_of(job: Job, line: Timeline, left_out: Sequence[LeftOut]) -> str:
    """Return where each question is on the proof and on the track, and what is not heard."""
    rows = [
        f"{job.settings.title} - PROOF, NOT FOR USE",
        f"Version {job.label} · edition {job.edition}",
        "",
        "Silences of candidates and holds last one second at most.",
        "Times on the proof, times on the track:",
        "",
    ]
    rows += [
        f"{_at(mine.start_sample):>7} {_at(whole.start_sample):>7}  {mine.step.title}"
        for mine, whole in zip(
            (one for one in line.placed if isinstance(one.step, Mark)),
            (one for one in job.line.placed if isinstance(one.step, Mark)),
            strict=True,
        )
        if isinstance(mine.step, Mark)
    ]
    if left_out:
        rows += ["", "Not heard, as they are the same sound as a reading before:"]
        rows += [f"  {_named(one)}" for one in left_out]
    return "\n".join(rows) + "\n"


def _named(one: LeftOut) -> str:
    whose = f"question {one.question}" if one.question is not None else "a passage"
    return f"{whose}, reading {one.reading}"


def _at(sample: int) -> str:
    return counter(Fraction(sample, RATE_HZ))
