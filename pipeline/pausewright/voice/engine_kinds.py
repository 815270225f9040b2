"""The engines that profiles can name; what is heavy is imported when a voice has to speak."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.frozen import frozen
from pausewright.voice.kokoro_parts import PACKAGES as KOKORO_PACKAGES
from pausewright.voice.kokoro_parts import kokoro_parts

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from pausewright.voice.engine import Engine
    from pausewright.voice.profile import VoiceProfile


@frozen
class EngineKind:
    """An engine as the studio sees it before it is loaded."""

    name: str
    load: Callable[[VoiceProfile], Engine]
    """Raises VoiceError if the voice cannot be loaded."""
    packages: tuple[str, ...] = ()
    """Distributions whose versions determine the sound."""
    files: Callable[[VoiceProfile], tuple[Path, ...]] = lambda _: ()
    """Files whose bytes determine the sound."""
    slowest: float = 3.0
    """The setting beyond which the voice is not asked to go slower."""
    fastest: float = 0.5
    """The setting beyond which the voice is not asked to go faster."""
    natural: float = 1.0
    """Where calibration starts."""
    keeps_pace: bool = False
    """Whether it cannot speak faster or slower: recordings."""
    has_takes: bool = False
    """Whether another take of the same words is another sound: then one that will not do has a
    better one after it."""
    recipe: int = 1
    """Number of our own part in how it pronounces; part of the key under which sound is kept."""


def built_in_engines() -> Mapping[str, EngineKind]:
    """Return the engines that profiles can name; nothing heavy is imported."""
    kinds = (
        EngineKind(
            "piper",
            _load_piper,
            packages=("piper-tts", "onnxruntime", "onnx", "numpy"),
            files=lambda profile: (profile.model_file(), profile.config_file()),
            slowest=3.0,
            fastest=0.5,
            has_takes=True,
        ),
        EngineKind(
            "hibari",
            _load_hibari,
            packages=("hibari-tts", "onnxruntime", "onnx", "numpy"),
            files=lambda profile: (profile.model_file(),),
            slowest=0.5,
            fastest=2.0,
            has_takes=True,
            recipe=3,
        ),
        EngineKind(
            "kokoro",
            _load_kokoro,
            packages=(*KOKORO_PACKAGES, "hibari-tts", "piper-tts", "onnxruntime", "onnx", "numpy"),
            files=_kokoro_files,
            slowest=0.4,
            fastest=1.6,
            has_takes=True,
        ),
        EngineKind("recorded", _load_recorded, files=_recording_files, keeps_pace=True),
    )
    return {kind.name: kind for kind in kinds}


def _load_piper(profile: VoiceProfile) -> Engine:
    from pausewright.voice.piper import PiperEngine

    _quieten_runtime()
    return PiperEngine(profile)


def _load_hibari(profile: VoiceProfile) -> Engine:
    from pausewright.voice.hibari import HibariEngine

    _quieten_runtime()
    return HibariEngine(profile)


def _load_kokoro(profile: VoiceProfile) -> Engine:
    from pausewright.voice.kokoro import KokoroEngine

    _quieten_runtime()
    return KokoroEngine(profile)


def _kokoro_files(profile: VoiceProfile) -> tuple[Path, ...]:
    return (*kokoro_parts(profile.name), profile.style_file())


def _quieten_runtime() -> None:
    """Switch off what the runtime reports to Windows, where no variable of `offline` does."""
    import onnxruntime

    onnxruntime.disable_telemetry_events()


def _load_recorded(profile: VoiceProfile) -> Engine:
    from pausewright.voice.recorded_voice import RecordedEngine

    return RecordedEngine(profile)


def _recording_files(profile: VoiceProfile) -> tuple[Path, ...]:
    from pausewright.voice.recorded_voice import recording_files

    return recording_files(profile)
