"""What a track must hold, noted down while a script is written: sounds and silences in order.

The rules are those of docs/script-language.md, section "Silence", written down once more: nothing
of the package is used. A sound is heard as soon as a sample is not zero; what is soft at its edges
is told with it, so that a measurer that counts zeros knows what to find.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TypeAlias

RATE_HZ = 44_100


@dataclass(frozen=True)
class Sound:
    """A sound; what of its edges is digital silence, in samples."""

    kind: str = "speech"
    lead: int = 0
    """Zeros that its file begins with."""
    trail: int = 0
    soft_before: int = 0
    """Samples at its start that may be zero for being soft."""
    soft_after: int = 0


@dataclass(frozen=True)
class Silence:
    """A silence of a kind that the outline knows, exact in seconds."""

    kind: str
    wait_s: Fraction


Atom: TypeAlias = "Sound | Fraction"
"""A sound, or one of the author's pauses in seconds."""
SPEECH = Sound()
TONE = Sound("tone", soft_before=60, soft_after=60)
"""A tone rises and falls within 10 ms, so some samples at its edges round to zero."""


@dataclass(frozen=True)
class Gap:
    """Zeros between two sounds, or at the ends of a track."""

    n_least: int
    n_most: int
    silences: tuple[Silence, ...]


class Oracle:
    """Notes events; a default pause gives way to a declared silence beside it."""

    def __init__(self) -> None:
        """Begin with the lead-in."""
        self.events: list[Sound | Silence] = [Silence("lead-in", Fraction(1, 2))]
        self.clashes = 0
        """How often two declared silences met."""
        self._default_s: Fraction | None = None

    @property
    def is_silent(self) -> bool:
        """Whether a declared silence stands last."""
        last = self.events[-1]
        return isinstance(last, Silence) and last.kind != "lead-in"

    def sound(self, sound: Sound = SPEECH) -> None:
        """Note a sound, after the default pause that was waiting."""
        if self._default_s is not None and not isinstance(self.events[-1], Silence):
            self.events.append(Silence("default-pause", self._default_s))
        self._default_s = None
        self.events.append(sound)

    def declare(self, kind: str, wait_s: Fraction) -> None:
        """Note a declared silence."""
        self.clashes += self.is_silent
        self._default_s = None
        self.events.append(Silence(kind, wait_s))

    def default(self, wait_s: Fraction) -> None:
        """Ask for a pause before the next sound; the first one asked for stays."""
        if self._default_s is None:
            self._default_s = wait_s

    def line(self, atoms: tuple[Atom, ...], sentence_pause_s: Fraction) -> None:
        """Note a paragraph."""
        before: Atom | None = None
        for atom in atoms:
            if isinstance(atom, Fraction):
                self.declare("pause", atom)
            else:
                if before is not None and not isinstance(before, Fraction):
                    self.default(sentence_pause_s)
                self.sound(atom)
            before = atom

    def finish(self) -> None:
        """Note the run-out."""
        self._default_s = None
        self.events.append(Silence("run-out", Fraction(1)))

    # ---- what follows from it

    def totals(self) -> dict[str, tuple[int, Fraction]]:
        """Return count and exact sum of seconds by kind of silence."""
        found: dict[str, tuple[int, Fraction]] = {}
        for event in self.events:
            if isinstance(event, Silence):
                n, total_s = found.get(event.kind, (0, Fraction(0)))
                found[event.kind] = (n + 1, total_s + event.wait_s)
        return found

    def gaps(self) -> list[Gap]:
        """Return the runs of zeros that the track must hold, in order."""
        found: list[Gap] = []
        waits: list[Silence] = []
        edge, soft = 0, 0
        for event in [*self.events, None]:
            if isinstance(event, Silence):
                waits.append(event)
                continue
            lead, softer = (event.lead, event.soft_before) if event else (0, 0)
            n = sum(whole_samples(wait.wait_s) for wait in waits) + edge + lead
            found.append(Gap(n, n + soft + softer, tuple(waits)))
            waits = []
            if event:
                edge, soft = event.trail, event.soft_after
        return found


def whole_samples(wait_s: Fraction) -> int:
    """Return the least number of samples that last at least `wait_s`."""
    exact = wait_s * RATE_HZ
    return int(exact) + (exact != int(exact))
