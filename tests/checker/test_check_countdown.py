"""The countdown of answer times in captions, against silences that are measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from pausewright.checker.limits.shown import COUNTDOWN_OFF_S as OFF_S
from support.tracks.caption_tracks import Shown, Track, allowed, judged, made_track
from support.tracks.checker_tracks import SCRIPT

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

DECLARED = SCRIPT.replace("readings: 2\n", "readings: 2\ncountdown: shown\n", 1)
QUESTION = "How many legs have two spiders?"
"""The first one; its answer time of 5 s comes after its second reading."""


@pytest.fixture(scope="module")
def track(tmp_path_factory: pytest.TempPathFactory) -> Track:
    """Return a good track of a script that declares the countdown."""
    return made_track(tmp_path_factory.mktemp("track"), DECLARED)


def counted(track: Track) -> list[list[Shown]]:
    """Return the countdowns of the eight answer times, worked out by hand: 5 s and 8.5 s."""
    found: list[list[Shown]] = []
    for at, (words, _, end) in enumerate(track[2]):
        is_last_reading = at >= 2 and track[2][at - 1][0] == words and words.endswith(("?", "."))
        if is_last_reading and not words.startswith("Number"):
            answer_s = 5.0 if len(found) < 4 else 8.5
            over_s = end + answer_s
            found.append(
                [(f"{n} s left", over_s - n, over_s - n + 1) for n in range(int(answer_s), 0, -1)]
            )
    return found


def in_order(*cues: list[Shown]) -> list[Shown]:
    """Return all cues by their starts."""
    return sorted((cue for some in cues for cue in some), key=lambda cue: cue[1])


def test_a_declared_countdown_is_good(track: Track, tmp_path: Path) -> None:
    """Each second of each answer time, shown when it is left, gives no finding."""
    counts = counted(track)

    assert [len(count) for count in counts] == [5, 5, 5, 5, 8, 8, 8, 8]
    assert judged(track, tmp_path, in_order(allowed(track), *counts)) == []


@pytest.mark.parametrize(
    ("change", "codes"),
    [
        pytest.param(lambda w, a, b: (w, a + 0.15, b), {"countdown-wrong"}, id="late"),
        pytest.param(lambda w, a, b: (w, a - 0.15, b), {"countdown-wrong"}, id="early"),
        pytest.param(lambda w, a, b: (w, a + 0.07, b), set(), id="right-within-100-ms"),
        pytest.param(
            lambda _, a, b: ("1 min 3 s left", a, b), {"countdown-wrong"}, id="another-time"
        ),
        pytest.param(lambda _, a, b: ("3 left", a, b), {"caption-words"}, id="no-time"),
        pytest.param(lambda w, a, b: (w, a, b + 2.2), {"countdown-outside"}, id="runs-into-speech"),
        pytest.param(
            lambda w, a, b: (w, a - 6, b - 6), {"countdown-outside"}, id="while-it-is-asked"
        ),
    ],
)
def test_a_spoiled_cue(
    track: Track, tmp_path: Path, change: Callable[[str, float, float], Shown], codes: set[str]
) -> None:
    """One cue of the first countdown that says or does something else is found."""
    counts = counted(track)
    counts[0][2] = change(*counts[0][2])
    found = set(judged(track, tmp_path, in_order(allowed(track), *counts)))

    assert {code for code in found if code not in {"caption-overlap", "countdown-missing"}} == codes


def test_a_time_that_stands_too_long(track: Track, tmp_path: Path) -> None:
    """What was right when it appeared is not right for the rest of an answer time."""
    counts = counted(track)
    counts[5] = [(words, start, start + 8) for words, start, _ in counts[5][:1]]
    assert judged(track, tmp_path, in_order(allowed(track), *counts)) == []

    words, start, _ = counts[7][0]
    counts[7][0] = (words, start, start + 10.2)
    found = judged(track, tmp_path, in_order(allowed(track), *counts))
    assert found.count("countdown-wrong") == 1


def test_a_countdown_that_stops(track: Track, tmp_path: Path) -> None:
    """An answer time without its countdown, or with a half of it, is told."""
    counts = counted(track)
    counts[1] = []
    counts[6] = counts[6][:4]

    assert judged(track, tmp_path, in_order(allowed(track), *counts)) == ["countdown-missing"] * 2


def test_none_is_owed_where_there_are_no_captions_at_all(track: Track, tmp_path: Path) -> None:
    """A file without any cue of it misses it in every answer time."""
    assert judged(track, tmp_path, allowed(track)) == ["countdown-missing"] * 8


def test_an_undeclared_countdown_is_found(tmp_path: Path) -> None:
    """Nothing timed may be shown unless the script declares it."""
    plain = made_track(tmp_path)

    found = judged(plain, tmp_path, in_order(allowed(plain), *counted(plain)))

    assert set(found) == {"countdown-undeclared"}


def test_words_that_are_said_are_no_countdown(tmp_path: Path) -> None:
    """An instruction that is shown as "5 s left" while it is heard is a caption like any other."""
    text = SCRIPT.replace("Turn your sheet over.", '[Turn your sheet over.]{shown="5 s left"}')
    plain = made_track(tmp_path, text)
    cues = [
        ("5 s left" if words == "Turn your sheet over." else words, start, end)
        for words, start, end in allowed(plain)
    ]

    assert judged(plain, tmp_path, cues) == []


def test_the_tolerance_is_that_of_players() -> None:
    """A shown time is right within 100 ms (ETSI EN 301 549, 7.1.2; check value EN-01)."""
    assert float(OFF_S) == 0.1
