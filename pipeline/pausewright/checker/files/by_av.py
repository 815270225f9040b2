"""The other way to decode: FFmpeg's libraries, through PyAV.

It reads what libsndfile does not (M4A), and is the second opinion on everything else: how many
frames a file holds, and where in it sound begins. The checker's only module that imports `av`.
"""

from __future__ import annotations

import contextlib
import os
from fractions import Fraction
from typing import TYPE_CHECKING, Any, BinaryIO, NamedTuple, TypeAlias

from pausewright.intake.decoders import AV_OPTIONS
from pausewright.intake.file_kinds import TRACK
from pausewright.intake.plain_file import opened_sound
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path
    from types import ModuleType

    import numpy as np
    from av.audio.fifo import AudioFifo
    from av.filter.context import FilterContext
    from av.filter.graph import Graph
    from numpy.typing import NDArray

    Samples: TypeAlias = NDArray[np.float32]

# A stream of a coding that is not known has no decoder: PyAV then raises AttributeError.

CaptionSample: TypeAlias = tuple[Fraction, Fraction, bytes]
"""Start and end in seconds, and bytes, of one caption in a track of them."""

MOST_FRAMES_AT_ONCE = 1 << 20
"""A decoded frame with more samples than this is no sound of a track."""
_SCALES = {"s16": 2.0**15, "s32": 2.0**31, "u8": 2.0**7}


def _library() -> ModuleType:
    import av.filter  # noqa: PLC0415  heavy: only when a file is read in this way

    return av


class AvFile:
    """A file decoded by FFmpeg's libraries; reads like soundfile's, from the start and once."""

    def __init__(self, file: BinaryIO, name: str) -> None:
        """Take an opened file, which stays open, and what messages call it.

        Raises
        ------
        ValueError
            If it holds no sound that can be decoded.
        """
        av = _library()

        self._file = file
        self._name = name
        self._errors: tuple[type[Exception], ...] = (
            av.error.FFmpegError,
            OSError,
            ValueError,
            IndexError,
            AttributeError,
        )
        self.format = "M4A"
        self.subtype = ""
        try:
            file.seek(0)
            with av.open(file, "r", options=dict(AV_OPTIONS)) as container:
                stream = container.streams.audio[0]
                self.samplerate = int(stream.codec_context.sample_rate)
                self.channels = int(stream.codec_context.channels)
                length = stream.duration
                base = stream.time_base
                self.frames = 0
                if length is not None and base is not None:
                    self.frames = int(length * base * self.samplerate)
        except self._errors as why:
            raise ValueError(str(why)) from why
        self._blocks: Iterator[Samples] = iter(())
        self._held: list[Samples] = []
        self._n_held = 0
        self._stopped = ""
        """Why decoding stopped in the middle; told once what came before it is read."""

    def seek(self, frame: int) -> None:
        """Begin again; only `frame` 0 can be sought."""
        if frame:
            raise OSError("only the start can be sought")
        self._file.seek(0)
        self._blocks = decoded_from(self._file, self._name)
        self._held, self._n_held, self._stopped = [], 0, ""

    def read(self, n_frames: int, *, out: Samples, **_: object) -> Samples:
        """Fill `out` with the next frames at most and return what was filled.

        Raises
        ------
        OSError
            If decoding fails in the middle.
        """
        try:
            while self._n_held < n_frames and (block := next(self._blocks, None)) is not None:
                self._held.append(block)
                self._n_held += len(block)
        except TrackError as why:
            self._stopped = why.message
        if self._stopped and not self._n_held:
            raise OSError(self._stopped)
        at = 0
        while self._held and at < n_frames:
            block = self._held.pop(0)
            take = min(len(block), n_frames - at)
            if block.shape[1] != out.shape[1]:
                raise OSError("the number of channels changes within the file")
            out[at : at + take] = block[:take]
            if take < len(block):
                self._held.insert(0, block[take:])
            at += take
        self._n_held -= at
        return out[:at]

    def close(self) -> None:
        """Close the file."""
        with contextlib.suppress(*self._errors):
            getattr(self._blocks, "close", lambda: None)()


BATCH_FRAMES = 1 << 16


def decoded(path: Path) -> Iterator[Samples]:
    """Yield the samples of a file as FFmpeg's libraries decode them, some 65,000 frames at a time.

    Raises
    ------
    TrackError
        If the file cannot be decoded to its end; what comes before is yielded first.
    """
    with opened_sound(path, TRACK) as file:
        sink = _joined_inside(file)
        yield from decoded_from(file, path.name) if sink is None else _pulled(sink, path.name)


def _joined_inside(file: BinaryIO) -> _Sink | None:
    """Return where an opened file's sound comes out, decoded and joined inside the library.

    A loop of ours over its frames takes as long as their decoding. None where the library has not
    what is needed, or does not know what to do with the file: then it is read frame by frame.
    """
    av = _library()

    options = {**AV_OPTIONS, "protocol_whitelist": "fd", "fd": str(file.fileno())}
    at = os.lseek(file.fileno(), 0, os.SEEK_CUR)
    os.lseek(file.fileno(), 0, os.SEEK_SET)
    graph = av.filter.Graph()
    graph.threads = 1
    try:
        source = graph.add(
            "amovie",
            filename="fd:",  # the opened file itself: nothing is opened by a name
            streams="a:0",
            format_opts=":".join(f"{name}={value}" for name, value in options.items()),
        )
        joined = graph.add("asetnsamples", n=str(BATCH_FRAMES), p="0")
        sink = graph.add("abuffersink")
        graph.link_nodes(source, joined, sink).configure()
    except (av.error.FFmpegError, OSError, ValueError):
        os.lseek(file.fileno(), at, os.SEEK_SET)  # where the opened file takes it to be
        return None
    return _Sink(graph, sink, (av.error.FFmpegError, OSError, ValueError))


class _Sink(NamedTuple):
    """The end of a graph of filters."""

    graph: Graph
    """Held, because the end alone does not keep it."""
    end: FilterContext
    errors: tuple[type[Exception], ...]
    """Of the library, but for the one at the end of the sound."""


def _pulled(sink: _Sink, name: str) -> Iterator[Samples]:
    """Yield what comes out of a graph; raises as `decoded` does."""
    while True:
        try:
            frame = sink.end.pull()
        except EOFError:
            return
        except sink.errors as why:
            raise _stopped(name) from why
        yield _as_samples(frame)


def _stopped(name: str) -> TrackError:
    return TrackError(
        f"the second decoder cannot read ‘{name}’ to its end", "copy or build the track again"
    )


def decoded_from(file: BinaryIO, name: str) -> Iterator[Samples]:
    """Yield the samples of an opened file, which stays open; raises as `decoded` does."""
    av = _library()

    # frames are joined by the library: a block of ours for each costs as much as half the decoding
    joined = av.AudioFifo()
    stopped: Exception | None = None
    try:
        with av.open(file, "r", options=dict(AV_OPTIONS)) as container:
            for frame in container.decode(audio=0):
                if frame.samples > MOST_FRAMES_AT_ONCE:
                    raise ValueError("a frame is too long to be sound")
                frame.pts = None
                joined.write(frame)
                if joined.samples >= BATCH_FRAMES:
                    yield from _samples(joined)
    except (av.error.FFmpegError, OSError, ValueError, IndexError, AttributeError) as why:
        stopped = why
    yield from _samples(joined)
    if stopped is not None:
        raise _stopped(name) from stopped


def _samples(joined: AudioFifo) -> Iterator[Samples]:
    """Yield what waits in a FIFO, shape (n_frames, n_channels), full scale 1; nothing if empty."""
    frame = joined.read(0, partial=True) if joined.samples else None
    if frame is not None:
        yield _as_samples(frame)


def _as_samples(frame: Any) -> Samples:  # noqa: ANN401  a filter's frame may be of any kind
    """Return the sound of a frame, shape (n_frames, n_channels), full scale 1."""
    import numpy as np  # noqa: PLC0415

    raw = frame.to_ndarray()
    wave = raw.T if frame.format.is_planar else raw.reshape(frame.samples, -1)
    kind = frame.format.name.removesuffix("p")
    if kind in _SCALES:
        wave = (wave.astype(np.float64) - (128 if kind == "u8" else 0)) / _SCALES[kind]
    return np.ascontiguousarray(wave, dtype=np.float32)


def caption_samples(path: Path) -> list[list[CaptionSample] | None]:
    """Return what each track of captions holds; None for one that is no timed text.

    Nothing for a file that cannot be read.
    """
    av = _library()

    try:
        with (
            opened_sound(path, TRACK) as file,
            av.open(file, "r", options=dict(AV_OPTIONS)) as container,
        ):
            streams = container.streams.subtitles
            is_text = {one.index: one.codec_context.name == "mov_text" for one in streams}
            held: dict[int, list[CaptionSample]] = {one.index: [] for one in streams}
            for packet in container.demux(*streams) if streams else ():
                if packet.pts is not None and packet.time_base is not None:
                    start_s = packet.pts * packet.time_base
                    end_s = start_s + (packet.duration or 0) * packet.time_base
                    held[packet.stream_index].append((start_s, end_s, bytes(packet)))
            return [held[index] if is_text[index] else None for index in held]
    except (av.error.FFmpegError, OSError, ValueError, IndexError, AttributeError):
        return []


def listed_chapters(path: Path) -> list[tuple[Fraction, Fraction, str]]:
    """Return start and end in seconds and title of each chapter, by start; none if unreadable."""
    av = _library()

    try:
        with (
            opened_sound(path, TRACK) as file,
            av.open(file, "r", options=dict(AV_OPTIONS)) as container,
        ):
            return sorted(
                (one["start"] * base, one["end"] * base, one["metadata"].get("title", ""))
                for one in container.chapters()
                if (base := one["time_base"]) is not None
            )
    except (av.error.FFmpegError, OSError, ValueError, IndexError, AttributeError):
        return []


def onsets_differ(
    ours: Sequence[tuple[int, int]], theirs: Sequence[tuple[int, int]], within_frames: int
) -> tuple[int, int] | None:
    """Return the first starts of sound (ours, theirs) that lie further apart than allowed.

    Where one has more stretches than the other, the first that has no counterpart; None if all
    agree.
    """
    for mine, other in zip(ours, theirs, strict=False):
        if abs(mine[0] - other[0]) > within_frames:
            return mine[0], other[0]
    if len(ours) != len(theirs):
        more = ours if len(ours) > len(theirs) else theirs
        at = more[min(len(ours), len(theirs))][0]
        return at, at
    return None
