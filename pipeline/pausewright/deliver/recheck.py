"""A delivered file or folder checked again: with its script, or against what was recorded."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.checker.check import check_track
from pausewright.checker.files.decode import files_of, name_of
from pausewright.checker.files.piece_set import check_pieces, set_around
from pausewright.checker.files.tags import refuse_excerpts, refuse_proofs
from pausewright.checker.folder import check_folder
from pausewright.checker.judge.against_standard import measured_track
from pausewright.checker.promises.promise import promise_of
from pausewright.checker.result.delivered import delivered_tracks
from pausewright.checker.rooms.layout_check import is_laid_out
from pausewright.checker.shown.caption_reading import READERS
from pausewright.checker.shown.shown_elsewhere import beside as others_beside
from pausewright.checker.shown.shown_elsewhere import sheets_beside
from pausewright.checker.unscripted import measure_track
from pausewright.deliver.project import open_project
from pausewright.deliver.signed_check import with_state
from pausewright.deliver.version_of_track import version_of
from pausewright.deliver.zip_files import ZIP, unpacked
from pausewright.files.stage import settle
from pausewright.intake.plain_file import mark
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from pausewright.checker.ear.hearing import Ear
    from pausewright.checker.files.decode import Track
    from pausewright.checker.result.delivered import Delivered
    from pausewright.checker.result.findings import CheckResult


PAPER_ENDINGS: Final = frozenset({".txt", ".html", ".pdf"})
"""Of papers, which are judged by their content mark."""


def recheck(
    path: Path,
    *,
    script: Path | None = None,
    captions: Sequence[Path] = (),
    record: Path | None = None,
    readers: str | None = None,
    arrangement: str | None = None,
    standard: Path | None = None,
    progress: Callable[[float], None] | None = None,
    ear: Ear | None = None,
    needs: Path | None = None,
    room: str = "",
    password: str = "",
) -> Delivered:
    """Return what the check of a track, a paper, or a folder with its tracks, found.

    Parameters
    ----------
    path : a track, a paper, a version's folder or a copy of one, the whole folder of a build, or
        what `needs` laid out; a piece stands for all pieces of its track beside it
    script : its script; a folder can do without, and a track by itself is then only measured
    captions : caption files of the track; else those beside it under its name
    record : a build record that a folder is compared with
    readers : profile of readers that captions are judged by; else the script's `caption-profile`
    arrangement : name or label of its version; by the label in each file without it
    standard : the standard track: nothing but what is declared may differ from it
    progress : called with the share of each track that is done
    ear : also have every utterance heard by a recogniser; needs the script
    needs : the list of candidates, that rooms are compared with
    room : the room where the person who asks is; "" if they do not say
    password : of a pack that is encrypted

    Raises
    ------
    ScriptError
        With all problems of the script.
    TrackError
        If something cannot be read, or there is nothing to compare with.
    OutputError
        If the folder is half-way between two builds and cannot be put right here.
    """
    if path.suffix.lower() == ZIP:
        with unpacked(path, password) as folder:
            return recheck(
                folder,
                script=script,
                record=record,
                readers=readers,
                progress=progress,
                ear=ear,
                needs=needs,
                room=room,
            )
    if readers is not None and readers not in READERS:
        raise TrackError(
            f"‘{readers}’ is no profile of readers", f"write one of: {', '.join(READERS)}"
        )
    if ear is not None and script is None:
        raise TrackError(
            "the machine's ear compares words with those of the script", "add --script SCRIPT"
        )
    for one in (path, standard):
        if one is not None:
            settle(one, around=True)
    project = None if script is None else open_project(script)
    if project is not None:
        project.raise_errors()

    if project is None and (arrangement is not None or standard is not None):
        raise TrackError(
            "an arrangement or a standard track is compared by the script", "add --script SCRIPT"
        )
    like = None
    if project is not None and standard is not None and project.script.settings.given is None:
        like = measured_track(standard, project.worded)

    def check(track: Track, label: str | None = None) -> CheckResult:
        before = [mark(file) for file in files_of(track)]
        found = measured(track, label or arrangement)
        if before != [mark(file) for file in files_of(track)]:
            raise TrackError(
                f"‘{name_of(track)}’ was changed while it was checked",
                "check it again when nothing writes to it",
            )
        return found

    def measured(track: Track, label: str | None) -> CheckResult:
        if project is None:
            return measure_track(track, progress)
        refuse_excerpts(files_of(track))
        first = files_of(track)[0]
        named = first.with_name(re.sub(r"_(switchable|burned-in)(?=\.mp4$)", "", first.name))
        beside = [found for end in (".vtt", ".srt") if (found := named.with_suffix(end)).is_file()]
        version = version_of(project, first, label)
        result = check_track(
            track,
            version.worded,
            promise=promise_of(project.script, version.arrangement),
            sheets=() if captions else sheets_beside(first),
            edition=project.edition,
            captions=list(captions) or beside,
            others=() if captions else others_beside(first),
            readers=readers,
            progress=progress,
            second_decoder=True,
            standard=like,
            ear=ear,
        )
        return with_state(result, first, version)

    if is_laid_out(path):
        from pausewright.deliver.recheck_rooms import (  # noqa: PLC0415  for rooms alone
            RoomsAsked,
            recheck_rooms,
        )

        return recheck_rooms(path, RoomsAsked(needs, room, record), project, check)
    if needs is not None or room:
        raise TrackError(
            f"‘{path}’ is no folder that the command needs laid out",
            "give the folder rooms, one of its rooms, or the folder of a player",
        )
    if path.suffix.lower() in PAPER_ENDINGS and path.is_file():
        from pausewright.deliver.recheck_paper import recheck_paper  # noqa: PLC0415  papers alone

        return recheck_paper(path, project, record)
    if path.is_dir():
        refuse_proofs(path.glob("*_proof.*"))
        return check_folder(
            path,
            check,
            edition=project.edition if project else None,
            record=record,
            has_script=project is not None,
        )
    if project is None and path.suffix.lower() == ".md":
        raise TrackError(
            f"‘{path.name}’ is a script and no track",
            f"give the delivered file, and add --script {path.name}",
        )
    if project is None and captions:
        raise TrackError(
            "captions are compared with what the script says",
            "add --script SCRIPT, or leave the captions out to measure the track alone",
        )
    if record is not None:
        raise TrackError("a record belongs to a folder", "give the folder that the track came in")
    pieces = set_around(path)
    found = check(path) if pieces is None else check_pieces(pieces, check)
    found = replace(found, has_script=project is not None)
    return delivered_tracks([found], [path if pieces is None else pieces.files])
