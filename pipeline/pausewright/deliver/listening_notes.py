"""Notes at a time of a track, from listening; beside the script, for its owner only."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.files.claim import claimed
from pausewright.files.writing import unwritable, write_file
from pausewright.problems import OutputError
from pausewright.records.note_shapes import ListeningNote, ListeningNotes
from pausewright.records.record_files import read_kept, record_text

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

ENDING: Final = ".notes.json"
"""Of the file, after the script's name."""
MOST_SIGNS: Final = 2000
"""Of one note."""


def notes_file(script: Path) -> Path:
    """Return where the notes of a script lie."""
    return script.with_name(f"{script.stem}{ENDING}")


def read_notes(script: Path) -> tuple[ListeningNote, ...]:
    """Return the notes of a script, by version and time; none if there is no file of them.

    Raises
    ------
    OutputError
        If the file is there and is none that this version reads.
    """
    found = read_kept(notes_file(script), ListeningNotes, "notes", "there are no notes")
    return found.notes if found is not None else ()


def add_note(script: Path, note: ListeningNote) -> None:
    """Add a note.

    Raises
    ------
    OutputError
        If it says nothing or too much, or cannot be written; then the others are as they were.
    """
    if not note.words.strip():
        raise OutputError("the note is empty", "write what you heard")
    if len(note.words) > MOST_SIGNS:
        raise OutputError(f"the note has more than {MOST_SIGNS} signs", "write less")
    _change(script, lambda notes: (*notes, note))


def remove_note(script: Path, note: ListeningNote) -> None:
    """Remove a note; nothing happens if it is gone.

    Raises
    ------
    OutputError
        If it cannot be written; then all are as they were.
    """
    _change(script, lambda notes: tuple(one for one in notes if one != note))


def _change(
    script: Path, act: Callable[[tuple[ListeningNote, ...]], tuple[ListeningNote, ...]]
) -> None:
    file = notes_file(script)
    try:
        with claimed(file):
            found = act(read_notes(script))
            kept = sorted(found, key=lambda one: (one.version_label, Fraction(one.at_s)))
            if kept:
                text = record_text(ListeningNotes(listening_notes=1, notes=tuple(kept)))
                write_file(file, text, private=True)
            else:
                file.unlink(missing_ok=True)
    except OSError as error:
        raise unwritable(file, error, "choose a folder that you may write to") from error
