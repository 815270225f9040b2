"""What an engine is: words in, raw sound out.

An engine is loaded only when something has to be voiced. `prepare` is called in one thread and
in order (pronunciation engines keep global state); `synthesise` from several threads at once.
Equal requests give bit-equal sound on one machine, whatever was voiced before or beside them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from pausewright.frozen import frozen

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from pausewright.wording.line_elements import SpokenPart


@frozen
class Request:
    """All that determines the sound of an utterance in one voice."""

    spoken: tuple[SpokenPart, ...]
    language: str
    """BCP 47."""
    setting: float
    """The engine's own speed setting, rounded to four decimals."""
    take: int
    """From 1."""

    @property
    def words(self) -> str:
        """What is said, for messages."""
        return " ".join("".join(part.text for part in self.spoken).split())


@frozen
class RawTake:
    """Sound as the engine gives it."""

    samples: NDArray[np.float32]
    """Shape (n_samples,), mono; may pass ±1.0."""
    rate_hz: int
    word_spans: tuple[tuple[int, int], ...] = ()
    """Half-open sample ranges of the words as pronounced, in order; empty if not known."""


class Engine(Protocol):
    """A loaded voice."""

    def prepare(self, request: Request) -> object:
        """Return what `synthesise` needs: sounds instead of letters.

        Raises
        ------
        VoiceError
            If the voice cannot say it.
        """

    def synthesise(self, prepared: object) -> RawTake:
        """Return the sound; safe to call from several threads.

        Raises
        ------
        VoiceError
            If nothing is heard.
        """
