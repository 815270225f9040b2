"""Faults of files, captions, chapters and editions: what is beside the sound or around it."""

from __future__ import annotations

import re
import struct
from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.captions.cues import cues
from pausewright.captions.webvtt import webvtt
from pausewright.plan.timeline import Say, Timeline

from support.spoiling.spoil import Dice, Spoiled, pick, plain
from support.spoiling.tracks import with_settings

if TYPE_CHECKING:
    from collections.abc import Callable

    from support.spoiling.tracks import GoodTrack

# ---- bytes -----------------------------------------------------------------------------------


def _edited(track: GoodTrack, edit: Callable[[bytes], bytes]) -> Spoiled:
    return replace(plain(track, track.wave), edit=edit)


def file_truncated(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Keep a share of the bytes; cut off `size` of them at least."""
    share = 1 - size - (0.9 - size) * float(dice.random()) ** 3
    return _edited(track, lambda data: data[: int(len(data) * share)])


def header_lies(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Write a wrong length into the header of a WAV or MP3 file."""
    factor = 1 + size if dice.random() < 0.5 else 1 / (1 + size)

    def edit(data: bytes) -> bytes:
        raw = bytearray(data)
        if data[:4] == b"RIFF":
            at = data.index(b"data") + 4
            (n,) = struct.unpack_from("<I", data, at)
            struct.pack_into("<I", raw, at, int(n * factor) & ~1)
        else:
            at = next(data.index(mark) for mark in (b"Info", b"Xing") if mark in data) + 8
            (n,) = struct.unpack_from(">I", data, at)
            struct.pack_into(">I", raw, at, int(n * factor) + (factor > 1))
        return bytes(raw)

    return _edited(track, edit)


def frames_of_mp3(data: bytes) -> list[tuple[int, int]]:
    """Return where the frames of an MP3 at a constant rate lie; the first one is its header."""
    at = next(data.index(mark) for mark in (b"Info", b"Xing") if mark in data)
    at = data.rindex(b"\xff\xfb", 0, at)
    kbps = (0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320)
    found = []
    while at + 4 <= len(data) and data[at] == 0xFF:
        n = 144_000 * kbps[data[at + 2] >> 4] // 44_100 + (data[at + 2] >> 1 & 1)
        found.append((at, at + n))
        at += n
    return found


def mp3_frame_lost(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Leave out `size` frames of an MP3 in the middle."""
    where = float(dice.uniform(0.1, 0.9))

    def edit(data: bytes) -> bytes:
        frames = frames_of_mp3(data)
        first = frames[int(len(frames) * where)]
        last = frames[int(len(frames) * where) + int(size) - 1]
        return data[: first[0]] + data[last[1] :]

    return _edited(track, edit)


def mp3_frame_corrupted(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Change `size` bytes of one frame of an MP3 that holds speech."""
    spoken = pick(dice, track.says())
    at_s = (spoken.start_sample + spoken.end_sample) / 2 / track.rate_hz
    noise = bytes(dice.integers(1, 255, int(size)).tolist())

    def edit(data: bytes) -> bytes:
        frames = frames_of_mp3(data)
        start, end = frames[min(len(frames) - 2, int(at_s * 44_100 / 1152) + 2)]
        at = start + 4 + (end - start - 4 - len(noise)) // 2
        part = bytes(a ^ b for a, b in zip(data[at : at + len(noise)], noise, strict=True))
        return data[:at] + part + data[at + len(noise) :]

    return _edited(track, edit)


def byte_changed(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Change `size` bytes of a compressed file, in its last four fifths."""
    where = dice.uniform(0.2, 0.98, int(size)).tolist()

    def edit(data: bytes) -> bytes:
        raw = bytearray(data)
        for share in where:
            raw[int(len(raw) * share)] ^= 0x55
        return bytes(raw)

    return _edited(track, edit)


# ---- captions --------------------------------------------------------------------------------

_TIME = re.compile(r"(?m)^((?:\d+:)?\d\d:\d\d[.,]\d{3}) --> ((?:\d+:)?\d\d:\d\d[.,]\d{3})")


def _ms(text: str) -> int:
    *head, tail = re.split(r"[:]", text)
    whole = 0
    for part in head:
        whole = whole * 60 + int(part)
    return whole * 60_000 + round(float(tail.replace(",", ".")) * 1000)


def _stamp(ms: int) -> str:
    return f"{ms // 3_600_000:02d}:{ms // 60_000 % 60:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"


def _moved(vtt: str, start_ms: int, end_ms: int, only: int | None = None) -> str:
    count = iter(range(10**6))

    def move(found: re.Match[str]) -> str:
        if only is not None and next(count) != only:
            return found[0]
        start, end = max(0, _ms(found[1]) + start_ms), _ms(found[2]) + end_ms
        return f"{_stamp(start)} --> {_stamp(max(end, start + 1))}"

    return _TIME.sub(move, vtt)


def _n_cues(track: GoodTrack) -> int:
    return len(_TIME.findall(track.vtt))


def _captioned(track: GoodTrack, vtt: str) -> Spoiled:
    return replace(plain(track, track.wave), vtt=vtt)


def captions_early(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Move all captions to an earlier time by `size` seconds."""
    del dice
    return _captioned(track, _moved(track.vtt, -int(size * 1000), -int(size * 1000)))


def captions_late(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Move all captions to a later time by `size` seconds."""
    del dice
    return _captioned(track, _moved(track.vtt, int(size * 1000), int(size * 1000)))


def caption_hangs(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Let the last caption before an answer time stand `size` seconds into it."""
    wait = pick(dice, [w for w in track.waits() if getattr(w.step, "kind", "") == "answer-time"])
    at_ms = wait.start_sample * 1000 // track.rate_hz
    ends = [_ms(end) for _, end in _TIME.findall(track.vtt)]
    which = min(range(len(ends)), key=lambda i: abs(ends[i] - at_ms))
    return _captioned(track, _moved(track.vtt, 0, int(size * 1000), only=which))


def captions_overlap(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Let one caption start before the one before it ends, by `size` seconds of its speech."""
    which = int(dice.integers(1, _n_cues(track)))
    return _captioned(track, _moved(track.vtt, -int(size * 1000), 0, only=which))


def captions_malformed(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Break one rule of WebVTT."""
    del size
    ways = (
        lambda vtt: _TIME.sub(lambda f: f[0].replace(".", ","), vtt, count=1),
        lambda vtt: vtt.replace("WEBVTT", "WEBVT", 1),
        lambda vtt: vtt.replace(" --> ", "-->", 1),
        lambda vtt: _TIME.sub(lambda f: f"{f[2]} --> {f[1]}", vtt, count=1),
        lambda vtt: re.sub(r"(?m)^(\w.*)\Z", r"\1 & more", vtt.rstrip("\n")),
    )
    return _captioned(track, ways[int(dice.integers(len(ways)))](track.vtt))


def caption_leaks(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Write an answer into a caption."""
    del size
    lines = track.vtt.split("\n")
    texts = [i for i, line in enumerate(lines) if i and "-->" in lines[i - 1]]
    at = texts[int(dice.integers(len(texts)))]
    lines[at] += f" {int(dice.integers(10, 400))}"
    return _captioned(track, "\n".join(lines))


def caption_withheld(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Show all captions for a script that shows only its instructions."""
    del dice, size
    text = track.script.read_text(encoding="utf-8")
    text = text.replace("captions: everything\ncaptions-reason: made for tests\n", "")
    return replace(_captioned(track, track.vtt), text=text)


def caption_missing(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Leave out one caption."""
    del size
    blocks = track.vtt.rstrip("\n").split("\n\n")
    cues = [i for i, block in enumerate(blocks) if "-->" in block]
    del blocks[cues[int(dice.integers(len(cues)))]]
    return _captioned(track, "\n\n".join(blocks) + "\n")


def caption_words(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Exchange the words of two captions."""
    del size
    blocks = track.vtt.rstrip("\n").split("\n\n")
    cues = [i for i, block in enumerate(blocks) if "-->" in block]
    order = dice.permutation(len(cues)).tolist()
    mine = cues[order[0]]
    words = blocks[mine].partition("\n")[2].split("\n")[-1]
    other = next(
        (cues[i] for i in order[1:] if blocks[cues[i]].split("\n")[-1] != words), cues[order[1]]
    )
    a, b = blocks[mine].split("\n"), blocks[other].split("\n")
    timed_a = next(i for i, line in enumerate(a) if "-->" in line)
    timed_b = next(i for i, line in enumerate(b) if "-->" in line)
    blocks[mine] = "\n".join([*a[: timed_a + 1], *b[timed_b + 1 :]])
    blocks[other] = "\n".join([*b[: timed_b + 1], *a[timed_a + 1 :]])
    return _captioned(track, "\n\n".join(blocks) + "\n")


def _counted(track: GoodTrack) -> Spoiled:
    """Return a track with a countdown in its captions, as declared."""
    text = track.script.read_text(encoding="utf-8")
    found = cues(Timeline(track.rate_hz, track.placed), countdown="{time} left")
    vtt = webvtt(found, language=track.worded.script.settings.language)
    return replace(_captioned(track, vtt), text=with_settings(text, {"countdown": "shown"}))


def _counts(vtt: str) -> list[int]:
    """Return which of all cues are of a countdown."""
    texts = re.findall(r"(?m)-->.*\n(.*)", vtt)
    return [at for at, text in enumerate(texts) if text.endswith(" s left")]


def countdown_wrong(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Let one cue of a countdown come `size` seconds before or after its time."""
    good = _counted(track)
    counts = _counts(good.vtt or "")
    by_ms = int(size * 1000) * (1 if dice.random() < 0.5 else -1)
    which = counts[int(dice.integers(len(counts)))]
    return replace(good, vtt=_moved(good.vtt or "", by_ms, by_ms, only=which))


def countdown_outside(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Let a countdown stand `size` seconds into the words after it."""
    good = _counted(track)
    counts = _counts(good.vtt or "")
    ends = [at for at in counts if at + 1 not in counts]
    which = ends[int(dice.integers(len(ends)))]
    return replace(good, vtt=_moved(good.vtt or "", 0, int(size * 1000), only=which))


def countdown_undeclared(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Count down where the script declares no countdown."""
    del dice, size
    return replace(_counted(track), text=None)


def srt_wrong(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Move the SubRip captions alone by `size` seconds."""
    del dice

    def move(found: re.Match[str]) -> str:
        times = [_stamp(_ms(found[i]) + int(size * 1000)).replace(".", ",") for i in (1, 2)]
        return f"{times[0]} --> {times[1]}"

    return replace(plain(track, track.wave), srt=_TIME.sub(move, track.srt))


# ---- tags ------------------------------------------------------------------------------------


def chapters_shifted(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Move all chapters by `size` seconds."""
    del dice
    return replace(plain(track, track.wave), chapters_shift_s=size)


def other_edition(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Carry the mark of another edition."""
    del dice, size
    return replace(plain(track, track.wave), edition="ZZ9ZZ")


def script_changed(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Change one answer time in the script after the track was built, by `size` seconds."""
    text = track.script.read_text(encoding="utf-8")
    questions = list(re.finditer(r'(?m)^\d+\. .*\{key="x"\}$', text))
    one = questions[int(dice.integers(len(questions)))]
    now = re.search(r'answer-time="([\d.]+) s"', text)
    assert now
    wait_s = float(now[1]) + size
    line = one[0].replace('{key="x"}', f'{{key="x" answer-time="{wait_s:g} s"}}')
    return replace(plain(track, track.wave), text=text[: one.start()] + line + text[one.end() :])


def script_readings(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Ask for one reading more in the script than the track has."""
    del dice, size
    text = track.script.read_text(encoding="utf-8")
    found = re.search(r"(?m)^readings: (\d)", text)
    assert found
    return replace(
        plain(track, track.wave), text=text.replace(found[0], f"readings: {int(found[1]) + 1}")
    )


def says(track: GoodTrack) -> int:
    """Return how many sounds a track has."""
    return sum(isinstance(p.step, Say) for p in track.placed)
