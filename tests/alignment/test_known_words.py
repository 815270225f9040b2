"""Words of people whose times others have published: does each begin where they say?

`mary` and `bobby` of the source package of `praatio` 6.2.2 (MIT; words set by hand) and the sonnet
of the source package of `aeneas-ng` 1.7.4.0 (AGPL; a reading for LibriVox with the times of its
lines). Both are fetched by the test and not shipped.
"""

from __future__ import annotations

import csv
import re
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest
import soundfile
import soxr
from pausewright.alignment.forced_times import RATE_HZ, forced_times
from pausewright.alignment.known_words import settled, times_of_words
from pausewright.alignment.phone_words import spoken_words
from pausewright.alignment.spectrum import spectrum
from pausewright.alignment.speech import Stretch, sounding
from pausewright.alignment.word_times import TimedWord
from support.voices.outside_recordings import source_package

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

WORD_MS, END_MS, LINE_MS, MOST_MS = 100, 40, 250, 300
LATE_MS = 300
"""How long before a pause the label of the line behind it may stand."""


def samples_of(file: Path) -> NDArray[np.int16]:
    """Return a recording at the rate of the aligner."""
    wave, rate_hz = soundfile.read(file, dtype="float32")
    found: NDArray[np.int16] = np.rint(soxr.resample(wave, rate_hz, RATE_HZ) * 32767).astype(
        np.int16
    )
    return found


def labelled(file: Path) -> list[tuple[int, int, str]]:
    """Return start and end, in ms, and the letters of each word of a TextGrid, in either form."""
    plain = re.sub(
        r"\w+ = |\w+ \[\d+\]:|item \[\]:|intervals: size = ", "", file.read_text("utf-8")
    )
    rows = re.findall(r'(?m)^\s*([\d.]+)\s*\n\s*([\d.]+)\s*\n\s*"([A-Za-z]{3,})"', plain)
    return [(round(1000 * float(a)), round(1000 * float(b)), word) for a, b, word in rows]


@pytest.mark.voice
@pytest.mark.parametrize(("clip", "grid"), [("mary", "mary"), ("bobby", "bobby_words")])
def test_words_begin_where_their_labels_say(clip: str, grid: str) -> None:
    """Each of eight words within 100 ms, the first one and the end of the last within 40 ms."""
    files = source_package("praatio", "6.2.2") / "examples" / "files"
    rows = labelled(files / f"{grid}.TextGrid")
    assert len(rows) == 4
    (said,) = spoken_words([" ".join(word for _, _, word in rows)])
    found = times_of_words(samples_of(files / f"{clip}.wav"), RATE_HZ, said)

    starts = [start for start, _, _ in rows]
    assert [one.start_ms for one in found] == pytest.approx(starts, abs=WORD_MS)
    assert found[0].start_ms == pytest.approx(starts[0], abs=END_MS)


@pytest.fixture(scope="module")
def sonnet() -> tuple[NDArray[np.int16], list[str], list[tuple[int, int]]]:
    """Return a reading of 53 s, its lines, and between which times each line lies, in ms."""
    files = source_package("aeneas-ng", "1.7.4.0") / "aeneas" / "tools" / "res"
    with (files / "sonnet.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    lines = ["One.", *(row[3] for row in rows[1:])]
    times = [(round(1000 * float(row[1])), round(1000 * float(row[2]))) for row in rows]
    assert len(lines) == 15
    return samples_of(files / "audio.wav"), lines, times


@pytest.mark.voice
def test_lines_of_a_passage_begin_where_their_labels_say(
    sonnet: tuple[NDArray[np.int16], list[str], list[tuple[int, int]]],
) -> None:
    """Fourteen lines, half of them without a pause before: thirteen within 0.25 s, all within 0.3.

    A label stands anywhere in the pause before its line, or shortly before that pause: there the
    line begins where the pause ends, by the sound alone. The one that is 0.28 s late begins with a
    breath and an f of 0.35 s. Without the aligner lines were off by up to 1.6 s.
    """
    samples, lines, times = sonnet
    shape = spectrum(samples, RATE_HZ)
    pauses = sounding(shape, len(samples) * 1000 // RATE_HZ).gaps()
    rows = spoken_words(lines)
    found = times_of_words(samples, RATE_HZ, [word for row in rows for word in row])
    at, off_ms = 0, []
    for row, (label_ms, _) in zip(rows, times, strict=True):
        begins_ms = found[at].start_ms
        at += len(row)
        inside = [end for start, end in pauses if start - LATE_MS <= label_ms <= end + LATE_MS]
        true_ms = inside[0] if inside else label_ms
        off_ms.append(begins_ms - true_ms)

    assert max(map(abs, off_ms[1:])) <= MOST_MS, off_ms
    assert sum(abs(off) <= LINE_MS for off in off_ms[1:]) >= 13, off_ms
    assert all(a.start_ms <= a.end_ms <= b.start_ms for a, b in pairwise(found))


@pytest.mark.voice
def test_what_was_aligned_before_changes_nothing() -> None:
    """The aligner keeps nothing between passages: the same bytes, whatever came first."""
    files = source_package("praatio", "6.2.2") / "examples" / "files"
    (mary,), (bobby,) = (
        spoken_words(["Mary rolled the barrel."]),
        spoken_words(["Bobby ripped the ledger."]),
    )
    one, other = samples_of(files / "mary.wav"), samples_of(files / "bobby.wav")
    first = forced_times(one, mary)

    assert first is not None
    assert forced_times(other, bobby) is not None
    assert forced_times(one, mary) == first


def timed(starts_ms: list[int]) -> list[TimedWord]:
    """Return words of 200 ms."""
    return [TimedWord(str(at), at, at + 200, 60) for at in starts_ms]


def test_where_both_ways_disagree_the_aligner_is_believed() -> None:
    """The third word is learned 0.9 s late; it begins where the silence beside it ends."""
    stretches = [Stretch(100, 900, 20, 25, 0.0), Stretch(1200, 2600, 20, 25, 0.0)]
    learned = timed([110, 400, 2100, 2300])
    forced = [(80, 380), (410, 880), (1170, 1500), (2200, 2580)]
    found = settled(learned, forced, stretches)

    assert [one.start_ms for one in found] == [100, 400, 1200, 2300]
    assert found[-1].end_ms == 2600
    assert found[2].within_ms > found[1].within_ms


def test_nothing_is_said_before_the_first_sound_or_after_the_last() -> None:
    """The aligner begins at the file's first frame and ends at its last, however silent they are.

    Of 30 passages of a person's words four began, and one ended, 0.4 to 0.5 s in the silence.
    """
    stretches = [Stretch(500, 1100, 20, 25, 0.0), Stretch(1400, 2600, 20, 25, 0.0)]
    learned = timed([510, 800, 1405, 2300])
    forced = [(0, 790), (800, 1090), (1410, 2100), (2000, 3100)]
    found = settled(learned, forced, stretches)

    assert [one.start_ms for one in found] == [500, 800, 1405, 2000]
    assert found[-1].end_ms == 2600
