"""The bundled British voices: one large network with a table of styles for each speaker.

Repeatable: the network draws no random numbers, and the number of its threads is fixed. Its lengths
follow a speed for each symbol (`model_graph.pace_by_symbol`): the silence before the first sound
and the last sound are not slowed with the rest, because a slowed silence is heard as a word ("To
take nineteen"). Another take is another row of the speaker's table (`speaker_style`).
"""

from __future__ import annotations

import contextlib
import ctypes
import sys
import threading
from typing import TYPE_CHECKING, Final

import numpy as np
import onnxruntime

from pausewright.frozen import frozen
from pausewright.problems import VoiceError
from pausewright.voice.engine import RawTake
from pausewright.voice.join_pieces import joined
from pausewright.voice.kokoro_model import model
from pausewright.voice.long_utterances import pieces
from pausewright.voice.shared_load import SharedLoad
from pausewright.voice.speaker_style import read_style, style_row
from pausewright.voice.symbol_times import speeds, word_spans
from pausewright.voice.symbols import Speller, groups
from pausewright.voice.word_groups import by_word

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from pausewright.voice.engine import Request
    from pausewright.voice.profile import VoiceProfile

RATE_HZ: Final = 24_000
FRAME_SAMPLES: Final = 600
"""Lengths are counted in frames of 25 ms."""
MOST_SYMBOLS: Final = 250
"""Longer utterances are divided: memory grows with the length (1.2 GB at 380 symbols)."""


MOST_AT_ONCE: Final = 160
"""Symbols that are said at the same time; a longer piece is said while no other one is."""


THREADS: Final = 2
"""Threads for one utterance, so that a person who asks for one hears it sooner. Samples are those
that one thread gives."""


class _Room:
    """Lets threads in as long as what they say together is short: memory grows with it."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._n_symbols = 0

    @contextlib.contextmanager
    def taken(self, n_symbols: int) -> Iterator[None]:
        """Wait until there is room for so many symbols, and hold it meanwhile."""
        with self._changed:
            self._changed.wait_for(
                lambda: not self._n_symbols or self._n_symbols + n_symbols <= MOST_AT_ONCE
            )
            self._n_symbols += n_symbols
        try:
            yield
        finally:
            with self._changed:
                self._n_symbols -= n_symbols
                self._changed.notify_all()


@frozen
class Prepared:
    """An utterance as symbols of the network, in pieces that it can say at once."""

    pieces: tuple[str, ...]
    words: str
    """For messages."""
    setting: float
    take: int
    alone: tuple[str, ...] = ()
    """The symbols of each written word alone, where the groups of symbols are not as many."""


_ROOM: Final = _Room()
_NETWORK: Final[SharedLoad[str, onnxruntime.InferenceSession]] = SharedLoad()
"""The network, which all speakers share: it takes 0.2 GB."""


_MMAP_THRESHOLD: Final = -3
"""glibc's number for it (malloc.h: M_MMAP_THRESHOLD)."""
_LARGE_BYTES: Final = 1 << 20


def _give_back_large_blocks() -> None:
    """Let glibc return each large block to the system as soon as it is freed.

    Otherwise the size from which it does so grows with what is freed, up to 32 MB, and what two
    utterances leave behind lies between what the next ones need: 915 MB for a build in place of
    869. Other C libraries have no such setting.
    """
    if sys.platform == "linux" and hasattr(library := ctypes.CDLL(None), "mallopt"):
        library.mallopt(_MMAP_THRESHOLD, _LARGE_BYTES)


def _load(voice: str) -> onnxruntime.InferenceSession:
    _give_back_large_blocks()
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = THREADS
    # else threads that wait take processors from other utterances
    options.add_session_config_entry("session.intra_op.allow_spinning", "0")
    options.inter_op_num_threads = 1
    options.log_severity_level = 4
    # a pattern is one block for all of a run, kept for each length of an utterance
    options.enable_mem_pattern = False
    content = model(voice)
    try:
        session = onnxruntime.InferenceSession(content, options, providers=["CPUExecutionProvider"])
    except Exception as fault:  # the runtime's own exception classes are not public
        raise VoiceError(
            f"the model of the voice ‘{voice}’ cannot be loaded",
            "close other programs if memory is short",
        ) from fault
    # the class keeps the 92 MB that it was loaded from; nothing here needs them again
    vars(session).pop("_model_bytes", None)
    return session


def _freeing() -> onnxruntime.RunOptions:
    """Return the options of a run that gives back at its end what it needed for itself alone.

    Without them what a short utterance leaves lies between what a long one needs.
    """
    options = onnxruntime.RunOptions()
    options.add_run_config_entry("memory.enable_memory_arena_shrinkage", "cpu:0")
    return options


class KokoroEngine:
    """The loaded voice."""

    def __init__(self, profile: VoiceProfile) -> None:
        """Load weights, style and pronunciation tables; takes about two seconds.

        Raises
        ------
        VoiceError
            If a part is missing, damaged or not the known one.
        """
        self._name = profile.name
        self._styles = read_style(profile)
        self._speller = Speller(profile, speaks_others=True)
        self._session = _NETWORK.get("kokoro", lambda: _load(profile.name))

    def prepare(self, request: Request) -> Prepared:
        """Turn words into symbols; call it in one thread."""
        symbols = self._speller.symbols(request)
        return Prepared(
            pieces(symbols, MOST_SYMBOLS),
            request.words,
            request.setting,
            request.take,
            self._speller.alone(request, symbols),
        )

    def synthesise(self, prepared: object) -> RawTake:
        """Turn symbols into samples; safe in several threads."""
        if not isinstance(prepared, Prepared):
            raise TypeError(f"not prepared by this engine: {prepared!r}")
        said = [self._piece(piece, prepared) for piece in prepared.pieces]
        samples, spans = said[0] if len(said) == 1 else joined(said, RATE_HZ)
        if not samples.any():
            raise VoiceError(
                f"the voice ‘{self._name}’ gives no sound for ‘{prepared.words}’",
                'write it in words: [that]{say="the words"}',
            )
        found = [group for piece in prepared.pieces for group in groups(piece)]
        return RawTake(samples, RATE_HZ, by_word(spans, found, prepared.alone))

    def _piece(
        self, symbols: str, prepared: Prepared
    ) -> tuple[NDArray[np.float32], list[tuple[int, int]]]:
        numbers = self._speller.numbers
        tokens = [0, *(numbers[symbol] for symbol in symbols), 0]
        feed = {
            "tokens": np.array([tokens], np.int64),
            "style": style_row(self._styles, len(symbols), prepared.take),
            "speed": speeds(symbols, prepared.setting),
        }
        try:
            with _ROOM.taken(len(symbols)):
                samples, lengths = self._session.run(None, feed, _freeing())
        except Exception as fault:  # the runtime's own exception classes are not public
            raise VoiceError(
                f"the voice ‘{self._name}’ fails on ‘{prepared.words}’",
                "divide it into shorter sentences, or close other programs",
            ) from fault
        flat = np.ascontiguousarray(samples, dtype=np.float32).reshape(-1)
        return flat, word_spans(symbols, lengths.reshape(-1), FRAME_SAMPLES)
