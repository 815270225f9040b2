"""A track measured without its script: what the file itself must keep to, and what it says."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.check import file_findings, file_sha256, track_tags
from pausewright.checker.files.decode import name_of
from pausewright.checker.files.second_opinion import listen_twice
from pausewright.checker.files.tags import judge_tags
from pausewright.checker.judge.track_levels import level_findings
from pausewright.checker.limits.sound import BELOW_SPEECH_DB
from pausewright.checker.result.findings import BUILD, CheckResult
from pausewright.checker.result.measuring_versions import versions
from pausewright.checker.result.track_strip import heard_strip

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.checker.files.decode import Track

BUILD_AGAIN = "build the track again, or repair it in your sound editor"
NO_SCRIPT = (
    "Without the script only the files were compared and the sound as a whole was measured, "
    "not its order and silences."
)


def measure_track(track: Track, progress: Callable[[float], None] | None = None) -> CheckResult:
    """Return a track's levels, length and faults of the file; no rows and no silences.

    Raises
    ------
    TrackError
        If the track cannot be read at all.
    """
    heard, differing = listen_twice(track, progress)
    tags = track_tags(track, heard)
    length_s = Fraction(heard.n_frames, heard.track_format.rate_hz)
    findings = [
        *file_findings(heard),
        *differing,
        *level_findings(heard, None, heard.loudness_lufs),
        *judge_tags(tags, None, length_s),
    ]
    return CheckResult(
        track=name_of(track),
        sha256=file_sha256(track),
        container=heard.track_format.container,
        rate_hz=heard.track_format.rate_hz,
        n_channels=heard.track_format.n_channels,
        n_frames=heard.n_frames,
        loudness_lufs=heard.loudness_lufs,
        true_peak_dbtp=heard.true_peak_dbtp,
        speech_dbfs=heard.speech.active_dbfs if heard.speech else None,
        threshold_dbfs=heard.speech.active_dbfs - BELOW_SPEECH_DB if heard.speech else None,
        edition=None,
        findings=tuple(
            replace(one, hint=BUILD_AGAIN) if one.hint == BUILD else one for one in findings
        ),
        rows=(),
        silences=(),
        totals=(),
        versions=versions(),
        cautions=(NO_SCRIPT,),
        version_label=tags.version_label,
        title=tags.title,
        file_edition=tags.edition,
        strip=heard_strip(heard.stretches, heard.n_frames, heard.track_format.rate_hz),
    )
