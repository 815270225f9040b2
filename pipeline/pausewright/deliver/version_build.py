"""One version of a script made into a folder of its own: laid, written, checked, recorded."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.deliver import final_check
from pausewright.deliver.build_options import Built, Options
from pausewright.deliver.outputs import (
    basis_output,
    captions_output,
    contents_output,
    measured_output,
    packing_list_output,
    papers_output,
    pieces_output,
    record_output,
    reports_output,
    screens_output,
    signed_output,
    sound_check_output,
    staff_papers_output,
    track_output,
    transcripts_output,
    videos_output,
)
from pausewright.deliver.outputs.job import Job
from pausewright.deliver.recorded_sounds import RecordedSounds
from pausewright.deliver.signed import signatures_for
from pausewright.deliver.sound_check import sound_check_utterances
from pausewright.frozen import frozen
from pausewright.papers.timed.pausing_sheet import can_be_given_by_hand
from pausewright.plan.steps import steps
from pausewright.plan.timeline import Say
from pausewright.wording.line_elements import Excerpt, Utterance

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from pausewright.checker.judge.against_standard import MeasuredTrack
    from pausewright.deliver.element_sounds import ElementSounds
    from pausewright.deliver.outputs.job import Output
    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.plan.timeline import Timeline
    from pausewright.voice.recording_report import RecordingReport

LAID: Final[tuple[Callable[[Job], Output], ...]] = (
    track_output.write,
    sound_check_output.write,
    signed_output.write,
    pieces_output.write,
    captions_output.write,
    transcripts_output.write,
    screens_output.write,
)
"""What is played and shown."""
PAPERS: Final[tuple[Callable[[Job], Output], ...]] = (
    papers_output.write,
    staff_papers_output.write,
)
"""What is printed."""
FILMED: Final[tuple[Callable[[Job], Output], ...]] = (
    videos_output.write,
    contents_output.write,
)
"""What follows from both."""
BEFORE_CHECK: Final = (*LAID, *PAPERS, *FILMED)
"""What is played, shown and printed, in this order; the check looks at it."""
AFTER_CHECK: Final[tuple[Callable[[Job], Output], ...]] = (
    reports_output.write,
    measured_output.write,
    packing_list_output.write,
    basis_output.write,
    record_output.write,
)
"""What says how the check went and what belongs together; the record lists all before it."""


@frozen
class VersionBuild:
    """A version, the studio at its level, and the folder that it is built in."""

    project: Project
    options: Options
    version: Version
    sounds: ElementSounds
    key: str
    """Its build key."""
    stage: Path

    @property
    def is_standard(self) -> bool:
        """Whether this is the standard track."""
        return not self.version.arrangement.changes

    @property
    def sound_check(self) -> tuple[Utterance, ...]:
        """What is said in the sound check; () if there is none, as beside a given recording."""
        if isinstance(self.sounds, RecordedSounds):
            return ()
        return sound_check_utterances(self.version, self.project.profiles)

    def refuse_bad_sounds(self) -> None:
        """Refuse recorded sounds that cannot be used: one `ScriptError` with all their places."""
        said = self.version.said()
        self.sounds.refuse_bad_excerpts(one for one in said if isinstance(one, Excerpt))

    @property
    def said(self) -> tuple[Utterance, ...]:
        """What voices say on the track."""
        return tuple(one for one in self.version.said() if isinstance(one, Utterance))

    @property
    def measured_beside(self) -> tuple[Utterance, ...]:
        """What is not on the track, and its lengths are needed: the standard's on a sheet."""
        if not can_be_given_by_hand(self.version.arrangement):
            return ()
        standard = (step.element for step in steps(self.project.worded) if isinstance(step, Say))
        return tuple(one for one in standard if isinstance(one, Utterance))

    def voice(self) -> RecordingReport:
        """Voice what is missing; utterances at fault are one `ScriptError` with all places."""
        studio = self.sounds.studio
        check = studio.record(self.sound_check)
        report = studio.record(self.said)
        studio.record(self.measured_beside)
        # counted with the others, but its pace and peaks are none of the track's
        return replace(
            report, n_voiced=report.n_voiced + check.n_voiced, n_kept=report.n_kept + check.n_kept
        )

    def timeline(self) -> Timeline:
        """Return where everything lies on the track, once its words are voiced."""
        return self.sounds.line_of(self.version)

    def run(
        self,
        voiced: RecordingReport,
        standard: Callable[[], Mapping[str, MeasuredTrack]],
        deliver: Callable[[Mapping[str, MeasuredTrack]], None] | None = None,
    ) -> Built:
        """Lay, write and check what was voiced.

        Parameters
        ----------
        voiced : what was voiced
        standard : gives the standard version's tracks, measured, by what follows the common name
            (".mp3", "_burned-in.mp4"), once they are there; empty if there are none. Not asked by
            the standard version itself
        deliver : takes this version's tracks, measured, in the same way, once they are checked
        """
        job = self.job(voiced)
        for write in BEFORE_CHECK:
            job.add(write(job))
        return self.checked(job, standard, deliver)

    def checked(
        self,
        job: Job,
        standard: Callable[[], Mapping[str, MeasuredTrack]],
        deliver: Callable[[Mapping[str, MeasuredTrack]], None] | None = None,
    ) -> Built:
        """Check what was written for a job, write how that went; see `run`."""
        measured: dict[str, MeasuredTrack] | None = None if deliver is None else {}
        final_check.check_played(job, {} if self.is_standard else standard(), measured)
        if deliver is not None and measured is not None:
            deliver(measured)
        final_check.check_joined(job)
        for write in AFTER_CHECK:
            job.add(write(job))
        return Built(
            self.stage,
            job.label,
            job.edition,
            tuple(sorted(file.path for file in job.files)),
            job.checks,
            job.warnings,
            tuple(job.notes),
            is_fresh=True,
            length_s=Fraction(job.line.n_samples, job.line.rate_hz),
            n_voiced=job.voiced.n_voiced,
            n_kept=job.voiced.n_kept,
            heard_by=record_output.heard_by(job),
        )

    def job(self, voiced: RecordingReport) -> Job:
        """Return what outputs are made from, once all is voiced."""
        line = self.timeline()
        return Job(
            self.project,
            self.options,
            self.version,
            self.key,
            self.stage,
            line,
            captions_output.cues_of(line, self.version.script.settings, self.sounds),
            self.sounds,
            voiced,
            self.sound_check,
            notes=_voicing_notes(self.version, voiced),
            signatures=signatures_for(self.project.script.path, self.version.label),
        )


def _voicing_notes(version: Version, voiced: RecordingReport) -> list[str]:
    notes = []
    if version.grant is not None:
        notes.append(f"extra time: {version.grant.sum_text}")
    if voiced.words_per_minute is not None:
        notes.append(f"the speech runs at {voiced.words_per_minute:.0f} words a minute")
    notes += [
        f"line {one.utterance.place.line}: take {one.take} of the voice is used: an earlier one "
        "begins so softly that its start would pass for cut off"
        for one in voiced.retaken
    ]
    worst_db = max((one.gain_reduced_db for one in voiced.reduced), default=0)
    if round(worst_db, 1) > 0:
        notes.append(
            f"{len(voiced.reduced)} of {voiced.n_voiced + voiced.n_kept} utterances have peaks "
            f"turned down by up to {worst_db:.1f} dB, so that none passes the ceiling"
        )
    return notes
