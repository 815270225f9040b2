"""A whole folder: the files that were listed, all of one edition and label, as long as recorded.

What a folder should hold is read from its packing list, and from the build record where there is
one. Each track is then measured by itself, with the script or without.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

from pausewright.checker.files.held_files import files_below, sha256_or_none
from pausewright.checker.files.packing import ENDING, Listing, read_build_record, read_packing_list
from pausewright.checker.files.piece_set import check_pieces, piece_sets
from pausewright.checker.files.strays import PLAYED, TRACKS, stray_findings
from pausewright.checker.files.tags import read_tags
from pausewright.checker.limits.coders import coder_of
from pausewright.checker.limits.times import LISTED_LENGTH_SLACK_S
from pausewright.checker.result.delivered import Delivered, FileRow, Room
from pausewright.checker.result.findings import Finding
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from pathlib import Path

    from pausewright.checker.files.decode import Track
    from pausewright.checker.result.findings import CheckResult

    Check: TypeAlias = Callable[[Track], CheckResult]
    """Measures one track, whole or in pieces, with the script or without."""

SOUND_CHECK = "_sound-check"
"""How the name of a sound check ends: compared with the list, and no track of the script."""
_NOT_ROOMS = frozenset({"confidential", "print"})
COPY = "copy the folder again from where it was built"
NOT_LISTED = "There is no packing list: the files were not compared with what was built."


def check_folder(
    folder: Path,
    check: Check,
    *,
    edition: str | None = None,
    record: Path | None = None,
    has_script: bool = False,
) -> Delivered:
    """Compare a folder, or all room folders below it, with what was built, and check each track.

    Parameters
    ----------
    folder : a room folder, a copy of one, or the whole folder of a build
    check : measures one track
    edition : the script's edition, if there is a script
    record : a build record to compare with; else those that lie in `confidential` nearby
    has_script : whether `check` compares with a script, so that a folder needs no list

    Raises
    ------
    TrackError
        If there is no track and no list, or nothing to compare with, or a track cannot be read.
    """
    places = _room_folders(folder)
    if not places:
        raise TrackError(f"the folder ‘{folder}’ holds no track", "name the track itself")
    records = [record] if record is not None else _records_of(folder)
    known: dict[str, tuple[Listing, Mapping[str, str]]] = {}
    for file in records:
        listing, others = read_build_record(file)
        known[listing.version_label] = listing, others
    of_record = {label: listing for label, (listing, _) in known.items()}
    rooms = []
    for place in places:
        one = _RoomCheck(place, folder, of_record, edition, is_only_record=record is not None)
        one.compare()
        if not one.is_listed and not has_script:
            raise TrackError(
                f"‘{place}’ has no packing list, so there is nothing to compare it with",
                "add --script SCRIPT, or --record with the build record",
            )
        rooms.append(one.room(check))
    findings = [*_mixed(rooms)]
    if record is None:
        findings += _papers(folder, known)
    return Delivered(tuple(rooms), tuple(findings), is_folder=True)


def is_track(file: Path) -> bool:
    """Return whether a file is a track, piece or video by its name, and so is measured."""
    return file.suffix.lower() in TRACKS and not file.stem.endswith(SOUND_CHECK)


def _room_folders(folder: Path) -> list[Path]:
    """Return the folders that hold a packing list or a track, the inner ones of a room left out."""
    files = files_below(folder)
    listed = {file.parent for file in files if file.name.endswith(ENDING)}
    found = set(listed)
    for file in files:
        inside = file.relative_to(folder).parts[:-1]
        if not is_track(file) or _NOT_ROOMS.intersection(inside):
            continue
        if not any(parent in listed for parent in file.parents):
            found.add(file.parent)
    return sorted(one for one in found if not any(above in found for above in one.parents))


def _records_of(folder: Path) -> list[Path]:
    """Return the build records that belong to a folder: in it, or beside a room folder."""
    found = sorted((folder / "confidential").glob("build-record_*.json"))
    if not found and folder.name.startswith("version-"):
        found = sorted((folder.parent / "confidential").glob("build-record_*.json"))
    return found


@dataclass(slots=True)
class _Held:
    """A file that is there."""

    path: Path
    sha256: str


class _RoomCheck:
    """Compares one room folder."""

    def __init__(
        self,
        place: Path,
        given: Path,
        records: Mapping[str, Listing],
        edition: str | None,
        *,
        is_only_record: bool,
    ) -> None:
        self._place = place
        self._name = place.name if place == given else place.relative_to(given).as_posix()
        self._records = records
        self._is_only_record = is_only_record
        self._script_edition = edition
        self._lists: list[Listing] = []
        self._findings: list[Finding] = []
        self._rows: list[FileRow] = []
        self._held: dict[str, _Held] = {}
        self.is_listed = False

    # ---- files ------------------------------------------------------------------------------

    def compare(self) -> None:
        """Compare the files that are there with those that are listed."""
        for file in files_below(self._place):
            name = file.relative_to(self._place).as_posix()
            if file.name.endswith(ENDING):
                self._read_list(file)
            else:
                self._held[name] = _Held(file, sha256_or_none(file))
        self._findings += stray_findings(self._place)
        self._one_of_each()
        record = self._record()
        if not self._lists and record is not None:
            self._lists = [record]
        elif record is not None and not any(_agree(one, record) for one in self._lists):
            self._error(
                "record-differs",
                "the packing list is not the one of the build record",
                "copy the folder again, or give the record of this edition and version",
            )
        self.is_listed = self.is_listed or bool(self._lists)
        listed = {name: sha for one in self._lists for name, sha in one.files.items()}
        listed = {n: sha for n, sha in listed.items() if not n.endswith(ENDING)}
        self._against(listed)

    def _read_list(self, file: Path) -> None:
        try:
            self._lists.append(read_packing_list(file))
        except TrackError as why:
            self._error("packing-list-form", why.message, why.hint)
            self.is_listed = True

    def _record(self) -> Listing | None:
        if self._is_only_record:
            return next(iter(self._records.values()), None)
        labels = {one.version_label for one in self._lists}
        labels.add(self._label_of_name())
        return next((self._records[one] for one in sorted(labels) if one in self._records), None)

    def _label_of_name(self) -> str:
        name = self._place.name
        return name.removeprefix("version-") if name.startswith("version-") else ""

    def _one_of_each(self) -> None:
        editions = sorted({one.edition for one in self._lists})
        labels = sorted({one.version_label for one in self._lists})
        if len(editions) > 1:
            self._error(
                "editions-mixed",
                f"the folder holds files of editions {' and '.join(editions)}",
                "keep the files of one edition in it and remove the others",
            )
        if len(labels) > 1:
            self._error(
                "labels-mixed",
                f"the folder holds files of versions {' and '.join(labels)}",
                "give every version a folder of its own",
            )
        named = self._label_of_name()
        if named and labels and named not in labels:
            self._error(
                "label-differs",
                f"the folder is called version-{named} and holds version {' and '.join(labels)}",
                "make sure that this is the folder for this room",
            )
        if self._script_edition and editions and self._script_edition not in editions:
            self._error(
                "edition-differs",
                f"the folder is edition {' and '.join(editions)}, the script is edition "
                f"{self._script_edition}",
                "use the track and the papers of one edition",
            )

    def _against(self, listed: Mapping[str, str]) -> None:
        if not self.is_listed:
            return
        lost = {name: sha for name, sha in listed.items() if name not in self._held}
        for name, wanted in listed.items():
            held = self._held.get(name)
            if held is not None and held.sha256 == wanted:
                self._rows.append(FileRow(name, "as listed", wanted))
            elif held is not None:
                self._rows.append(FileRow(name, "changed", held.sha256))
                self._error("file-changed", f"‘{name}’ is not the file that was built", COPY)
        for name, held in self._held.items():
            if name in listed or (not self._lists and not self._is_played(name)):
                continue
            same = next((one for one, sha in lost.items() if sha == held.sha256), None)
            if same is not None:
                del lost[same]
                self._rows.append(FileRow(name, "as listed", held.sha256))
                self._note("file-renamed", f"‘{same}’ is called ‘{name}’ here", "rename it")
            else:
                self._unknown(name, held)
        for name in lost:
            self._rows.append(FileRow(name, "missing", ""))
            self._error("file-missing", f"‘{name}’ is not there", COPY)

    @staticmethod
    def _is_played(name: str) -> bool:
        return any(name.lower().endswith(ending) for ending in PLAYED)

    def _unknown(self, name: str, held: _Held) -> None:
        self._rows.append(FileRow(name, "not listed", held.sha256))
        if not self._lists:
            return
        sentence = f"‘{name}’ is not on the packing list"
        hint = "keep only what was built in the folder for the room"
        if self._is_played(name):
            self._error("file-unknown", sentence, hint)
        else:
            self._note("file-unknown", sentence, hint)

    # ---- tracks -----------------------------------------------------------------------------

    def room(self, check: Check) -> Room:
        """Check every track and return all that was found."""
        files = [held.path for held in self._held.values() if is_track(held.path)]
        wholes, in_pieces = piece_sets(files)
        checks = [check(track) for track in wholes]
        checks += [check_pieces(pieces, check) for pieces in in_pieces]
        tags = [read_tags(file) for file in files]
        labels = sorted({one.version_label for one in self._lists})
        editions = sorted({one.edition for one in self._lists})
        for file, said in zip(files, tags, strict=True):
            self._tags_of(file.name, said.version_label, labels, "label-differs", "version")
            self._tags_of(file.name, said.edition, editions, "edition-differs", "edition")
        for result in checks:
            self._length_of(result)
        return Room(
            name=self._name,
            version_label=_only(labels) or _only(sorted({one.version_label for one in tags})),
            edition=_only(editions) or _only(sorted({one.edition for one in tags})),
            checks=tuple(checks),
            tracks=(*wholes, *(pieces.files for pieces in in_pieces)),
            files=tuple(sorted(self._rows, key=lambda row: row.name)),
            findings=tuple(self._findings),
            is_listed=self.is_listed,
            cautions=() if self.is_listed else (NOT_LISTED,),
        )

    def _tags_of(self, name: str, said: str, listed: Sequence[str], code: str, what: str) -> None:
        if said and listed and said not in listed:
            self._error(
                code,
                f"‘{name}’ says that it is {what} {said}, the packing list says "
                f"{' and '.join(listed)}",
                "make sure that this is the folder for this room, and copy it again",
            )

    def _length_of(self, result: CheckResult) -> None:
        """Compare what was decoded with the length on the list."""
        if not self._lists:
            return
        measured_s = Fraction(result.n_frames, result.rate_hz)
        lengths_s = [Fraction(one.n_samples, one.rate_hz) for one in self._lists]
        nearest_s = min(lengths_s, key=lambda length_s: abs(length_s - measured_s))
        is_same_rate = any(one.rate_hz == result.rate_hz for one in self._lists)
        slack_s = length_slack_s(result, is_same_rate=is_same_rate)
        if abs(measured_s - nearest_s) > slack_s:
            self._findings.append(
                Finding(
                    "total-differs",
                    "error",
                    f"‘{result.track}’ is not as long as the track that was built",
                    COPY,
                    expected=nearest_s,
                    measured=measured_s,
                    difference=measured_s - nearest_s,
                    allowed=slack_s,
                    unit="s",
                )
            )

    def _error(self, code: str, sentence: str, hint: str) -> None:
        self._findings.append(Finding(code, "error", sentence, hint))

    def _note(self, code: str, sentence: str, hint: str) -> None:
        self._findings.append(Finding(code, "warning", sentence, hint))


def _agree(one: Listing, record: Listing) -> bool:
    """Return whether a packing list says what the record says (which lists the list itself)."""
    files = {name: sha for name, sha in record.files.items() if not name.endswith(ENDING)}
    return (
        one.version_label == record.version_label
        and one.edition == record.edition
        and (one.rate_hz, one.n_samples) == (record.rate_hz, record.n_samples)
        and dict(one.files) == files
    )


def _mixed(rooms: Sequence[Room]) -> Iterator[Finding]:
    editions = sorted({room.edition for room in rooms if room.edition})
    if len(editions) > 1:
        yield Finding(
            "editions-mixed",
            "error",
            f"the folders are of editions {' and '.join(editions)}",
            "build every version again from the same script",
        )


def _papers(
    folder: Path, known: Mapping[str, tuple[Listing, Mapping[str, str]]]
) -> Iterator[Finding]:
    """Compare the papers and records of a whole build, if they are there."""
    if not (folder / "confidential").is_dir():
        return
    for _, others in known.values():
        for name, listed in others.items():
            found = sha256_or_none(folder / name, folder)
            if found != listed:
                yield Finding(
                    "file-changed" if found else "file-missing",
                    "error",
                    f"‘{name}’ is not the file that was built" if found else f"‘{name}’ is gone",
                    "build the test again, or move what you wrote to another place",
                )


def _only(values: Sequence[str]) -> str:
    return values[0] if len(values) == 1 else ""


def length_slack_s(result: CheckResult, *, is_same_rate: bool) -> Fraction:
    """Return how far a track may be off its listed length; `is_same_rate`: as the list has it."""
    slack_frames = coder_of(result.container).length_slack_frames
    if slack_frames:
        return Fraction(slack_frames, result.rate_hz)
    return Fraction(0) if is_same_rate else LISTED_LENGTH_SLACK_S
