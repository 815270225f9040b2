"""Faults in how the parsed script answers, and in how it is read."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any, Final

from pausewright.arrange import readings
from pausewright.deliver import project
from pausewright.script.model import Delivery, Dictation, Passage, Script

from support.planted.base import Fault, Plant, after, changed


def _read(change: Any) -> Plant:
    """Return a fault in the reading of a script: what comes out is another script."""
    return changed(
        project, "read",
        after(lambda reading: replace(reading, script=change(reading.script))),
    )  # fmt: skip


def _without_last_question(script: Script) -> Script:
    part = script.parts[-2]
    group = replace(part.groups[0], blocks=part.groups[0].blocks[:-1])
    parts = (*script.parts[:-2], replace(part, groups=(group, *part.groups[1:])), script.parts[-1])
    return replace(script, parts=parts)


def _longer_sentences(script: Script) -> Script:
    return replace(script, settings=replace(script.settings, sentence_pause_s=Fraction(1)))


FAULTS: Final = (
    Fault("script", "silences between readings doubled",
          changed(Delivery, "between_s", after(lambda s: 2 * s))),
    Fault("script", "the last silence between readings halved", changed(
        Delivery, "between_s", lambda right: lambda self, reading: (
            right(self, reading) / (2 if reading == 2 else 1))), "readings"),
    Fault("script", "a dictation counted once too often",
          changed(Dictation, "n_readings", after(lambda n: n + 1)), "readings"),
    Fault("script", "a passage counted once for all its readings",
          changed(Passage, "n_readings", lambda _: lambda _self: 1)),
    Fault("script", "what is inside a question taken for the question",
          changed(readings, "is_read_inside", lambda _: lambda *_: False), "readings"),
    Fault("script", "the last question not read at all", _read(_without_last_question),
          found_by="person"),
    Fault("script", "a setting read as another", _read(_longer_sentences), found_by="person"),
)  # fmt: skip
