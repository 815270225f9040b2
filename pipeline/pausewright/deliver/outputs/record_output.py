"""The build record: what was built, from what, by what, with the hash of every file.

It lies with the confidential files and still names no candidate's need. Its shape is
`records.shapes.BuildRecord`.
"""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from pausewright.deliver.build_key import PACKAGES, installed_versions
from pausewright.deliver.heard import heard_questions, read_heard
from pausewright.deliver.outputs.job import Output
from pausewright.deliver.signed import DRAFT
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import sha256_of
from pausewright.papers.timed.track_places import places_of
from pausewright.plan.clock import Clock, exact_seconds
from pausewright.plan.timeline import Wait
from pausewright.problems import OutputError
from pausewright.records.record_files import record_text
from pausewright.records.shapes import (
    NOT_HEARD,
    RECORD_FORMAT,
    BuildRecord,
    MeasuredSound,
    RecordedFile,
    RecordedSilence,
    RecordedTrack,
    RecordedVoice,
)

if TYPE_CHECKING:
    from pausewright.deliver.outputs.job import Job, OutputFile
    from pausewright.plan.timeline import Timeline
    from pausewright.voice.recording_report import VoiceUse


def write(job: Job) -> Output:
    """Write the record of all files that were written before it."""
    measured = {
        track: measured_sound(found.rate_hz, found.n_frames)
        for track, found in job.checked
        if isinstance(track, Path)
    }
    record = BuildRecord(
        title=job.settings.title,
        edition=job.edition,
        version_label=job.label,
        arrangement=job.version.arrangement.name,
        build_key=job.key,
        loudness_target_lufs=f"{job.sounds.loudness_lufs:g}",
        files=tuple(
            recorded_file(file, job.stage, measured.get(file.path))
            for file in sorted(job.files, key=lambda one: one.path)
        ),
        voices=tuple(_recorded_voice(voice) for voice in job.voiced.voices),
        track=recorded_track(job.line, job.sounds.channels),
        declared=declared_silences(job.line),
        versions=installed_versions(PACKAGES),
        warnings=(*(problem.message for problem in job.warnings), *job.notes),
        heard_by=heard_by(job),
        record_format=RECORD_FORMAT,
        state="signed" if job.standing.is_track_signed else DRAFT,
        signed=job.standing.lines,
    )
    name = f"build-record_{job.label}.json"
    return Output((job.confidential(name, "record", record_text(record)),))


def heard_by(job: Job) -> str:
    """Return who signed for the sound of a version, else how much of it was played."""
    if job.standing.heard_by:
        return job.standing.heard_by
    heard = read_heard(job.project.script.path)
    if not heard:
        return NOT_HEARD
    return heard_questions(places_of(job.line, job.sounds.mark), job.line.rate_hz, heard).sentence


def _recorded_voice(voice: VoiceUse) -> RecordedVoice:
    return RecordedVoice(
        name=voice.name,
        language=voice.language,
        licence=voice.licence,
        origin=voice.origin,
        engine=voice.engine,
        setting=repr(voice.setting),
        pace_wpm=f"{voice.words_per_minute:.1f}",
    )


def recorded_file(
    file: OutputFile, folder: Path, measured: MeasuredSound | None = None
) -> RecordedFile:
    """Return the entry of a finished file, hashed from the disk.

    `measured` is what the check counted in it, if it is a track.

    Raises
    ------
    OutputError
        If the file cannot be read back.
    ValueError
        If it does not lie below `folder`.
    """
    path = file.path
    try:
        n_bytes, sha256 = path.stat().st_size, sha256_of(path, kind=BUILT_FILE)
    except OSError as error:
        raise OutputError(
            f"‘{path}’ was written and cannot be read back ({error.strerror})",
            "build again, or choose another folder with --out",
        ) from error
    name = path.relative_to(folder).as_posix()
    return RecordedFile(name, file.kind, n_bytes, sha256, file.content_mark, measured)


def measured_sound(rate_hz: int, n_samples: int) -> MeasuredSound:
    """Return what the check counted in a delivered track, with its length in seconds."""
    return MeasuredSound(rate_hz, n_samples, exact_seconds(Fraction(n_samples, rate_hz)))


def recorded_track(timeline: Timeline, channels: int) -> RecordedTrack:
    """Return the audio's entry."""
    length_s = exact_seconds(Clock(timeline.rate_hz).seconds(timeline.n_samples))
    n_channels: Literal[1, 2] = 1 if channels == 1 else 2
    return RecordedTrack(timeline.rate_hz, n_channels, timeline.n_samples, length_s)


def declared_silences(timeline: Timeline) -> dict[str, RecordedSilence]:
    """Return count and exact sum of the declared silences by kind, in the order of first use."""
    waits: defaultdict[str, list[Fraction]] = defaultdict(list)
    for placed in timeline.placed:
        if isinstance(placed.step, Wait):
            waits[placed.step.kind].append(placed.step.wait_s)
    return {
        kind: RecordedSilence(len(found), exact_seconds(sum(found, Fraction(0))))
        for kind, found in waits.items()
    }
