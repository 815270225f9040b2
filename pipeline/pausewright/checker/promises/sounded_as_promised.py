"""How a track sounds against what is promised: tones by pitch and length, level, voices, pace."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.checker.limits.promised import (
    LOUDNESS_LU,
    PITCH_SHARE,
    RECORDING_S,
    RECORDING_SHARE,
)
from pausewright.checker.promises.differences import Difference
from pausewright.script.settings.settings_table import loudness_lufs
from pausewright.wording.line_elements import Excerpt, ToneCue

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator
    from pathlib import Path

    from numpy.typing import NDArray

    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.files.decoded_track import Kept
    from pausewright.checker.match.match import Matching
    from pausewright.checker.promises.events import Key, Said
    from pausewright.checker.promises.found import Found
    from pausewright.checker.promises.promise import Promise
    from pausewright.script.declared import ToneSpec

_LONGEST_S: Final = 2
"""Of a tone, this much tells its pitch."""


class SoundedAsPromised:
    """Compares tones, level, voices and pace with what is promised."""

    def __init__(
        self,
        promise: Promise,
        found: Found,
        expectation: Expectation,
        matching: Matching,
        rate_hz: int,
    ) -> None:
        """Keep both sides."""
        self._rate_hz = rate_hz
        self._promise = promise
        self._promised = promise.said()
        self._found = found
        self._sounds = expectation.sounds
        self._matching = matching
        self.n_tones = self.n_tones_measured = 0

    def tones(self, kept: Kept) -> Iterator[Difference]:
        """Give what of tones is not as promised, measured on the file."""
        for key, said in self._promised.items():
            specs = [spec for one in said for spec in one.tones]
            there = self._found.words[key].tones if key in self._found.words else []
            for spec, i in zip(specs, there, strict=False):
                self.n_tones += 1
                yield from self._tone(spec, i, kept)

    def _tone(self, spec: ToneSpec, i: int, kept: Kept) -> Iterator[Difference]:
        sound, span = self._sounds[i], self._matching.heard[i]
        element = sound.element
        if isinstance(element, ToneCue) and element.spec.tone_s != spec.tone_s:
            yield Difference(
                "promise-tone", None, "a tone is not as long as promised", sound.place,
                sound.question, spec.tone_s, element.spec.tone_s, "s",
            )  # fmt: skip
        if span is None or not self._matching.alone[i]:
            return
        end = min(span[1], span[0] + _LONGEST_S * kept.rate_hz)
        measured_hz = pitch_hz(kept.read(span[0], end)[:, 0], kept.rate_hz)
        if measured_hz is None:
            return
        self.n_tones_measured += 1
        if abs(measured_hz / float(spec.frequency_hz) - 1) > PITCH_SHARE:
            yield Difference(
                "promise-tone", None, "a tone does not have the promised pitch", sound.place,
                sound.question, float(spec.frequency_hz), round(measured_hz, 1), "Hz",
                Fraction(span[0], kept.rate_hz),
            )  # fmt: skip

    def recordings(self) -> Iterator[Difference]:
        """Give what of recordings is not as long as in their own files, at the promised pace."""
        promise, pace = self._promise, self._promise.arrangement.arranged_pace
        hidden_s = self._matching.tolerance.hidden_s
        for i, held in self._matching.recorded.items():
            element, span = self._sounds[i].element, self._matching.heard[i]
            if span is None or not self._matching.alone[i] or not isinstance(element, Excerpt):
                continue
            wanted_s = held.sound_s * element.sound.arranged_pace / pace
            measured_s = Fraction(span[1] - span[0], self._rate_hz)
            if abs(measured_s - wanted_s) > max(RECORDING_S, RECORDING_SHARE * wanted_s) + hidden_s:
                is_paced = promise.arrangement.pace is not None
                yield Difference(
                    "promise-pace" if is_paced else "promise-recording",
                    "pace" if is_paced else None,
                    "a recording is not as long as its own file"
                    + (" at the promised pace" if is_paced else ""),
                    self._sounds[i].place,
                    self._sounds[i].question,
                    wanted_s,
                    measured_s,
                    "s",
                    Fraction(span[0], self._rate_hz),
                )

    def level(self, measured_lufs: float | None, built_for_lufs: Fraction) -> Iterator[Difference]:
        """Give an error if another level than the promised one was built, or is measured.

        A declared `loudness` is refused where the speech is nearer to the standard track's level by
        more than meters differ.
        """
        promise = self._promise
        if built_for_lufs != promise.loudness_lufs:
            yield self._level_off(promise, float(built_for_lufs))
        elif promise.arrangement.loudness is not None and measured_lufs is not None:
            standard = float(loudness_lufs(promise.script.settings.loudness))
            asked = float(promise.loudness_lufs)
            if abs(measured_lufs - asked) - abs(measured_lufs - standard) > LOUDNESS_LU:
                yield self._level_off(promise, round(measured_lufs, 2))

    @staticmethod
    def _level_off(promise: Promise, measured: float) -> Difference:
        name = None if promise.arrangement.loudness is None else "loudness"
        return Difference(
            "promise-loudness", "loudness" if name else None,
            "the track is not as loud as promised", promise.place_of("loudness"), None,
            float(promise.loudness_lufs), measured, "LUFS",
        )  # fmt: skip

    def voices_and_pace(self) -> Iterator[Difference]:
        """Give what was voiced by another voice, or at another share of the standard pace."""
        promise, pace = self._promise, self._promise.arrangement.arranged_pace
        wrong_pace: list[Key] = []
        for key, said in self._promised.items():
            there = self._found.words.get(key)
            if there is None:
                continue
            asked = {one.voice for one in said if any(solid_chunk(one))} - {""}
            if asked and there.voices and asked != there.voices:
                yield Difference(
                    "promise-voice", "voice" if promise.arrangement.voice else None,
                    "another voice speaks than is promised", said[0].place, key[1],
                )  # fmt: skip
            if there.paces - {pace}:
                wrong_pace.append(key)
        if wrong_pace:
            key = wrong_pace[0]
            yield Difference(
                "promise-pace", "pace" if promise.arrangement.pace is not None else None,
                f"{len(wrong_pace)} of {len(self._promised)} stretches of sound were not made at "
                "the promised pace", promise.place_of("pace"), key[1],
            )  # fmt: skip


def solid_chunk(said: Said) -> Iterator[bool]:
    """Say of each chunk whether it has words."""
    for chunk in said.chunks:
        yield not isinstance(chunk, str) or bool(chunk.strip())


def judged_formats(promise: Promise, container: str, path: Path | None) -> Iterator[Difference]:
    """Give an error if a track has another format than the arrangement declares."""
    formats = promise.arrangement.formats
    if not formats or path is None or path.suffix == ".mp4":
        return
    if container.lower() not in formats:
        yield Difference(
            "promise-format", "format",
            f"the track is {container}; {', '.join(formats)} is declared",
            promise.place_of("format"),
        )  # fmt: skip


def judged_outputs(
    promise: Promise, endings: Collection[str], n_pieces: int
) -> Iterator[Difference]:
    """Give an error for each declared format or cut into pieces that was not delivered.

    `endings` are those of the tracks' names, without a point.
    """
    for name in promise.arrangement.formats:
        if name not in endings:
            yield Difference(
                "promise-format", "format", f"no track in the format {name} was delivered",
                promise.place_of("format"),
            )  # fmt: skip
    has_holds = any(one.kind == "hold" for one in promise.waited())
    if promise.arrangement.split is not None and has_holds and not n_pieces:
        yield Difference(
            "promise-split", "split", "no pieces of the track were delivered",
            promise.place_of("split"),
        )  # fmt: skip


def pitch_hz(wave: NDArray[np.float32], rate_hz: int) -> float | None:
    """Return the strongest frequency of a stretch; None where it is too short to tell.

    The peak of its spectrum (Hann window), refined by a parabola through the logarithms of three
    points: on sines from 60 Hz to 4 kHz over 0.05 s and more the largest error was under 0.5 %.
    """
    samples = np.asarray(wave, dtype=np.float64)
    if len(samples) < rate_hz // 50:
        return None
    n_fft = 1 << int(np.ceil(np.log2(len(samples) * 8)))
    power = np.abs(np.fft.rfft(samples * np.hanning(len(samples)), n_fft)) ** 2 + 1e-20
    power[: max(1, int(30 * n_fft / rate_hz))] = 1e-20
    k = int(np.argmax(power))
    if not 0 < k < len(power) - 1:
        return None
    a, b, c = (float(np.log(power[k + n])) for n in (-1, 0, 1))
    shift = 0.5 * (a - c) / (a - 2 * b + c) if a - 2 * b + c else 0.0
    return (k + shift) * rate_hz / n_fft
