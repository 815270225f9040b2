"""Writing the pages of one track: the room's beside its audio, the reader's among staff papers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.files.writing import make_folder, write_file
from pausewright.problems import OutputError
from pausewright.screen.reader_screen import reader_screen
from pausewright.screen.room_screen import played_track, room_screen

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.captions.cues import Cue
    from pausewright.plan.timeline import Timeline
    from pausewright.screen.room_screen import Sound
    from pausewright.script.model import Script


def sound_of(text: str) -> Sound:
    """Return where a page has its audio, from the word that a user wrote.

    Raises
    ------
    OutputError
        If it is none of the two.
    """
    if text == "beside":
        return "beside"
    if text == "inline":
        return "inline"
    raise OutputError(f"‘{text}’ is no way to make the room screen", "write beside or inline")


def write_screens(
    script: Script,
    timeline: Timeline,
    cues: Sequence[Cue],
    tracks: Sequence[Path],
    *,
    staff: Path,
    label: str,
    edition: str,
    sound: Sound,
) -> tuple[Path, Path]:
    """Write both pages and return where they lie; the reader's can be opened by its owner only.

    Parameters
    ----------
    cues : the captions that candidates may see
    tracks : the finished files of the track, in one room folder
    staff : folder of the staff's papers

    Raises
    ------
    OutputError
        If the audio cannot stand inside a page.
    """
    track = played_track(tracks)
    page = room_screen(script, timeline, cues, track, label=label, edition=edition, sound=sound)
    room = track.with_name(f"{track.stem}_room-screen.html")
    write_file(room, page)
    page = reader_screen(script, timeline, label=label, edition=edition)
    make_folder(staff)
    reader = staff / f"{track.stem}_reader-screen.html"
    write_file(reader, page, private=True)
    return room, reader
