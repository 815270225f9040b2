"""A sound that was just written, played for the person who asked for it."""

from pathlib import Path

from pausewright.cli.late import loaded_late
from pausewright.cli.printing import tell

with loaded_late():
    from pausewright.tasks import playback


def let_hear(file: Path) -> None:
    """Play a file after a word of caution, or say that the person must open it."""
    tell("Headphones: start low.", flush=True)
    if not playback.play(file):
        tell("this system has no player that is known here: open the file yourself")
