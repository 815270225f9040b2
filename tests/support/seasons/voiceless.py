"""The voice without a model in place of every engine, in this process."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver import build_key, silent_engines
from pausewright.season import alike
from pausewright.voice import studio

from support.voices.fake_voice import FakeEngine, fake_engines

if TYPE_CHECKING:
    import pytest


def speak_without_models(patch: pytest.MonkeyPatch) -> FakeEngine:
    """Let one voice speak for every engine until the patch is undone; it counts."""
    made = FakeEngine(ramp_s=0.02)
    (kind,) = fake_engines(made).values()
    kinds = dict.fromkeys(("piper", "hibari", "kokoro", "recorded"), kind)
    for module in (studio, silent_engines, build_key, alike):
        patch.setattr(module, "built_in_engines", lambda: kinds)
    return made
