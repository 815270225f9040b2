"""Pausewright: tests given by ear, voiced, timed, captioned and measured."""

from pausewright.offline import tell_libraries

__version__ = "0.1.0"

tell_libraries()
