"""Writing the pages of one track: the room's beside its audio, the staff's among their papers."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.files.writing import make_folder, write_file
from pausewright.frozen import frozen
from pausewright.problems import OutputError
from pausewright.screen.reader_screen import reader_screen
from pausewright.screen.room_screen import played_track, room_screen
from pausewright.screen.staff_notes import staff_notes

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.captions.cues import Cue
    from pausewright.plan.timeline import Timeline
    from pausewright.screen.room_screen import Sound
    from pausewright.script.model import Script

SOUND_CHECK: Final = "_sound-check"
"""What the name of the sound check beside a track ends with."""


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


@frozen
class Screens:
    """Where the pages of a track lie."""

    room: Path
    reader: Path
    notes: Path | None
    """None where the script has no note for the invigilator."""


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
) -> Screens:
    """Write all pages; those of the staff can be opened by their owner only.

    Parameters
    ----------
    cues : the captions that candidates may see
    tracks : the finished files of the track, in one room folder, the sound check beside them
    staff : folder of the staff's papers

    Raises
    ------
    OutputError
        If the audio cannot stand inside a page.
    """
    track = played_track(tracks)
    check = track.with_name(f"{track.stem}{SOUND_CHECK}{track.suffix}")
    page = room_screen(
        script,
        timeline,
        cues,
        track,
        label=label,
        edition=edition,
        sound_check=check if check.is_file() else None,
        sound=sound,
    )
    room = track.with_name(f"{track.stem}_room-screen.html")
    write_file(room, page)
    make_folder(staff)
    reader = staff / f"{track.stem}_reader-screen.html"
    page = reader_screen(script, timeline, label=label, edition=edition)
    write_file(reader, page, private=True)
    page = staff_notes(script, timeline, label=label, edition=edition)
    notes = staff / f"{track.stem}_staff-notes.html" if page else None
    if notes is not None:
        write_file(notes, page, private=True)
    return Screens(room, reader, notes)
