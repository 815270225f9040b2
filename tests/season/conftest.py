"""What tests of seasons share: the voice without a model for every engine."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from support.seasons.voiceless import speak_without_models

if TYPE_CHECKING:
    from support.voices.fake_voice import FakeEngine


@pytest.fixture
def voice(monkeypatch: pytest.MonkeyPatch) -> FakeEngine:
    """Let one voice without a model speak for every engine in this process; it counts."""
    return speak_without_models(monkeypatch)
