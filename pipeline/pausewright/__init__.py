"""Pausewright: tests given by ear, voiced, timed, captioned and measured."""

__version__ = "0.1.0"
