"""The room screen: one page that plays one track in the room.

It is the invigilator's screen, and in a second window the candidates'. It holds the track's
times, the list of parts and questions by their numbers, what a stop at each place means, and the
captions that the script allows. It holds no other word of the script and no staff note: what is
withheld from candidates is not in its source. The audio lies beside it, or inside it on request.
"""

from __future__ import annotations

import base64
import hashlib
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import sha256_of
from pausewright.problems import OutputError
from pausewright.screen.screen_page import page_data, screen_page
from pausewright.screen.screen_places import places
from pausewright.screen.where_table import where_table
from pausewright.wording.screen_words import screen_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from pausewright.captions.cues import Cue
    from pausewright.plan.timeline import Timeline
    from pausewright.records.shapes import WhereRow
    from pausewright.screen.screen_places import Places, Stretch
    from pausewright.script.model import Script

Sound: TypeAlias = Literal["beside", "inline"]
"""Whether the page finds its audio in a file beside it or holds it."""

LARGEST_INLINE_BYTES: Final = 64_000_000
"""A page that holds more is too large for browsers: one of 140 MB crashed Chromium."""

_TYPES: Final = {".mp3": "audio/mpeg", ".wav": "audio/wav", ".flac": "audio/flac"}
_EXACT: Final = (".flac", ".wav", ".mp3")
"""Browsers enter FLAC and WAV at the exact place, MP3 not."""
MP3_LATE_MS: Final = 100
"""How much later than asked for a browser may go on in an MP3.

Measured in Chromium on tracks of 20 minutes at 96 kbit/s: 11 to 85 ms later, never earlier; FLAC
under 0.5 ms. (It counts frames of 26 ms and forgets the encoder's delay.)
"""


def played_track(tracks: Sequence[Path]) -> Path:
    """Return which of the files of one track a page should play: the one browsers enter exactly."""
    return min(tracks, key=lambda track: _EXACT.index(track.suffix))


def room_screen(
    script: Script,
    timeline: Timeline,
    cues: Sequence[Cue],
    track: Path,
    *,
    label: str,
    edition: str,
    sound_check: Path | None = None,
    sound: Sound = "beside",
) -> str:
    """Return the page as HTML text, to be written in UTF-8 beside `track`.

    Parameters
    ----------
    cues : the captions that candidates may see
    track : the finished audio
    label, edition : as on the other papers
    sound_check : what is heard before the start; None: the page has a tone

    Raises
    ------
    OutputError
        If the audio cannot be read, or is too large to be held by a page.
    """
    sha256, contents = _read(track, sound)
    checked = b""
    if sound_check is not None:
        checked = _read(sound_check, sound)[1]
    data = {
        **_data(script, timeline, cues),
        "id": sha256[:16],
        "sha256": sha256,
        "name": track.stem,
        "track": track.name,
        "check": "" if sound_check is None else sound_check.name,
        "late_ms": MP3_LATE_MS if track.suffix == ".mp3" else 0,
        "type": _TYPES[track.suffix],
    }
    return screen_page(
        "room",
        script,
        data,
        label=label,
        edition=edition,
        is_practice=script.settings.use == "practice",
        words=screen_words(script.settings.language),
        has_captions=bool(cues),
        shows_time=script.settings.show_time,
        track=track.name,
        audio=base64.b64encode(contents).decode(),
        check="" if sound_check is None else sound_check.name,
        check_audio=base64.b64encode(checked).decode(),
        data_sum=hashlib.sha256(page_data(data).encode()).hexdigest(),
    )


def _read(track: Path, sound: Sound) -> tuple[str, bytes]:
    """Return the hash of a sound's bytes, and the bytes if they are to stand inside the page."""
    try:
        n_bytes = track.stat().st_size
        if sound == "inline" and n_bytes > LARGEST_INLINE_BYTES:
            raise OutputError(
                f"‘{track.name}’ is too large to stand inside a page "
                f"({n_bytes / 1e6:.0f} MB, at most {LARGEST_INLINE_BYTES / 1e6:.0f})",
                "build without --screen inline: the page plays the file beside it",
            )
        sha256 = sha256_of(track, kind=BUILT_FILE)
        return sha256, track.read_bytes() if sound == "inline" else b""
    except OSError as error:
        raise OutputError(
            f"‘{track}’ cannot be read ({error.strerror or error})", "build it again"
        ) from error


def _data(script: Script, timeline: Timeline, cues: Sequence[Cue]) -> dict[str, object]:
    where = places(script, timeline)
    spoken = screen_words(script.settings.language)
    words = spoken.words
    return {
        "words": {**words, "language": spoken.language},
        "length_ms": where.length_ms,
        "practice": script.settings.use == "practice",
        "stretches": [
            [
                one.start_ms,
                one.end_ms,
                one.sentence,
                one.back_ms,
                one.part,
                _asked(one, words),
                one.doing,
            ]
            for one in where.stretches
        ],
        "entries": _entries(where),
        "halts": [[h.start_ms, h.end_ms, h.title, h.is_counted, h.is_answer] for h in where.halts],
        "turns": [turn.start_ms for turn in where.turns],
        "silences": [
            [s.start_ms, s.end_ms, words[s.kind]]
            for s in where.silences
            if script.settings.show_time
        ],
        "cues": [[c.start_ms, c.end_ms, _lines(c)] for c in cues],
        "where": [page_row(one) for one in where_table(script, timeline)],
    }


def page_row(one: WhereRow) -> list[object]:
    """Return what a stop in one stretch means, as the page holds it (`Where` in incident.js)."""
    span: list[object] = [one.start_ms, one.end_ms, one.happens, one.name]
    return [*span, one.back_ms, one.back_to, one.resume_ms]


def _asked(one: Stretch, words: Mapping[str, str]) -> list[object] | None:
    """Return what is asked in a stretch, as candidates read it."""
    if one.asked is None:
        return None
    name = words[one.asked.name.lower().replace(" ", "-")]
    return [name, one.asked.number, one.asked.n_questions]


def _entries(where: Places) -> list[tuple[str, str, int]]:
    """Return the list of parts, questions, stops and page turns, by their times.

    A stop stands at the time at which its silence begins, as in the countdown to it and on the
    running sheet.
    """
    holds = iter(where.halts)
    found: list[tuple[str, str, int]] = []
    for one in where.entries:
        start_ms = next(holds).start_ms if one.kind == "stop" else one.start_ms
        found.append((one.kind, one.title, start_ms))
    found += [("turn", "Page turn", one.start_ms) for one in where.turns]
    return sorted(found, key=lambda one: one[2])


def _lines(cue: Cue) -> list[str]:
    if not cue.named:
        return list(cue.lines)
    return [f"{cue.speaker}: {cue.lines[0]}", *cue.lines[1:]]
