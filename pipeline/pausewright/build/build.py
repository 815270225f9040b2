"""One script to a folder that can be handed over: voiced, laid, written, then checked.

The builder does everything in a folder beside the target and puts it into place only when the
independent check has passed on the delivered files.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from pausewright.arrange.declarations import to_build
from pausewright.build.outputs import is_current, slug, staged, write_text
from pausewright.build.project import open_project
from pausewright.problems import Problem, ScriptError, SoundError
from pausewright.script.edition import content_bytes
from pausewright.script.settings import loudness_lufs
from pausewright.sound.record import (
    PACKAGES,
    BuildRecord,
    RecordedVoice,
    declared_silences,
    installed_versions,
    recorded_file,
    recorded_track,
    write_record,
)
from pausewright.wording.pieces import Excerpt, ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from pathlib import Path

    from pausewright.arrange.declarations import Arrangement
    from pausewright.build.project import Project
    from pausewright.captions.cues import Cue
    from pausewright.checker.findings import CheckResult
    from pausewright.plan.timeline import Timeline
    from pausewright.screen.room import Sound
    from pausewright.script.model import Settings
    from pausewright.sound.excerpts import Excerpts
    from pausewright.sound.take import Pcm, Take
    from pausewright.sound.write import Format
    from pausewright.voice.engine import EngineKind
    from pausewright.voice.profiles import VoiceProfile
    from pausewright.voice.studio import RecordingReport, Studio

RATE_HZ: Final = 44_100
"""Quarter seconds are whole samples."""
STANDARD: Final = "standard"
_TONE_BELOW_SPEECH_LU: Final = 2.0
_TWO_CHANNELS_LU: Final = 3.01
"""A voice in both channels is louder by this than in one (ITU-R BS.1770: channels add up)."""


@dataclass(frozen=True, slots=True)
class Progress:
    """One step of a build on its way."""

    stage: str
    """"voicing", "writing" or "checking"."""
    n_done: int
    n_all: int


@dataclass(frozen=True, slots=True)
class Options:
    """How to build."""

    out: Path
    formats: tuple[Format, ...] = ("mp3",)
    arrangement: str = STANDARD
    """Name or label of the arrangement to build."""
    workers: int = 2
    progress: Callable[[Progress], None] | None = None
    engines: Mapping[str, EngineKind] | None = None
    """Voice engines by name; the built-in ones unless given."""
    profiles: Mapping[str, VoiceProfile] | None = None
    """Voices by name; the bundled ones and those beside the script unless given."""
    screen: Sound = "beside"
    """Whether the room screen plays the file beside it or holds the audio."""


@dataclass(frozen=True, slots=True)
class Built:
    """What a build came to."""

    folder: Path
    label: str
    edition: str
    files: tuple[Path, ...]
    checks: tuple[CheckResult, ...]
    """One for each audio file; empty if nothing had to be built."""
    warnings: tuple[Problem, ...]
    notes: tuple[str, ...]
    """What was measured on the way, in sentences."""
    is_fresh: bool
    """False if the folder was already current."""
    length_s: Fraction
    n_voiced: int = 0
    n_kept: int = 0

    @property
    def is_good(self) -> bool:
        """Whether the check passed on every file."""
        return all(check.is_good for check in self.checks)


class CheckFailedError(Exception):
    """The check found something wrong on what was built; nothing was delivered."""

    def __init__(self, checks: Sequence[CheckResult]) -> None:
        """Keep the results."""
        super().__init__("the check found something wrong on what was built")
        self.checks = tuple(checks)


def build(script_path: Path, options: Options) -> Built:
    """Build the standard track of a script into `options.out`/(name of the script).

    Raises
    ------
    ScriptError
        With all problems of the script.
    PausewrightError
        If a voice, a sound or an output is at fault.
    CheckFailedError
        If the check fails; nothing is delivered then.
    """
    project = open_project(script_path, options.profiles)
    project.raise_errors()
    arrangement = to_build(project.arrangements, options.arrangement)
    folder = options.out / script_path.stem
    key = build_key(project, options, arrangement)
    current = is_current(folder, arrangement.label, key)
    if current is not None:
        return _nothing_to_do(project, folder, arrangement.label, current)
    with staged(folder) as stage:
        built = _Builder(project, options, arrangement, key, stage).run()
        if not built.is_good:
            raise CheckFailedError(built.checks)
    files = tuple(folder / file.relative_to(built.folder) for file in built.files)
    return replace(built, folder=folder, files=files)


def build_key(project: Project, options: Options, arrangement: Arrangement) -> str:
    """Return a hash of everything that decides the bytes of a build."""
    used = {
        piece.speech.voice for piece in project.worded.all_pieces() if isinstance(piece, Utterance)
    }
    voices = {name: _profile_key(project, name) for name in sorted(used)}
    recipe = {
        "content": hashlib.sha256(content_bytes(project.script)).hexdigest(),
        "formats": sorted(options.formats),
        "screen": options.screen,
        "arrangement": [arrangement.name, arrangement.label, repr(arrangement.values)],
        "voices": voices,
        "versions": installed_versions(PACKAGES),
    }
    return hashlib.sha256(json.dumps(recipe, sort_keys=True).encode()).hexdigest()


def voice_lufs(settings: Settings) -> float:
    """Return the level of a voice in one channel that gives the track its loudness."""
    target_lufs = float(loudness_lufs(settings.loudness))
    return target_lufs - (_TWO_CHANNELS_LU if settings.channels == 2 else 0)


def _profile_key(project: Project, name: str) -> list[object]:
    profile = project.profiles[name]
    try:
        status = profile.model_file().stat()
        model: list[object] = [status.st_size, status.st_mtime_ns]
    except Exception:  # noqa: BLE001  a voice without a model file of its own has no such key
        model = []
    return [repr(profile), *model]


def _nothing_to_do(project: Project, folder: Path, label: str, record: dict[str, Any]) -> Built:
    own = f"confidential/build-record_{label}.json"
    files = tuple(folder / path for path in sorted([*(e["path"] for e in record["files"]), own]))
    length_s = Fraction(record["track"]["n_samples"], record["track"]["rate_hz"])
    return Built(
        folder, label, project.edition, files, (), project.warnings, (), is_fresh=False,
        length_s=length_s,
    )  # fmt: skip


class _Builder:
    def __init__(
        self, project: Project, options: Options, arrangement: Arrangement, key: str, stage: Path
    ) -> None:
        self._project = project
        self._script = project.script
        self._options = options
        self._arrangement = arrangement
        self._label = arrangement.label
        self._key = key
        self._stage = stage
        self._speech_lufs = float(loudness_lufs(self._script.settings.loudness))
        self._channels = self._script.settings.channels
        self._cues: Sequence[Cue] = ()
        self._name = f"{slug(self._script.settings.title)}_{self._label}_{project.edition}"

    # ---- in order

    def run(self) -> Built:
        from pausewright.plan.steps import steps  # noqa: PLC0415  heavy parts load when needed
        from pausewright.plan.timeline import timeline  # noqa: PLC0415

        studio = self._studio()
        excerpts = self._excerpts()
        pieces = list(self._project.worded.all_pieces())
        self._refuse_bad_excerpts(excerpts, [p for p in pieces if isinstance(p, Excerpt)])
        report = studio.record([p for p in pieces if isinstance(p, Utterance)])
        sounds = _Sounds(studio, excerpts, self._channels, self._speech_lufs)
        line = timeline(steps(self._project.worded), sounds.n_sound_samples, RATE_HZ)
        tracks = self._write_tracks(line, sounds)
        captions, caption_notes = self._write_captions(line, studio)
        self._write_screens(line, tracks)
        self._write_papers(line, tracks[0].name)
        checks = self._check(tracks, captions)
        self._write_reports(checks)
        notes = (*self._notes(report), *caption_notes)
        self._write_record(line, report, notes)
        files = sorted(p for p in self._stage.rglob("*") if p.is_file())
        return Built(
            self._stage, self._label, self._project.edition, tuple(files), checks,
            self._project.warnings, notes, is_fresh=True,
            length_s=Fraction(line.n_samples, RATE_HZ), n_voiced=report.n_voiced,
            n_kept=report.n_kept,
        )  # fmt: skip

    def _tell(self, stage: str, n_done: int, n_all: int) -> None:
        if self._options.progress is not None:
            self._options.progress(Progress(stage, n_done, n_all))

    def _studio(self) -> Studio:
        from pausewright.voice.studio import Studio  # noqa: PLC0415

        return Studio(
            profiles=self._project.profiles,
            script_folder=self._script.path.parent,
            pace_wpm=self._script.settings.pace_wpm,
            rate_hz=RATE_HZ,
            level_lufs=voice_lufs(self._script.settings),
            workers=self._options.workers,
            progress=lambda done, total: self._tell("voicing", done, total),
            engines=self._options.engines,
        )

    @property
    def _is_limited(self) -> bool:
        from pausewright.voice.limit import LIMITED_FROM_LUFS  # noqa: PLC0415

        return voice_lufs(self._script.settings) >= LIMITED_FROM_LUFS

    def _excerpts(self) -> Excerpts:
        from pausewright.sound.excerpts import Excerpts  # noqa: PLC0415

        return Excerpts(
            rate_hz=RATE_HZ, channels=self._channels, speech_lufs=self._speech_lufs,
            edge_dbfs=self._speech_lufs - 40,
        )  # fmt: skip

    @staticmethod
    def _refuse_bad_excerpts(excerpts: Excerpts, pieces: list[Excerpt]) -> None:
        problems = []
        for piece in pieces:
            try:
                excerpts.n_sound_samples(piece.sound)
            except SoundError as error:
                problems.append(Problem(piece.place, error.message, error.hint, code="sound"))
        if problems:
            raise ScriptError(problems)

    # ---- files

    def _write_tracks(self, line: Timeline, sounds: _Sounds) -> tuple[Path, ...]:
        from pausewright.sound.chapters import chapters  # noqa: PLC0415
        from pausewright.sound.lay import lay  # noqa: PLC0415
        from pausewright.sound.tags import Tags  # noqa: PLC0415
        from pausewright.sound.write import Target, write_tracks  # noqa: PLC0415

        settings = self._script.settings
        tags = Tags(
            settings.title, self._project.edition, self._label, settings.language, chapters(line)
        )
        folder = self._stage / f"version-{self._label}"
        folder.mkdir(parents=True)
        targets = [
            Target(folder / f"{self._name}.{kind}", kind, tags=tags)
            for kind in self._options.formats
        ]
        n_blocks = -(-line.n_samples // RATE_HZ)
        blocks = self._counted(lay(line, sounds.take, channels=self._channels), n_blocks)
        written = write_tracks(blocks, targets, rate_hz=RATE_HZ, channels=self._channels)
        return tuple(one.path for one in written)

    def _counted(self, blocks: Iterator[Pcm], n_all: int) -> Iterator[Pcm]:
        for n_done, block in enumerate(blocks, start=1):
            yield block
            if n_done % 30 == 0 or n_done == n_all:
                self._tell("writing", n_done, n_all)

    def _write_captions(
        self, line: Timeline, studio: Studio
    ) -> tuple[tuple[Path, ...], tuple[str, ...]]:
        """Write captions and transcripts; return the caption files and what is to be said."""
        from pausewright.captions.cues import cues  # noqa: PLC0415
        from pausewright.captions.profiles import PROFILES  # noqa: PLC0415
        from pausewright.captions.reading import reading_notes  # noqa: PLC0415
        from pausewright.captions.srt import srt  # noqa: PLC0415
        from pausewright.captions.transcript import transcript  # noqa: PLC0415
        from pausewright.captions.webvtt import webvtt  # noqa: PLC0415
        from pausewright.captions.word_times import WordTime  # noqa: PLC0415

        settings = self._script.settings
        profile = PROFILES[settings.caption_profile]
        folder = self._stage / f"version-{self._label}"
        heading = [settings.title, f"Version {self._label} · edition {self._project.edition}"]
        self._confidential(
            f"transcript-full_{self._label}.txt",
            transcript(line, heading=heading, words="all"),
        )
        found = cues(
            line, profile=profile,
            word_times=lambda said: [WordTime(*word) for word in studio.word_times(said)],
        )  # fmt: skip
        self._cues = found
        if not found:
            return (), ()
        files = folder / f"{self._name}.vtt", folder / f"{self._name}.srt"
        write_text(files[0], webvtt(found, language=settings.language))
        write_text(files[1], srt(found))
        write_text(
            folder / f"{self._name}_transcript.txt",
            transcript(line, heading=heading, words="shown"),
        )
        return files, reading_notes(found, profile)

    def _write_screens(self, line: Timeline, tracks: Sequence[Path]) -> None:
        from pausewright.screen.write import write_screens  # noqa: PLC0415

        write_screens(
            self._script, line, self._cues, tracks, staff=self._stage / "print" / "staff",
            label=self._label, edition=self._project.edition, sound=self._options.screen,
        )  # fmt: skip

    def _write_papers(self, line: Timeline, track: str) -> None:
        from pausewright.papers.plain import answer_sheet, running_sheet  # noqa: PLC0415

        edition = self._project.edition
        candidates = self._stage / "print" / "candidates"
        staff = self._stage / "print" / "staff"
        write_text(
            candidates / f"answer-sheet_{self._label}_{edition}.txt",
            answer_sheet(self._script, label=self._label, edition=edition),
        )
        write_text(
            staff / f"running-sheet_{self._label}_{edition}.txt",
            running_sheet(self._script, line, label=self._label, edition=edition, track=track),
        )

    def _confidential(self, name: str, text: str) -> None:
        write_text(self._stage / "confidential" / name, text, private=True)

    # ---- check and record

    def _check(self, tracks: Sequence[Path], captions: Sequence[Path]) -> tuple[CheckResult, ...]:
        from pausewright.checker.check import check_track  # noqa: PLC0415

        results = []
        for index, track in enumerate(tracks):
            self._tell("checking", index, len(tracks))
            results.append(
                check_track(
                    track, self._project.worded, edition=self._project.edition, captions=captions
                )
            )
            self._tell("checking", index + 1, len(tracks))
        return tuple(results)

    def _write_reports(self, checks: Sequence[CheckResult]) -> None:
        from pausewright.checker.report import as_json, as_text  # noqa: PLC0415

        text = "\n\n".join(as_text(result) for result in checks)
        self._confidential(f"check-report_{self._label}.txt", text.rstrip("\n") + "\n")
        reports = [json.loads(as_json(result)) for result in checks]
        body = json.dumps(reports[0] if len(reports) == 1 else reports, indent=2)
        self._confidential(f"check-report_{self._label}.json", body + "\n")

    def _notes(self, report: RecordingReport) -> tuple[str, ...]:
        notes = []
        if report.words_per_minute is not None:
            notes.append(f"the speech runs at {report.words_per_minute:.0f} words a minute")
        if report.reduced:
            worst = max(one.gain_reduced_db for one in report.reduced)
            what = "have peaks turned down by up to" if self._is_limited else "are quieter by up to"
            notes.append(
                f"{len(report.reduced)} of {report.n_voiced + report.n_kept} utterances {what} "
                f"{worst:.1f} dB, so that no peak passes the ceiling"
            )
        return tuple(notes)

    def _write_record(self, line: Timeline, report: RecordingReport, notes: Sequence[str]) -> None:
        files = sorted(p for p in self._stage.rglob("*") if p.is_file())
        record = BuildRecord(
            title=self._script.settings.title,
            edition=self._project.edition,
            version_label=self._label,
            arrangement=self._arrangement.name,
            build_key=self._key,
            loudness_target_lufs=f"{self._speech_lufs:g}",
            files=tuple(recorded_file(file, _kind(file), self._stage) for file in files),
            voices=tuple(
                RecordedVoice(
                    name=voice.name, language=voice.language, licence=voice.licence,
                    origin=voice.origin, engine=voice.engine, setting=repr(voice.setting),
                    pace_wpm=f"{voice.words_per_minute:.1f}",
                )
                for voice in report.voices
            ),
            track=recorded_track(line, self._channels),
            declared=declared_silences(line),
            versions=installed_versions(),
            warnings=(*(p.message for p in self._project.warnings), *notes),
        )  # fmt: skip
        write_record(record, self._stage / "confidential" / f"build-record_{self._label}.json")


def _kind(file: Path) -> str:
    if file.suffix in {".mp3", ".wav", ".flac"}:
        return "track"
    if file.suffix in {".vtt", ".srt"}:
        return "captions"
    if file.name.endswith("-screen.html"):
        return "screen"
    if "transcript" in file.name:
        return "transcript"
    return "report" if "report" in file.name else "paper"


class _Sounds:
    """Finished sound of any piece, from the studio, the excerpts or the tone maker."""

    def __init__(
        self, studio: Studio, excerpts: Excerpts, channels: int, speech_lufs: float
    ) -> None:
        self._studio = studio
        self._excerpts = excerpts
        self._channels = channels
        self._tone_lufs = speech_lufs - _TONE_BELOW_SPEECH_LU
        self._tones: dict[object, Take] = {}

    def take(self, piece: Utterance | ToneCue | Excerpt) -> Take:
        if isinstance(piece, Utterance):
            return self._studio.take(piece)
        if isinstance(piece, ToneCue):
            return self._tone(piece)
        return self._excerpts.take(piece.sound)

    def n_sound_samples(self, piece: Utterance | ToneCue | Excerpt) -> int:
        if isinstance(piece, Utterance):
            return self._studio.n_sound_samples(piece)
        return self.take(piece).n_sound_samples

    def _tone(self, cue: ToneCue) -> Take:
        from pausewright.sound.tones import tone_take  # noqa: PLC0415

        if cue.spec not in self._tones:
            self._tones[cue.spec] = tone_take(
                cue.spec, rate_hz=RATE_HZ, channels=self._channels, level_lufs=self._tone_lufs
            )
        return self._tones[cue.spec]
