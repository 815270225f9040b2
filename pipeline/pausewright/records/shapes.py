"""What stands in build records and packing lists; see `records.record_files`.

Field order is the order in the files. A field without a default must stand there, and a field
that is not declared may not, so a change of meaning needs another format number.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from msgspec import Meta, Struct, structs

if TYPE_CHECKING:
    from collections.abc import Iterable

RECORD_FORMAT: Literal[1] = 1
"""Raised when a reader of older build records would misread a new one."""
PACKING_LIST_FORMAT: Literal[1] = 1
"""Of the packing list in a build's own folder of a version."""
ROOM_PACKING_LIST_FORMAT: Literal[2] = 2
"""Of the packing list in a room's or a player's folder; both are raised when a reader of older
lists would misread a new one."""
CONTENTS_FORMAT: Literal[1] = 1
"""Of the list of contents; likewise."""
NOT_HEARD = "Not heard by a person yet"

RAISED = Meta(description="Raised when a reader of older files would misread a new one.")

Words = Annotated[str, Meta(min_length=1)]
Sha256 = Annotated[str, Meta(pattern="^[0-9a-f]{64}$")]
Decimal = Annotated[str, Meta(pattern=r"^-?[0-9]+(\.[0-9]+)?$")]
Seconds = Annotated[
    str,
    Meta(
        pattern=r"^[0-9]+(\.[0-9]+|/[1-9][0-9]*)?$",
        description="Exact seconds: a decimal, or a fraction such as 20/3.",
    ),
]
Kind = Annotated[str, Meta(pattern="^[a-z][a-z-]*$")]
RelativePath = Annotated[
    str,
    Meta(
        min_length=1,
        pattern=r"^(?!/|[A-Za-z]:)(?!.*\\)(?!(.*/)?\.\.(/|$))",
        description="Relative to the folder; forward slashes; never upwards.",
    ),
]


ContentMark = Annotated[
    str,
    Meta(
        pattern="^([0-9a-f]{64})?$",
        description="Hash of what it shows or says, edition and date left out; none for some.",
    ),
]


TakeMark = Annotated[
    str,
    Meta(
        pattern="^([0-9a-f]{16})?$",
        description="First digits of the SHA-256 of a sound as it is laid; none for silence.",
    ),
]


class MeasuredSound(Struct, frozen=True, forbid_unknown_fields=True):
    """What the check counted when it decoded a delivered track."""

    rate_hz: Annotated[int, Meta(ge=1)]
    n_samples: Annotated[int, Meta(ge=1, description="In each channel.")]
    length_s: Seconds


class RecordedFile(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One file that was built."""

    path: RelativePath
    kind: Kind
    """For example `track`, `captions`, `transcript`, `answer-sheet`, `report`."""
    n_bytes: Annotated[int, Meta(ge=0)]
    sha256: Sha256
    content_mark: ContentMark = ""
    measured: MeasuredSound | None = None


class RecordedVoice(Struct, frozen=True, forbid_unknown_fields=True):
    """A voice that is heard."""

    name: Words
    language: Annotated[
        str, Meta(pattern="^[A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*$", description="BCP 47.")
    ]
    licence: str
    origin: str
    engine: Words
    setting: Annotated[str, Meta(description="The engine's own setting that gives the pace.")]
    pace_wpm: Annotated[
        Decimal, Meta(description="Words a minute that the voice was calibrated to.")
    ]


class RecordedTrack(Struct, frozen=True, forbid_unknown_fields=True):
    """The audio."""

    rate_hz: Annotated[int, Meta(ge=8000)]
    channels: Literal[1, 2]
    n_samples: Annotated[int, Meta(ge=1, description="In each channel.")]
    length_s: Seconds


class RecordedSilence(Struct, frozen=True, forbid_unknown_fields=True):
    """All silences of one kind, as declared."""

    count: Annotated[int, Meta(ge=1)]
    total_s: Seconds


class BuildRecord(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What was built from one script in one arrangement: files with hashes, voices, versions."""

    title: Words
    edition: Annotated[
        Words,
        Meta(
            description="Short mark made from the script's content; the same on track and papers."
        ),
    ]
    version_label: Annotated[Words, Meta(description="The neutral mark that the room sees.")]
    arrangement: Annotated[
        Words,
        Meta(description="Name of the arrangement in its file; never a candidate's need."),
    ]
    build_key: Annotated[Sha256, Meta(description="SHA-256 of everything that decides the bytes.")]
    loudness_target_lufs: Decimal
    files: Annotated[tuple[RecordedFile, ...], Meta(min_length=1)]
    voices: tuple[RecordedVoice, ...]
    track: RecordedTrack
    declared: Annotated[
        dict[Kind, RecordedSilence], Meta(description="Silences as declared, by kind.")
    ]
    versions: Annotated[
        dict[str, Words], Meta(extra_json_schema={"required": ["python", "pausewright"]})
    ]
    warnings: tuple[Words, ...]
    heard_by: Annotated[
        Words, Meta(description="Who has heard the whole track, or that nobody has yet.")
    ]
    record_format: Annotated[Literal[1], RAISED]
    state: Annotated[
        Literal["draft", "signed"],
        Meta(description="Of the track: signed for wording, sound and timing, or a draft."),
    ]
    signed: Annotated[
        tuple[Words, ...], Meta(description="Who signed for what, a line each, as it still holds.")
    ]

    def with_files(self, files: Iterable[RecordedFile]) -> BuildRecord:
        """Return the record of the same build with other files, by their paths."""
        return structs.replace(self, files=tuple(sorted(files, key=lambda one: one.path)))

    def paths(self, *kinds: str) -> list[tuple[str, str]]:
        """Return path and SHA-256 of the files of these kinds."""
        return [(one.path, one.sha256) for one in self.files if one.kind in kinds]


class PackedTrack(Struct, frozen=True, forbid_unknown_fields=True):
    """The audio of a room folder."""

    rate_hz: Annotated[int, Meta(ge=1)]
    n_samples: Annotated[int, Meta(ge=1)]
    length_s: Seconds


class PackedFile(Struct, frozen=True, forbid_unknown_fields=True):
    """One file of a room folder."""

    name: RelativePath
    n_bytes: Annotated[int, Meta(ge=0)]
    sha256: Sha256


class PackingList(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What belongs in the folder that goes to the room: no title, no arrangement and no need."""

    packing_list: Annotated[Literal[1], RAISED]
    version_label: Annotated[Words, Meta(description="The neutral mark that the room sees.")]
    edition: Annotated[Words, Meta(description="The same on track and papers.")]
    track: PackedTrack
    files: Annotated[tuple[PackedFile, ...], Meta(min_length=1)]


class PackedPlayer(Struct, frozen=True, forbid_unknown_fields=True):
    """A machine that plays one track, with a folder of its own."""

    number: Annotated[int, Meta(ge=1)]
    folder: Annotated[RelativePath, Meta(description="Relative to the room's folder.")]
    version_label: Words
    loudspeaker: Annotated[bool, Meta(description="False: headphones, for one candidate.")]
    places: Annotated[int, Meta(ge=0, description="Candidates who hear it.")]


class PackedReader(Struct, frozen=True, forbid_unknown_fields=True):
    """A person who reads a version aloud in place of a track."""

    number: Annotated[int, Meta(ge=1)]
    version_label: Words
    places: Annotated[int, Meta(ge=0, description="Candidates who listen.")]


class RoomFile(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One file of a room's or a player's folder."""

    name: Annotated[RelativePath, Meta(description="Relative to the folder of the list.")]
    kind: Kind
    n_bytes: Annotated[int, Meta(ge=0)]
    sha256: Sha256
    version_label: str = ""
    content_mark: ContentMark = ""
    measured: MeasuredSound | None = None


class RoomPackingList(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What belongs in a room's folder, or a player's alone: no candidate and no need."""

    packing_list: Annotated[Literal[2], RAISED]
    room: Annotated[Words, Meta(description="As the list of needs calls it.")]
    folder: Annotated[RelativePath, Meta(description="Of the room.")]
    player: Annotated[
        int, Meta(ge=0, description="Whose folder this is; 0 for the whole room's folder.")
    ]
    edition: Annotated[Words, Meta(description="The same on track and papers.")]
    rooms: Annotated[
        tuple[Sha256, ...],
        Meta(description="SHA-256 of the folder names of all rooms that were laid out together."),
    ]
    versions: Annotated[
        tuple[Words, ...], Meta(description="Labels of all versions that were laid out together.")
    ]
    players: Annotated[
        tuple[PackedPlayer, ...], Meta(description="Of the room; in a player's list itself alone.")
    ]
    readers: tuple[PackedReader, ...]
    files: tuple[RoomFile, ...]


class LaidOutFile(Struct, frozen=True):
    """A file of the rooms, relative to the folder of all of them."""

    path: RelativePath
    sha256: Sha256


class RoomsRecord(Struct, frozen=True, kw_only=True):
    """What was laid out for all rooms: stays in the office, names no candidate."""

    rooms_record: Annotated[Literal[1], RAISED]
    edition: Words
    folders: Annotated[tuple[RelativePath, ...], Meta(description="Of all rooms.")]
    files: tuple[LaidOutFile, ...]


class RunningRow(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One row of a running sheet."""

    kind: Kind
    """For example `part`, `question`, `stop`, `rest`, `note`."""
    what: Words
    at_s: Seconds | None = None
    """When it begins on the track."""
    answer_at_s: Seconds | None = None
    answer_s: Seconds | None = None
    """When its answer time begins, and how long that is."""
    detail: str = ""


class RunningPiece(Struct, frozen=True, forbid_unknown_fields=True):
    """A file of a track in pieces."""

    name: RelativePath
    start_s: Seconds
    length_s: Seconds


class RunningPlace(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One thing that is heard or waited for; no word of it."""

    happens: Kind
    """What the words belong to (`instruction`, `announcement`, `question`, `passage`, `cue`,
    `continues`), or the kind of silence."""
    n_samples: Annotated[int, Meta(ge=0)]
    about: str = ""
    """The question that it belongs to, as candidates know it: "7", "7b", "1–4", "Practice 1"."""
    reading: Annotated[int, Meta(ge=0)] = 0
    """Which reading of it, from 1."""
    take: TakeMark = ""
    """Of what is said or played."""


AtMs = Annotated[int, Meta(ge=0, description="Milliseconds from the first sample of the track.")]


class WhereRow(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """What a stop in one stretch of a track, [start_ms, end_ms), means; no word of a question."""

    start_ms: AtMs
    end_ms: AtMs
    happens: Literal["heard", "given", "held", "between", "before", "after"]
    """Something is said; a silence of the candidates runs; the track waits for a person; the
    author's pause; before the first words; after the last ones."""
    name: Words
    """As in "during NAME": "question 15 of 24, answer time"."""
    resume_ms: AtMs
    """The latest place to go on from: in a silence."""
    back_ms: AtMs
    """Where its question, or its instructions, begin."""
    back_to: Words
    """What begins there: "the first reading of question 15"."""
    part: str = ""
    """Its title."""
    question: str = ""
    """As candidates know it: "7b"; none for instructions."""
    reading: Annotated[int, Meta(ge=0)] = 0
    """Which reading of it, from 1."""


class RunningTimes(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What is on a track and when, for running sheets of any day: no word of a question."""

    running_times: Annotated[Literal[1], RAISED]
    track: RelativePath
    """Name of its file."""
    length_s: Seconds
    sound_test_s: tuple[Seconds, Seconds] | None
    """From where to where the first instructions are heard; none if a question comes first."""
    rows: tuple[RunningRow, ...]
    pieces: tuple[RunningPiece, ...] = ()
    rate_hz: Annotated[int, Meta(ge=0)] = 0
    """Of the track, in samples a second; 0 in files of before places were kept."""
    places: tuple[RunningPlace, ...] = ()
    """Everything on the track, end to end from its first sample."""
    sound_check: str = ""
    """Name of the file beside the track by which the sound is tested; none: the first words."""
    where: tuple[WhereRow, ...] = ()
    """What a stop at any place means, end to end; none in files of before it was kept."""


UnitMark = Annotated[str, Meta(pattern="^[0-9a-f]{32}$", description="Hash, cut to 32 digits.")]
SampleAt = Annotated[int, Meta(ge=0)]


class ContentsUnit(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One thing that can change by itself: a question, a paragraph, a heading, the title."""

    kind: Kind
    """For example `question`, `instruction`, `passage`, `stop`, `part`, `sheet`, `title`."""
    name: Words
    """As people call it: "question 7", "stop 2"; no word of its content."""
    line: Annotated[int, Meta(ge=0)]
    """Of the script; 0 if it is declared nowhere."""
    same: UnitMark
    """Of all that it holds, its number left out."""
    aspects: dict[Literal["sound", "words", "paper", "key", "staff"], UnitMark]
    """What it is to the ear, in writing, on the answer sheet, on the mark scheme, to staff."""
    own_words: UnitMark | None = None
    """Of the words that the author wrote in it."""
    traits: tuple[str, ...] = ()
    """Short hashes of its single words, to find it again when it has changed."""
    spans: tuple[tuple[SampleAt, SampleAt], ...] = ()
    """Where it lies on the track, half-open, in samples; empty before a build."""
    candidates_s: Seconds = "0"
    """Candidates' silences in it."""


class Contents(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What one version of a test holds, unit by unit, and what each output was made from.

    Hashes and places, no word of the test; still it stays with the confidential files, because
    short answers could be guessed from their hashes.
    """

    contents: Annotated[Literal[1], RAISED]
    edition: Words
    version_label: Words
    arrangement: Words
    rate_hz: Annotated[int, Meta(ge=0)]
    """0 before a build."""
    n_samples: SampleAt
    has_room: Annotated[
        bool, Meta(description="Whether its silences hold the sound of a recording's room.")
    ]
    units: tuple[ContentsUnit, ...]
    outputs: dict[Kind, UnitMark]
    """Hash of what decides each kind of output, the edition left out."""


class WrittenFile(Struct, frozen=True):
    """A path that a build or a layout of rooms wrote; what else is said of it does not count."""

    path: RelativePath


class WrittenFiles(Struct, frozen=True):
    """All that was written into a folder: of any record, what is needed to replace it."""

    files: tuple[WrittenFile, ...]
