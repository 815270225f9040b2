"""Versions are built side by side and share the aligner, which stands no second call meanwhile."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from types import SimpleNamespace
from typing import TYPE_CHECKING

import numpy as np
from pausewright.alignment import forced_times as module
from pausewright.alignment.phone_words import spoken_words

if TYPE_CHECKING:
    import pytest


class OneAtATime:
    """An aligner that notes when it is called while it is at work; PocketSphinx crashes then."""

    def __init__(self) -> None:
        """Start idle."""
        self.n_inside = self.most_inside = 0
        self._text: list[str] = []

    def reinit_feat(self) -> None:
        """Begin."""
        self.n_inside += 1
        self.most_inside = max(self.most_inside, self.n_inside)
        time.sleep(0.02)

    def lookup_word(self, name: str) -> str:
        """Know every word."""
        return name

    def set_align_text(self, text: str) -> None:
        """Take the words."""
        self._text = text.split()

    def start_utt(self) -> None:
        """Do nothing."""

    def process_raw(self, _sound: bytes, *, full_utt: bool) -> None:
        """Work for a while."""
        assert full_utt
        time.sleep(0.02)

    def end_utt(self) -> None:
        """End."""
        self.n_inside -= 1

    def seg(self) -> list[SimpleNamespace]:
        """Find one word after the other, a tenth of a second each."""
        return [
            SimpleNamespace(word=word, start_frame=10 * at, end_frame=10 * at + 9)
            for at, word in enumerate(self._text)
        ]


def test_it_is_asked_by_one_thread_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each gets the times of its own words."""
    aligner = OneAtATime()
    monkeypatch.setattr(module, "_decoder", lambda: aligner)
    monkeypatch.setattr(module, "has_aligner", lambda: True)
    texts = [" ".join(["gate"] * n) for n in range(1, 9)]
    silence = np.zeros(module.RATE_HZ, np.int16)

    with ThreadPoolExecutor(8) as pool:
        found = list(
            pool.map(lambda words: module.forced_times(silence, words), spoken_words(texts))
        )

    assert aligner.most_inside == 1
    assert [len(one or ()) for one in found] == list(range(1, 9))
