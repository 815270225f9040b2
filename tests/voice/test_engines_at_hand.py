"""Voices that stay loaded from one studio to the next, and when they are loaded anew."""

from __future__ import annotations

import os
from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.voice.engines_at_hand import EnginesAtHand
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profile

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.voice.engine import Engine
    from pausewright.voice.profile import VoiceProfile


def test_a_voice_is_loaded_once_as_long_as_nothing_of_it_changes(tmp_path: Path) -> None:
    """The same engine for the same profile and files; another one where either is another."""
    model = tmp_path / "m.onnx"
    model.write_bytes(b"m")
    loaded: list[str] = []

    def load(profile: VoiceProfile) -> Engine:
        loaded.append(profile.name)
        return FakeEngine()

    kind = replace(fake_engines(FakeEngine())["fake"], load=load, files=lambda _: (model,))
    at_hand = EnginesAtHand({"fake": kind}, most=2)
    joe, iris, emma = (fake_profile(tmp_path, name) for name in ("joe", "iris", "emma"))

    first = at_hand.kinds()["fake"].load(joe)
    assert at_hand.kinds()["fake"].load(joe) is first
    assert at_hand.kinds()["fake"].load(replace(joe, language="en-US")) is not first
    os.utime(model, ns=(1, 1))
    assert at_hand.kinds()["fake"].load(joe) is not first
    assert loaded == ["joe"] * 3

    for profile in (iris, emma, iris, joe):
        at_hand.kinds()["fake"].load(profile)
    assert loaded[3:] == ["iris", "emma", "joe"]
