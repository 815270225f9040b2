"""Voices of the Piper kind: words to sounds by espeak-ng, sounds to samples by a network.

Repeatable: the network's noise is an input (see `model_graph`), made from the take number alone,
and every session computes in one thread, so that a take is the same in any order and beside any
number of workers. Loudness is left as it comes.
"""

from __future__ import annotations

import threading
import unicodedata
from typing import TYPE_CHECKING

import numpy as np
import onnxruntime

from pausewright.frozen import frozen
from pausewright.problems import VoiceError
from pausewright.voice.engine import RawTake
from pausewright.voice.join_pieces import joined
from pausewright.voice.model_graph import repeatable_model
from pausewright.voice.piper_config import BEGIN, END, PAD, read_config, speaker_number
from pausewright.voice.pronounce import Pronouncer, is_sound
from pausewright.voice.word_groups import by_word, group_ranges, heard_ranges, written_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from pausewright.voice.engine import Request
    from pausewright.voice.profile import VoiceProfile

_SEED = 20_250_311
_FIRST_NOISE = 2**20
_MOST_NOISE = 2**25


@frozen
class Prepared:
    """An utterance as sounds: one sequence of symbols a sentence."""

    sentences: tuple[tuple[str, ...], ...]
    words: str
    """For messages."""
    setting: float
    take: int
    alone: tuple[str, ...] = ()
    """The sounds of each written word alone, where the groups of sounds are not as many."""


class PiperEngine:
    """A loaded model."""

    def __init__(self, profile: VoiceProfile) -> None:
        """Load the model; takes about a second.

        Raises
        ------
        VoiceError
            If model or configuration is missing, damaged or of another kind.
        """
        self._name = profile.name
        self._config = read_config(profile)
        self._speaker = speaker_number(profile, self._config)
        model = repeatable_model(profile.model_file(), profile.place)
        self._noise_inputs = model.noise_inputs
        self._has_lengths = model.lengths_output is not None
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = 1
        options.inter_op_num_threads = 1
        options.log_severity_level = 4
        try:
            self._session = onnxruntime.InferenceSession(
                model.content, options, providers=["CPUExecutionProvider"]
            )
        except Exception as fault:  # the runtime's own exception classes are not public
            raise VoiceError(
                f"the model of the voice ‘{profile.name}’ cannot be loaded",
                "check that it is a Piper model and complete",
            ) from fault
        self._pronouncer = Pronouncer(profile.name, profile.language, self._config)
        self._noise: dict[tuple[int, int], NDArray[np.float32]] = {}
        self._noise_lock = threading.Lock()

    def prepare(self, request: Request) -> Prepared:
        """Turn words into sounds; call it in one thread."""
        sentences = self._pronouncer.sentences(request)
        n_words = len(written_words(request.spoken))
        alone: tuple[str, ...] = ()
        if self._has_lengths and n_words != sum(len(_groups(s)) for s in sentences):
            alone = self._pronouncer.alone(request)
        return Prepared(sentences, request.words, request.setting, request.take, alone)

    def synthesise(self, prepared: object) -> RawTake:
        """Turn sounds into samples; safe in several threads."""
        if not isinstance(prepared, Prepared):
            raise TypeError(f"not prepared by this engine: {prepared!r}")
        parts = [self._sentence(sentence, prepared) for sentence in prepared.sentences]
        rate_hz = self._config.sample_rate
        if len(parts) == 1:
            samples, spans = parts[0]
        else:
            samples, spans = joined(parts, rate_hz)
        if not samples.any():
            raise VoiceError(
                f"the voice ‘{self._name}’ gives no sound for ‘{prepared.words}’",
                'write it in words: [that]{say="the words"}',
            )
        groups = [group for sentence in prepared.sentences for group in _groups(sentence)]
        return RawTake(samples, rate_hz, by_word(spans, groups, prepared.alone))

    def _sentence(
        self, symbols: Sequence[str], prepared: Prepared
    ) -> tuple[NDArray[np.float32], list[tuple[int, int]]]:
        id_map = self._config.phoneme_id_map
        ids = [*id_map[BEGIN], *id_map[PAD]]
        starts = []
        for symbol in symbols:
            starts.append(len(ids))
            ids += [*id_map[symbol], *id_map[PAD]]
        starts.append(len(ids))
        ids += id_map[END]
        samples, lengths = self._run(ids, prepared)
        if lengths is None or len(lengths) != len(ids):
            return samples, []
        at = np.concatenate(([0], np.cumsum(lengths)))
        ranges = heard_ranges(symbols, _counts)
        return samples, [(int(at[starts[first]]), int(at[starts[end]])) for first, end in ranges]

    def _run(
        self, ids: Sequence[int], prepared: Prepared
    ) -> tuple[NDArray[np.float32], NDArray[np.int64] | None]:
        config = self._config
        scales = [config.noise_scale, prepared.setting, config.noise_w_scale]
        feed: dict[str, NDArray[np.generic]] = {
            "input": np.array([ids], dtype=np.int64),
            "input_lengths": np.array([len(ids)], dtype=np.int64),
            "scales": np.array(scales, dtype=np.float32),
        }
        if self._speaker is not None:
            feed["sid"] = np.array([self._speaker], dtype=np.int64)
        n_noise = _FIRST_NOISE
        while True:
            for place, name in enumerate(self._noise_inputs):
                feed[name] = self._bank(prepared.take, place, n_noise)
            try:
                result = self._session.run(None, feed)
            except Exception as fault:  # the runtime's own exception classes are not public
                # A sentence may need more noise than there is; a longer bank begins alike.
                n_noise *= 8
                if n_noise > _MOST_NOISE or not self._noise_inputs:
                    raise VoiceError(
                        f"the voice ‘{self._name}’ fails on ‘{prepared.words}’",
                        "divide it into shorter sentences",
                    ) from fault
            else:
                break
        samples: NDArray[np.float32] = result[0].reshape(-1)
        if not self._has_lengths:
            return samples, None
        return samples, (result[1].reshape(-1) * config.hop_length).astype(np.int64)

    def _bank(self, take: int, place: int, n_noise: int) -> NDArray[np.float32]:
        """Return normal noise for one input of one take, always the same."""
        with self._noise_lock:
            bank = self._noise.get((take, place))
            if bank is None or len(bank) < n_noise:
                source = np.random.default_rng([_SEED, take, place])
                bank = source.standard_normal(n_noise, dtype=np.float32)
                self._noise[take, place] = bank
            return bank


def _counts(symbol: str) -> bool:
    """Return whether a symbol belongs to a word: stress does, marks of phrasing do not."""
    return unicodedata.category(symbol[0])[0] != "P"


def _groups(symbols: Sequence[str]) -> list[str]:
    """Return the sounds of each group between blanks."""
    return [
        "".join(filter(is_sound, symbols[first:end]))
        for first, end in group_ranges(symbols, _counts)
    ]
