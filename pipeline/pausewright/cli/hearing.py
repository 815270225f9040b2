"""A sound that was just written, played for the person who asked for it."""

from pathlib import Path

from pausewright.cli.late import loaded_late
from pausewright.cli.printing import tell

with loaded_late():
    from pausewright.tasks import playback


def let_hear(file: Path) -> bool:
    """Play a file after a word of caution, or say that the person must open it.

    Returns whether it was played to its end, as far as that can be known.
    """
    tell("Headphones: start low.", flush=True)
    is_open = playback.play(file)
    if not is_open:
        tell("this system has no player that is known here: open the file yourself")
    return is_open and playback.plays_here()
