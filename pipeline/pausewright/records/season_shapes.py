"""What stands in the table of a season; see `records.record_schemas` for its schema."""

from typing import Annotated, Literal

from msgspec import Meta, Struct, structs

from pausewright.records.shapes import ContentMark, Kind, RelativePath, Sha256, Words

SEASON_FORMAT: Literal[1] = 1
"""Raised when a reader of older tables would misread a new one."""


class SeasonRow(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One track of one version of one test."""

    test: Annotated[Words, Meta(description="Name of the script without its ending.")]
    version_label: Annotated[Words, Meta(description="The neutral mark that the room sees.")]
    title: Words
    edition: Words
    track: Annotated[
        RelativePath, Meta(description="Relative to the folder of results; may not be there.")
    ]
    n_samples: Annotated[int, Meta(ge=0, description="In each channel, as the check counted.")]
    rate_hz: Annotated[int, Meta(ge=1)]
    length_s: Annotated[float, Meta(ge=0)]
    verdict: Literal["good", "not good"]
    n_errors: Annotated[int, Meta(ge=0)]
    n_warnings: Annotated[int, Meta(ge=0)]
    worst_error_s: Annotated[
        float | None,
        Meta(description="Largest difference of a judged silence from what is declared, signed."),
    ]
    worst_error_at: Annotated[
        str, Meta(description="Which silence that is: its kind and question; empty for none.")
    ]
    loudness_lufs: float | None
    true_peak_dbtp: float | None
    listen_to: Annotated[
        tuple[str, ...],
        Meta(description="Where to listen first: a time of the track and what is said of it."),
    ]
    voices: tuple[str, ...]
    is_delivered: Annotated[
        bool, Meta(description="Whether it lies in the folder of results: only good tests do.")
    ]

    def undelivered(self) -> "SeasonRow":
        """Return the same row of a track that was not delivered."""
        return structs.replace(self, is_delivered=False)


class SeasonGap(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A test of which nothing could be made."""

    test: Words
    why: Words
    hint: str = ""


class SeasonTable(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """All tests of a season: what was measured on each track. Confidential: it holds titles."""

    season_table: Annotated[
        Literal[1], Meta(description="Raised when a reader of older files would misread a new one.")
    ]
    rows: tuple[SeasonRow, ...]
    not_made: tuple[SeasonGap, ...]


class KeptFile(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A file of a part of a version, kept until the test is whole."""

    path: RelativePath
    kind: Kind
    content_mark: ContentMark
    sha256: Sha256


class KeptPart(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One step of a version that was made."""

    files: tuple[KeptFile, ...]
    notes: tuple[str, ...]
    rows: tuple[SeasonRow, ...]
    is_good: bool
    report: str


class KeptVersion(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A version that was read or made before."""

    label: Words
    key: Sha256
    rows: tuple[SeasonRow, ...]


class KeptTest(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A test that was delivered: what it was made from, and what is known of it."""

    script: RelativePath
    inputs: Sha256
    """Of the script and what belongs to it: `season.inputs.inputs_mark`."""
    edition: Words
    title: Words
    versions: tuple[KeptVersion, ...]
    opened: tuple[str, ...]
    """Files below the season's folder that were read for it, each with size and time."""


class Ledger(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What a season knows of the run before, so that the next reads and makes only what changed."""

    ledger: Literal[1]
    making: Sha256
    """Of the program, the packages, the voices and the options."""
    tests: dict[str, KeptTest]
