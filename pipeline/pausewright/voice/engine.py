"""What an engine is: words in, raw sound out.

An engine is loaded only when something has to be voiced. `prepare` is called in one thread and
in order (pronunciation engines keep global state); `synthesise` from several threads at once.
Equal requests give bit-equal sound on one machine, whatever was voiced before or beside them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    import numpy as np
    from numpy.typing import NDArray

    from pausewright.voice.profile import VoiceProfile
    from pausewright.wording.line_elements import SpokenPart


@dataclass(frozen=True, slots=True)
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


@dataclass(frozen=True, slots=True)
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


@dataclass(frozen=True, slots=True)
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
        ),
        EngineKind(
            "hibari",
            _load_hibari,
            packages=("hibari-tts", "onnxruntime", "onnx", "numpy", "scipy"),
            files=lambda profile: (profile.model_file(),),
            slowest=0.5,
            fastest=2.0,
        ),
        EngineKind("recorded", _load_recorded, files=_recording_files, keeps_pace=True),
    )
    return {kind.name: kind for kind in kinds}


def _load_piper(profile: VoiceProfile) -> Engine:
    from pausewright.voice.piper import PiperEngine  # noqa: PLC0415  heavy

    _quieten_runtime()
    return PiperEngine(profile)


def _load_hibari(profile: VoiceProfile) -> Engine:
    from pausewright.voice.hibari import HibariEngine  # noqa: PLC0415  heavy

    _quieten_runtime()
    return HibariEngine(profile)


def _quieten_runtime() -> None:
    """Switch off what the runtime reports to Windows, where no variable does (`offline.TOLD`)."""
    import onnxruntime  # noqa: PLC0415  heavy

    onnxruntime.disable_telemetry_events()


def _load_recorded(profile: VoiceProfile) -> Engine:
    from pausewright.voice.recorded_voice import RecordedEngine  # noqa: PLC0415  reads sound files

    return RecordedEngine(profile)


def _recording_files(profile: VoiceProfile) -> tuple[Path, ...]:
    from pausewright.voice.recorded_voice import recording_files  # noqa: PLC0415

    return recording_files(profile)
