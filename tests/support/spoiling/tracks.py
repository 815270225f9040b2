"""Good tracks for the sabotage harness: short tests in the bundled voices, or whole demo scripts.

The builder makes them, and says to the sample where everything lies, so that a spoiler can aim.
"""

from __future__ import annotations

import random
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np
from pausewright.captions.cues import cues
from pausewright.captions.srt import srt
from pausewright.captions.webvtt import webvtt
from pausewright.checker.promises.promise import promise_of
from pausewright.deliver.project import open_project
from pausewright.deliver.take_check import begins_whole
from pausewright.plan.steps import steps
from pausewright.plan.timeline import Say, timeline
from pausewright.script.settings.settings_table import loudness_lufs
from pausewright.sound.chapter_marks import chapters
from pausewright.sound.excerpts import Excerpts
from pausewright.sound.lay import lay
from pausewright.sound.tones import tone_take
from pausewright.voice.studio import Studio
from pausewright.wording.line_elements import SoundElement, ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from numpy.typing import NDArray
    from pausewright.checker.promises.promise import Promise
    from pausewright.deliver.version import Version
    from pausewright.plan.timeline import Placed
    from pausewright.sound.chapter_marks import Chapter
    from pausewright.sound.take import Take
    from pausewright.wording.worded import Worded

    Wave: TypeAlias = NDArray[np.float32]
    """Samples of one channel, shape (n_frames,), full scale 1."""

RATE_HZ = 44_100

POOL = (
    "How many wheels have seven carts?",
    "Take eighteen from fifty-one.",
    "A rope of ninety metres is cut into six equal lengths. How long is each of them?",
    "What is half of two hundred and thirty?",
    "Share sixty-three apples equally between nine baskets, then add four to what you get.",
    "Double thirty-seven.",
    "Which number on your sheet is a multiple of eleven?",
    "How many minutes are there in three and a quarter hours?",
    "A ferry leaves at twenty past nine and sails for fifty minutes. When does it arrive?",
    "Name the month that comes six months after March.",
    "The tank holds forty litres. It is one fifth full. How many litres are in it?",
    "Write in figures: four thousand and sixteen.",
    "What is left of a pound after you spend thirty-five pence?",
    "Five friends pick twelve shells each. How many shells do they pick together?",
)
"""Questions of the invented tests."""


@dataclass(frozen=True)
class GoodTrack:
    """A track as the builder lays it, with all that was known when it was laid."""

    name: str
    worded: Worded
    edition: str
    wave: Wave
    placed: tuple[Placed, ...]
    chapters: tuple[Chapter, ...]
    vtt: str
    srt: str
    rate_hz: int = RATE_HZ
    words: Mapping[SoundElement, tuple[tuple[str, int, int], ...]] = field(default_factory=dict)
    """Words of each utterance with the samples of their starts and ends, from its own start."""
    label: str = "A"
    promise: Promise | None = None
    """What its arrangement promises; None where nothing is compared with it."""

    @property
    def script(self) -> Path:
        """Return the script's file."""
        return self.worded.script.path

    @property
    def voice(self) -> str:
        """Return the voice of its first words."""
        element = self.says()[0].step
        assert isinstance(element, Say)
        assert isinstance(element.element, Utterance)
        return element.element.speech.voice

    def says(self, *roles: str) -> list[Placed]:
        """Return where words of these roles lie; all words without any."""
        return [
            p
            for p in self.placed
            if isinstance(p.step, Say)
            and isinstance(p.step.element, Utterance)
            and (not roles or p.step.role in roles)
        ]

    def waits(self, *, least_s: float = 0.7) -> list[Placed]:
        """Return where silences lie that the check promises to measure, the ends left out."""
        return [
            p
            for p in self.placed[1:-1]
            if hasattr(p.step, "wait_s") and float(p.step.wait_s) >= least_s
        ]


def short_script(seed: int, *, voice: str, loudness: str = "-23 LUFS", readings: int = 2) -> str:
    """Return a test of four questions, some 50 s long; another for each seed."""
    dice = random.Random(seed)  # noqa: S311  no secret
    asked = dice.sample(POOL, 4)
    time_s = dice.choice(("2.25 s", "2.5 s", "3 s"))
    lines = [
        "---",
        "title: Quay and barrow",
        "language: en-GB",
        f"voice: {voice}",
        'accept-voice-language: "made for tests"',
        f"readings: {readings}",
        *([f"between-readings: {dice.choice(('1.25 s', '1.5 s'))}"] if readings > 1 else []),
        'announce: "Number {number}."',
        f"loudness: {loudness}",
        "captions: everything",
        "captions-reason: made for tests",
        "---",
        "",
        "# Start",
        "",
        "Write each answer on your sheet.",
        "",
        '::: stop {for="3 s"}',
        "Ask now, if anything is unclear.",
        ":::",
        "",
        f'# Sums {{answer-time="{time_s}"}}',
        "",
    ]
    for number, words in enumerate(asked, 1):
        lines.append(f'{number}. {words} {{key="x"}}')
        if number == 2:
            lines += ["", '::: page-turn {for="2 s"}', "Turn your sheet over.", ":::", ""]
    lines += ["", "# End", "", "Leave your sheet here, please.", ""]
    return "\n".join(lines)


def with_settings(text: str, settings: Mapping[str, str]) -> str:
    """Return a script with these settings changed or added."""
    for name, value in settings.items():
        line = f"{name}: {value}"
        text, n = re.subn(rf"(?m)^{name}:.*$", line, text, count=1)
        if not n:
            text = text.replace("---\n", f"---\n{line}\n", 1)
    return text


def good_track(
    script: Path,
    *,
    studio_options: dict[str, Any] | None = None,
    name: str = "",
    version: Version | None = None,
) -> GoodTrack:
    """Voice and lay a script in one channel, as `build` does.

    `studio_options` go to the studio: other voices and engines. With a `version` of the script its
    track, and what it promises.
    """
    options = studio_options or {}
    project = open_project(script, options.get("profiles"))
    project.raise_errors()
    worded = project.worded if version is None else version.worded
    settings = worded.script.settings
    level_lufs = float(loudness_lufs(settings.loudness))
    studio = Studio(
        **{
            "profiles": project.profiles,
            "script_folder": script.parent,
            "pace_wpm": settings.pace_wpm,
            "rate_hz": RATE_HZ,
            "level_lufs": level_lufs,
            "is_usable": begins_whole,
            **options,
        }
    )
    excerpts = Excerpts(
        rate_hz=RATE_HZ, channels=1, speech_lufs=level_lufs, edge_dbfs=level_lufs - 40
    )
    studio.record([p for p in worded.all_elements() if isinstance(p, Utterance)])

    def take(element: SoundElement) -> Take:
        if isinstance(element, Utterance):
            return studio.take(element)
        if isinstance(element, ToneCue):
            return tone_take(element.spec, rate_hz=RATE_HZ, channels=1, level_lufs=level_lufs - 2)
        return excerpts.take(element.sound)

    to_lay = steps(worded) if version is None else version.steps
    line = timeline(to_lay, lambda element: take(element).n_sound_samples, RATE_HZ)
    pcm = np.concatenate(list(lay(line, take, channels=1)))[:, 0]
    wave = (pcm / 32768).astype(np.float32)
    wave.flags.writeable = False
    found = cues(line, countdown=settings.countdown_wording if settings.countdown else "")
    return GoodTrack(
        name or script.stem,
        worded,
        project.edition,
        wave,
        line.placed,
        chapters(line),
        webvtt(found, language=settings.language) if found else "",
        srt(found) if found else "",
        words={
            p.step.element: studio.word_times(p.step.element)
            for p in line.placed
            if isinstance(p.step, Say) and isinstance(p.step.element, Utterance)
        },
        label="A" if version is None else version.label,
        promise=None if version is None else promise_of(project.script, version.arrangement),
    )
