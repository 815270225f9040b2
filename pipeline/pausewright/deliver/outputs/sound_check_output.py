"""The sound check beside the track: same voice, level, pace and coding, none of its sentences."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.deliver.outputs.job import Output
from pausewright.deliver.outputs.track_output import tags_of, write_sound
from pausewright.deliver.sound_check import sound_check_steps
from pausewright.deliver.track_sound import RATE_HZ
from pausewright.plan.timeline import timeline
from pausewright.screen.screen_files import SOUND_CHECK

if TYPE_CHECKING:
    from pausewright.deliver.outputs.job import Job


def write(job: Job) -> Output:
    """Write it in every format of the track; say so where there is none."""
    if not job.sound_check:
        return Output(
            notes=(f"version {job.label} has no sound check file: the screen plays a tone",)
        )
    line = timeline(sound_check_steps(job.sound_check), job.sounds.n_sound_samples, RATE_HZ)
    title = f"{job.settings.title} (sound check)"
    tags = replace(tags_of(job), title=title, chapters=())
    return Output(
        write_sound(job, job.sounds.blocks(line), f"{job.name}{SOUND_CHECK}", "sound-check", tags)
    )
