"""Faults in samples and files: cut, moved, doubled, too loud, at another pitch."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from pausewright.deliver import element_sounds
from pausewright.deliver.build_options import Options
from pausewright.deliver.element_sounds import ElementSounds
from pausewright.deliver.outputs import track_output
from pausewright.sound import excerpts
from pausewright.wording.line_elements import Utterance

from support.planted.base import Fault, Plant, after, changed

if TYPE_CHECKING:
    import pytest

RATE_HZ: Final = 44_100


def _blocks(change: Any) -> Plant:
    """Return a fault in all samples of a track."""

    def wrong(right: Any) -> Any:
        def blocks(job: Any, stage: str) -> Any:
            whole = np.concatenate([np.array(block) for block in right(job, stage)])
            made = np.asarray(change(whole)).astype(np.int16)
            for at in range(0, len(made), RATE_HZ):
                yield made[at : at + RATE_HZ]

        return blocks

    return changed(track_output, "blocks_of", wrong)


def _first_sound(wave: Any) -> tuple[int, int]:
    loud = np.flatnonzero(np.abs(wave[:, 0]) > 300)
    gaps = np.flatnonzero(np.diff(loud) > RATE_HZ // 4)
    return int(loud[0]), int(loud[gaps[0]]) + 1


def _silenced(wave: Any) -> Any:
    start, end = _first_sound(wave)
    wave[start:end] = 0
    return wave


def _cut_short(wave: Any) -> Any:
    start, end = _first_sound(wave)
    wave[(start + end) // 2 : end] = 0
    return wave


def _later(wave: Any) -> Any:
    """Put the second sound 60 ms later."""
    _, end = _first_sound(wave)
    at = end + RATE_HZ // 10
    return np.concatenate([wave[:at], np.zeros((RATE_HZ * 6 // 100, wave.shape[1])), wave[at:]])


def _twice(wave: Any) -> Any:
    start, end = _first_sound(wave)
    return np.concatenate([wave[:end], np.zeros((RATE_HZ, wave.shape[1])), wave[start:end],
                           wave[end:]])  # fmt: skip


def _noisy(wave: Any) -> Any:
    draw = np.random.default_rng(5).normal(0, 400, wave.shape)
    return np.clip(wave + draw, -32768, 32767)


def _exchanged(right: Any) -> Any:
    """Say two utterances of a length in each other's place."""
    pair = {"Thank you.": "Tell me.", "Tell me.": "Thank you."}

    def method(self: Any, piece: Any) -> Any:
        if isinstance(piece, Utterance) and piece.words in pair:
            other = replace(piece.spoken[0], text=pair[piece.words])
            piece = replace(piece, spoken=(other,))
        return right(self, piece)

    return method


def _in_each_others_place(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("take", "n_sound_samples"):
        changed(ElementSounds, name, _exchanged)(monkeypatch)


def _excerpt(change: Any) -> Plant:
    return changed(excerpts, "read_sound", after(lambda read: (change(read[0]), read[1])))


FAULTS: Final = (
    Fault("sound", "the first sentence silent", _blocks(_silenced)),
    Fault("sound", "the first sentence cut in half", _blocks(_cut_short), found_by="ear"),
    Fault("sound", "a sentence 60 ms late", _blocks(_later)),
    Fault("sound", "a sentence twice", _blocks(_twice)),
    Fault("sound", "the last two seconds lost", _blocks(lambda wave: wave[: -2 * RATE_HZ])),
    Fault("sound", "the track 1 % too fast", _blocks(lambda wave: wave[
        np.minimum((np.arange(int(len(wave) / 1.01)) * 1.01).astype(int), len(wave) - 1)])),
    Fault("sound", "the track over full scale", _blocks(
        lambda wave: np.clip(wave.astype(np.int32) * 9, -32767, 32767))),
    Fault("sound", "hiss under all of it", _blocks(_noisy)),
    Fault("sound", "a recording of half its length", _excerpt(lambda raw: raw[: len(raw) // 2])),
    Fault("sound", "a tone at another pitch", changed(
        element_sounds, "tone_take", lambda right: lambda spec, **more: right(
            replace(spec, frequency_hz=spec.frequency_hz * 5 / 4), **more))),
    Fault("sound", "a slower recording at the standard pace",
          changed(excerpts, "_at_pace", lambda _: lambda raw, *_more: raw), "slow"),
    Fault("sound", "a declared format not written",
          changed(Options, "formats_of", lambda _: lambda *_: ("wav",)), "formats"),
    Fault("sound", "pieces not written", changed(Options, "splits", lambda _: lambda *_: False),
          "pieces"),
    Fault("sound", "two sentences of one length in each other's place",
          _in_each_others_place, found_by="ear"),
)  # fmt: skip
