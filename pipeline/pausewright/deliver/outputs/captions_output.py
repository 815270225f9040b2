"""Captions as WebVTT and SubRip, where some may be shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.captions.caption_profiles import PROFILES
from pausewright.captions.cues import cues
from pausewright.captions.reading_speed import reading_notes
from pausewright.captions.srt import srt
from pausewright.captions.webvtt import webvtt
from pausewright.captions.word_times import WordTime
from pausewright.deliver.outputs.job import Output
from pausewright.deliver.recorded_words import recorded_word_times
from pausewright.wording.line_elements import Excerpt

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.captions.cues import Cue
    from pausewright.deliver.element_sounds import ElementSounds
    from pausewright.deliver.outputs.job import Job
    from pausewright.plan.timeline import Timeline
    from pausewright.script.declared import Settings
    from pausewright.wording.line_elements import Utterance


def cues_of(line: Timeline, settings: Settings, sounds: ElementSounds) -> Sequence[Cue]:
    """Return the captions of a track that candidates may see."""

    def word_times(said: Utterance | Excerpt) -> Sequence[WordTime]:
        if isinstance(said, Excerpt):
            return recorded_word_times(sounds, settings, said)
        return [WordTime(*word) for word in sounds.studio.word_times(said)]

    return cues(
        line,
        profile=PROFILES[settings.caption_profile],
        word_times=word_times,
        countdown=settings.countdown_wording if settings.countdown else "",
        heard_at=sounds.sound_at_s,
    )


def write(job: Job) -> Output:
    """Write both files, or none without captions."""
    if not job.cues:
        return Output()
    profile = PROFILES[job.settings.caption_profile]
    files = (
        job.beside(".vtt", "captions", webvtt(job.cues, language=job.settings.language)),
        job.beside(".srt", "captions", srt(job.cues)),
    )
    return Output(files, tuple(reading_notes(job.cues, profile)))
