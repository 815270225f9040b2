"""A recogniser for tests that hears what it is told to hear."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.checker.ear.recogniser import MANNERS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from pausewright.checker.ear.recogniser import Clip, Manner


class Stub:
    """Hears given texts in order; what it then finds likelier is given too."""

    def __init__(
        self, texts: Sequence[str], later: Mapping[str, str] | None = None, likelier: float = 20.0
    ) -> None:
        """`later` maps a text to what is heard in the further manners."""
        self._texts = list(texts)
        self._later = dict(later or {})
        self._likelier = likelier
        self._known: dict[bytes, str] = {}
        self.manners: list[Manner] = []
        self.n_weighed = 0

    def heard(self, clips: Sequence[Clip], manner: Manner) -> list[str]:
        """Return the next texts at first, then those of the same clips."""
        self.manners.append(manner)
        if manner == MANNERS[0]:
            found = [self._texts.pop(0) for _ in clips]
            for clip, text in zip(clips, found, strict=True):
                self._known[clip.tobytes()] = text
            return found
        known = [self._known[clip.tobytes()] for clip in clips]
        return [self._later.get(text, text) for text in known]

    def likelihoods(self, clip: Clip, texts: Sequence[str]) -> list[float]:
        """Return the heard words as likelier by what was given, in both pairs."""
        assert len(clip)
        assert len(texts) % 4 == 0
        self.n_weighed += 1
        return [0.0, -self._likelier, 0.0, -self._likelier] * (len(texts) // 4)
