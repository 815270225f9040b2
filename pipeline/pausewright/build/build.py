"""One script to a folder that can be handed over: voiced, laid, written, then checked.

The builder does everything in a folder beside the target and puts it into place only when the
independent check has passed on the delivered files.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING, Final

from pausewright.build.basis import basis_text
from pausewright.build.outputs import slug, write_text
from pausewright.build.packing_list import ENDING, packing_list
from pausewright.build.version import make_version
from pausewright.plan.pieces import pieces
from pausewright.plan.timeline import Say
from pausewright.problems import Problem, ScriptError, SoundError
from pausewright.records.shapes import NOT_HEARD, RECORD_FORMAT, BuildRecord, RecordedVoice
from pausewright.script.edition import content_bytes
from pausewright.script.settings import loudness_lufs
from pausewright.sound.build_record import (
    PACKAGES,
    declared_silences,
    installed_versions,
    recorded_file,
    recorded_track,
    write_record,
)
from pausewright.wording.line_elements import Excerpt, ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from pathlib import Path

    from pausewright.build.project import Project
    from pausewright.build.version import Version
    from pausewright.captions.cues import Cue
    from pausewright.checker.findings import CheckResult
    from pausewright.checker.standard import MeasuredTrack
    from pausewright.plan.pieces import Piece
    from pausewright.plan.timeline import Timeline
    from pausewright.screen.room_screen import Sound as ScreenSound
    from pausewright.script.model import Settings, Sound
    from pausewright.sound.excerpts import Excerpts
    from pausewright.sound.take import Pcm, Take
    from pausewright.sound.track_files import Format
    from pausewright.sound.track_tags import Tags
    from pausewright.video.video_kinds import VideoKind
    from pausewright.voice.engine_kinds import EngineKind
    from pausewright.voice.profile import VoiceProfile
    from pausewright.voice.recording_report import RecordingReport
    from pausewright.voice.studio import Studio

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
    """"voicing", "writing", "filming", "checking", or "versions" where several are built."""
    n_done: int
    n_all: int


@dataclass(frozen=True, slots=True)
class Options:
    """How to build."""

    out: Path
    formats: tuple[Format, ...] = ("mp3",)
    arrangement: str = STANDARD
    """Name or label of the arrangement that `build` builds."""
    workers: int = 2
    progress: Callable[[Progress], None] | None = None
    engines: Mapping[str, EngineKind] | None = None
    """Voice engines by name; the built-in ones unless given."""
    profiles: Mapping[str, VoiceProfile] | None = None
    """Voices by name; the bundled ones and those beside the script unless given."""
    screen: ScreenSound = "beside"
    """Whether the room screen plays the file beside it or holds the audio."""
    videos: tuple[VideoKind, ...] = ()
    """Videos with captions, where captions may be shown."""
    split_at_stops: bool = False
    """Whether every version is also written in pieces, cut at its stops."""


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
    """Build one version of a script into `options.out`/(name of the script).

    Raises
    ------
    ScriptError
        With all problems of the script.
    PausewrightError
        If a voice, a sound or an output is at fault.
    CheckFailedError
        If the check fails; nothing is delivered then.
    """
    from pausewright.build.versions import build_versions  # noqa: PLC0415  it uses this module

    return build_versions(script_path, options, [options.arrangement])[0]


def build_key(project: Project, options: Options, version: Version) -> str:
    """Return a hash of everything that decides the bytes of a version."""
    used = {
        step.element.speech.voice
        for step in version.steps
        if isinstance(step, Say) and isinstance(step.element, Utterance)
    }
    voices = {name: _profile_key(project, name) for name in sorted(used)}
    arrangement = version.arrangement
    recipe = {
        "content": hashlib.sha256(content_bytes(project.script)).hexdigest(),
        "formats": sorted(formats_of(version, options)),
        "arrangement": [
            arrangement.name, arrangement.label,
            sorted((name, repr(value)) for name, value in arrangement.declared().items()),
        ],
        "screen": options.screen,
        "videos": sorted(options.videos),
        "split": is_split(version, options),
        "voices": voices,
        "versions": installed_versions(PACKAGES),
    }  # fmt: skip
    return hashlib.sha256(json.dumps(recipe, sort_keys=True).encode()).hexdigest()


def formats_of(version: Version, options: Options) -> tuple[Format, ...]:
    """Return the formats of a version's track: the arrangement's own, else the options'."""
    return tuple(dict.fromkeys(version.arrangement.formats or options.formats))


def is_split(version: Version, options: Options) -> bool:
    """Return whether a version is also written in pieces: by its arrangement or the options."""
    return options.split_at_stops or version.arrangement.split is not None


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


class VersionBuilder:
    """Makes the files of one version in a folder of its own."""

    def __init__(
        self,
        project: Project,
        options: Options,
        version: Version,
        studio: Studio,
        key: str,
        stage: Path,
    ) -> None:
        """Prepare; nothing is voiced or written yet.

        `studio` is at the version's level; `key` is its build key; `stage` the folder.
        """
        self._project = project
        self._version = version
        self._script = version.script
        self._options = options
        self._arrangement = version.arrangement
        self._label = version.label
        self._studio = studio
        self._key = key
        self._stage = stage
        self._speech_lufs = float(loudness_lufs(self._script.settings.loudness))
        self._channels = self._script.settings.channels
        self._cues: Sequence[Cue] = ()
        self._name = f"{slug(self._script.settings.title)}_{self._label}_{project.edition}"
        self._warnings = (*project.warnings, *version.warnings)
        self._pieces = list(
            dict.fromkeys(step.element for step in version.steps if isinstance(step, Say))
        )
        self._excerpts = self._made_excerpts()

    # ---- in order

    def refuse_bad_sounds(self) -> None:
        """Refuse recorded sounds that cannot be used.

        Raises
        ------
        ScriptError
            Lists all of them with their places.
        """
        self._refuse_bad_excerpts(
            self._excerpts, [p for p in self._pieces if isinstance(p, Excerpt)]
        )

    def voice(self) -> RecordingReport:
        """Voice what is missing.

        Raises
        ------
        ScriptError
            If utterances are at fault: lists all of them with their places.
        """
        return self._studio.record([p for p in self._pieces if isinstance(p, Utterance)])

    @property
    def is_standard(self) -> bool:
        """Whether this is the standard track."""
        return not self._arrangement.changes

    def run(
        self,
        report: RecordingReport,
        standard: Callable[[], Mapping[str, MeasuredTrack]],
        deliver: Callable[[Mapping[str, MeasuredTrack]], None] | None = None,
    ) -> Built:
        """Lay, write and check what was voiced.

        Parameters
        ----------
        report : what was voiced
        standard : gives the standard version's tracks, measured, by what follows the common name
            (".mp3", "_burned-in.mp4"), once they are there; empty if there are none. Not asked by
            the standard version itself
        deliver : takes this version's tracks, measured, in the same way, once they are checked
        """
        sounds = self._sounds()
        line = self._timeline(sounds)
        tracks = self._write_tracks(line, sounds)
        pieces, piece_notes = self._write_pieces(line, sounds)
        captions, caption_notes = self._write_captions(line)
        self._write_transcripts(line)
        self._write_screens(line, tracks)
        self._write_papers(line, tracks[0].name)
        videos, video_notes = self._write_videos(line, sounds)
        played = (*tracks, *videos)
        measured: dict[str, MeasuredTrack] = {}
        checks = self._check(
            played,
            captions,
            {} if self.is_standard else standard(),
            measured if deliver is not None else None,
        )
        if deliver is not None:
            deliver(measured)
        checks += self._check_pieces(pieces)
        self._write_reports(checks, [*played, *pieces])
        self._write_packing_list(line)
        self._write_basis()
        notes = (*self._notes(report), *piece_notes, *caption_notes, *video_notes)
        self._write_record(line, report, notes)
        files = sorted(p for p in self._stage.rglob("*") if p.is_file())
        return Built(
            self._stage, self._label, self._project.edition, tuple(files), checks,
            self._warnings, notes, is_fresh=True,
            length_s=Fraction(line.n_samples, RATE_HZ), n_voiced=report.n_voiced,
            n_kept=report.n_kept,
        )  # fmt: skip

    def timeline(self) -> Timeline:
        """Return where everything lies on the track, once its words are voiced."""
        return self._timeline(self._sounds())

    def _sounds(self) -> _Sounds:
        return _Sounds(self._studio, self._excerpts, self._channels, self._speech_lufs)

    def _timeline(self, sounds: _Sounds) -> Timeline:
        from pausewright.plan.timeline import timeline  # noqa: PLC0415  heavy parts load late

        return timeline(self._version.steps, sounds.n_sound_samples, RATE_HZ)

    def _tell(self, stage: str, n_done: int, n_all: int) -> None:
        if self._options.progress is not None:
            self._options.progress(Progress(stage, n_done, n_all))

    @property
    def _is_limited(self) -> bool:
        from pausewright.voice.limit import LIMITED_FROM_LUFS  # noqa: PLC0415

        return voice_lufs(self._script.settings) >= LIMITED_FROM_LUFS

    def _made_excerpts(self) -> Excerpts:
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
                n_samples = excerpts.n_sound_samples(piece.sound)
                _refuse_late_captions(excerpts, piece.sound, Fraction(n_samples, RATE_HZ))
            except SoundError as error:
                problems.append(Problem(piece.place, error.message, error.hint, code="sound"))
        if problems:
            raise ScriptError(problems)

    # ---- files

    def _write_tracks(self, line: Timeline, sounds: _Sounds) -> tuple[Path, ...]:
        from pausewright.sound.track_files import Target, write_tracks  # noqa: PLC0415

        tags = self._tags(line)
        folder = self._stage / f"version-{self._label}"
        folder.mkdir(parents=True)
        targets = [
            Target(folder / f"{self._name}.{kind}", kind, tags=tags)
            for kind in formats_of(self._version, self._options)
        ]
        written = write_tracks(
            self._blocks(line, sounds, "writing"), targets, rate_hz=RATE_HZ, channels=self._channels
        )
        return tuple(one.path for one in written)

    def _write_pieces(
        self, line: Timeline, sounds: _Sounds
    ) -> tuple[tuple[tuple[Path, ...], ...], tuple[str, ...]]:
        """Write the pieces that were asked for; return those of each format, and what to say."""
        from pausewright.sound.cut import Cutter  # noqa: PLC0415
        from pausewright.sound.track_files import Target, write_tracks  # noqa: PLC0415

        if not is_split(self._version, self._options):
            return (), ()
        found = pieces(line)
        if not found:
            return (), (
                f"version {self._label} was not split: it has no stop, so it is one stretch",
            )
        formats = formats_of(self._version, self._options)
        folder = self._stage / f"version-{self._label}"
        stream = Cutter(self._blocks(line, sounds, "splitting"))
        by_piece = []
        for piece in found:
            tags = self._tags(line, piece)
            targets = [
                Target(folder / f"{self._name}_{piece.mark}.{kind}", kind, tags=tags)
                for kind in formats
            ]
            write_tracks(
                stream.take(piece.n_samples), targets, rate_hz=RATE_HZ, channels=self._channels
            )
            by_piece.append([target.path for target in targets])
        return tuple(zip(*by_piece, strict=True)), ()

    def _tags(self, line: Timeline, piece: Piece | None = None) -> Tags:
        """Return the tags of the track, or of a piece of it."""
        from pausewright.sound.chapter_marks import chapters  # noqa: PLC0415
        from pausewright.sound.track_tags import Tags  # noqa: PLC0415

        settings = self._script.settings
        title, number, span = settings.title, None, (0, line.n_samples)
        if piece is not None:
            title = f"{title} ({piece.number} of {piece.n_all})"
            number, span = (piece.number, piece.n_all), (piece.start_sample, piece.end_sample)
        return Tags(
            title, self._project.edition, self._label, settings.language, chapters(line, *span),
            number,
        )  # fmt: skip

    def _blocks(self, line: Timeline, sounds: _Sounds, stage: str) -> Iterator[Pcm]:
        """Give the samples of the track, a second at a time, and tell how far they are."""
        from pausewright.sound.lay import lay  # noqa: PLC0415

        n_all = -(-line.n_samples // RATE_HZ)
        blocks = lay(line, sounds.take, channels=self._channels)
        for n_done, block in enumerate(blocks, start=1):
            yield block
            if n_done % 30 == 0 or n_done == n_all:
                self._tell(stage, n_done, n_all)

    def _write_videos(
        self, line: Timeline, sounds: _Sounds
    ) -> tuple[tuple[Path, ...], tuple[str, ...]]:
        """Write the videos that were asked for; return them and what is to be said."""
        if not self._options.videos:
            return (), ()
        if not self._cues:
            return (), (
                f"no video was written: version {self._label} has no captions that may be shown",
            )
        from pausewright.video.video_file import Video, write_video  # noqa: PLC0415

        folder = self._stage / f"version-{self._label}"
        tags = self._tags(line)
        videos = [
            Video(folder / f"{self._name}_{kind}.mp4", kind, tags) for kind in self._options.videos
        ]
        notes: list[str] = []
        for video in videos:
            notes += write_video(
                self._blocks(line, sounds, "filming"), video, self._cues,
                n_samples=line.n_samples, rate_hz=RATE_HZ, channels=self._channels,
            )  # fmt: skip
        return tuple(video.path for video in videos), tuple(notes)

    def _write_captions(self, line: Timeline) -> tuple[tuple[Path, ...], tuple[str, ...]]:
        """Write the caption files; return them and what is to be said."""
        from pausewright.captions.caption_profiles import PROFILES  # noqa: PLC0415
        from pausewright.captions.cues import cues  # noqa: PLC0415
        from pausewright.captions.reading_speed import reading_notes  # noqa: PLC0415
        from pausewright.captions.srt import srt  # noqa: PLC0415
        from pausewright.captions.webvtt import webvtt  # noqa: PLC0415
        from pausewright.captions.word_times import WordTime  # noqa: PLC0415

        settings = self._script.settings
        profile = PROFILES[settings.caption_profile]
        folder = self._stage / f"version-{self._label}"
        found = cues(
            line, profile=profile,
            word_times=lambda said: [WordTime(*word) for word in self._studio.word_times(said)],
            countdown=settings.countdown_wording if settings.countdown else "",
            heard_at=self._excerpts.at_s,
        )  # fmt: skip
        self._cues = found
        if not found:
            return (), ()
        files = folder / f"{self._name}.vtt", folder / f"{self._name}.srt"
        write_text(files[0], webvtt(found, language=settings.language))
        write_text(files[1], srt(found))
        return files, reading_notes(found, profile)

    def _write_transcripts(self, line: Timeline) -> None:
        """Write what can be read: all for the centre, less for candidates, instructions timed."""
        from pausewright.captions.shown_rows import shows_words  # noqa: PLC0415
        from pausewright.captions.transcript import transcript  # noqa: PLC0415
        from pausewright.captions.transcript_page import (  # noqa: PLC0415
            instructions_of,
            transcript_page,
        )

        settings, label, edition = self._script.settings, self._label, self._project.edition
        heading = [settings.title, f"Version {label} · edition {edition}"]
        self._confidential(
            f"transcript-full_{label}.txt", transcript(line, heading=heading, words="all")
        )
        page = partial(
            transcript_page, title=settings.title, language=settings.language, label=label,
            edition=edition,
        )  # fmt: skip
        readable = self._as_transcribed(line)
        if shows_words(readable):
            room = self._stage / f"version-{label}"
            text = transcript(readable, heading=heading, words="shown")
            write_text(room / f"{self._name}_transcript.txt", text)
            write_text(room / f"{self._name}_transcript.html", page(readable))
        instructions = instructions_of(readable)
        if shows_words(instructions):
            write_text(
                self._stage / "print" / "staff" / f"instructions_{label}_{edition}.html",
                page(instructions, timed=True), private=True,
            )  # fmt: skip

    def _as_transcribed(self, line: Timeline) -> Timeline:
        """Return the timeline with what candidates may read in a transcript marked as shown."""
        policy = self._arrangement.transcript
        if policy is None:
            return line
        arrangement = replace(self._arrangement, captions=policy)
        like = make_version(self._project.script, self._project.worded, arrangement)
        placed = [
            replace(one, step=replace(one.step, captioned=step.captioned))
            if isinstance(one.step, Say) and isinstance(step, Say)
            else one
            for one, step in zip(line.placed, like.steps, strict=True)
        ]
        return replace(line, placed=tuple(placed))

    def _write_screens(self, line: Timeline, tracks: Sequence[Path]) -> None:
        from pausewright.screen.screen_files import write_screens  # noqa: PLC0415

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
            running_sheet(
                self._script, line, label=self._label, edition=edition, track=track,
                in_pieces=is_split(self._version, self._options),
            ),
        )  # fmt: skip

    def _confidential(self, name: str, text: str) -> None:
        write_text(self._stage / "confidential" / name, text, private=True)

    # ---- check and record

    def _check(
        self,
        tracks: Sequence[Path],
        captions: Sequence[Path],
        standard: Mapping[str, MeasuredTrack],
        measured: dict[str, MeasuredTrack] | None,
    ) -> tuple[CheckResult, ...]:
        from pausewright.checker.check import check_track  # noqa: PLC0415
        from pausewright.checker.shown_elsewhere import beside  # noqa: PLC0415

        results = []
        for index, track in enumerate(tracks):
            self._tell("checking", index, len(tracks))
            ending = track.name.removeprefix(self._name)
            results.append(
                check_track(
                    track,
                    self._version.worded,
                    edition=self._project.edition,
                    captions=captions,
                    others=beside(track),
                    standard=standard.get(ending),
                    laid=None if measured is None else partial(measured.__setitem__, ending),
                )
            )
            self._tell("checking", index + 1, len(tracks))
        return tuple(results)

    def _check_pieces(self, pieces: Sequence[tuple[Path, ...]]) -> tuple[CheckResult, ...]:
        """Check the pieces of each format, joined, and against the whole track."""
        from pausewright.checker.check import check_track  # noqa: PLC0415
        from pausewright.checker.piece_set import check_pieces, piece_sets  # noqa: PLC0415

        def check(files: tuple[Path, ...]) -> CheckResult:
            return check_track(files, self._version.worded, edition=self._project.edition)

        _, sets = piece_sets([file for files in pieces for file in files])
        return tuple(check_pieces(one, check) for one in sets)

    def _write_packing_list(self, line: Timeline) -> None:
        folder = self._stage / f"version-{self._label}"
        text = packing_list(
            folder, label=self._label, edition=self._project.edition, n_samples=line.n_samples,
            rate_hz=line.rate_hz,
        )  # fmt: skip
        write_text(folder / f"{self._name}{ENDING}", text)

    def _write_reports(
        self, checks: Sequence[CheckResult], tracks: Sequence[Path | tuple[Path, ...]]
    ) -> None:
        from pausewright.checker.delivered import delivered_tracks  # noqa: PLC0415
        from pausewright.checker.page import as_page  # noqa: PLC0415
        from pausewright.checker.report import as_json, as_text  # noqa: PLC0415

        page = as_page(delivered_tracks(checks, tracks))
        self._confidential(f"check-report_{self._label}.html", page)

        text = "\n\n".join(as_text(result) for result in checks)
        self._confidential(f"check-report_{self._label}.txt", text.rstrip("\n") + "\n")
        reports = [json.loads(as_json(result)) for result in checks]
        body = json.dumps(reports[0] if len(reports) == 1 else reports, indent=2)
        self._confidential(f"check-report_{self._label}.json", body + "\n")

    def _write_basis(self) -> None:
        """Write what the arrangement changes and why it may: for the exams office alone."""
        if self._arrangement.changes:
            text = basis_text(self._version, self._script.settings.title, self._project.edition)
            self._confidential(f"arrangement_{self._label}.txt", text)

    def _notes(self, report: RecordingReport) -> tuple[str, ...]:
        notes = []
        grant = self._version.grant
        if grant is not None:
            notes.append(f"extra time: {grant.sum_text}")
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
            warnings=(*(p.message for p in self._warnings), *notes),
            heard_by=NOT_HEARD,
            record_format=RECORD_FORMAT,
        )  # fmt: skip
        write_record(record, self._stage / "confidential" / f"build-record_{self._label}.json")


def _refuse_late_captions(excerpts: Excerpts, sound: Sound, sound_s: Fraction) -> None:
    """Raise if captions that were supplied with a sound stand where it is over.

    Raises
    ------
    SoundError
        For the first of them.
    """
    for cue in sound.cues:
        if excerpts.at_s(sound, cue.start_s) >= sound_s:
            raise SoundError(
                f"a caption of ‘{sound.path}’ begins at {float(cue.start_s):.3f} s, when the "
                "recording is over",
                "give the caption file that was made for this recording",
            )


def _kind(file: Path) -> str:
    if file.suffix in {".mp3", ".wav", ".flac"}:
        return "piece" if re.search(r"_\d+-of-\d+$", file.stem) else "track"
    if file.suffix == ".mp4":
        return "video"
    if file.name.endswith(ENDING):
        return "packing-list"
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
