"""Damaged tracks: each fault is found, under its own name and at its place."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import pytest
from pausewright.checker.check import check_track
from support.tracks.checker_tracks import (
    NUMBERS,
    QUESTIONS,
    SCRIPT,
    Beep,
    Gap,
    Item,
    Say,
    gap,
    index,
    laid,
    layout,
    speech,
    worded,
    written,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from pausewright.checker.result.findings import CheckResult, Finding
    from pausewright.wording.worded import Worded


@dataclass(frozen=True)
class Fault:
    """A way to spoil a layout, and the finding that must come of it."""

    name: str
    spoil: Callable[[list[Item]], list[Item]]
    code: str
    question: str | None = None
    """Label that the finding must carry; None where it belongs to no question."""
    kind: str = ".wav"


def _shorter(tag: str, by_s: str) -> Callable[[list[Item]], list[Item]]:
    def spoil(items: list[Item]) -> list[Item]:
        at = index(items, tag)
        old = items[at]
        assert isinstance(old, Gap)
        return [*items[:at], Gap(old.wait_s - Fraction(by_s), tag), *items[at + 1 :]]

    return spoil


def _without(tag: str, count: int, nth: int = 1) -> Callable[[list[Item]], list[Item]]:
    def spoil(items: list[Item]) -> list[Item]:
        at = index(items, tag, nth)
        return items[:at] + items[at + count :]

    return spoil


def _put(tag: str, new: list[Item], offset: int = 0) -> Callable[[list[Item]], list[Item]]:
    def spoil(items: list[Item]) -> list[Item]:
        at = index(items, tag) + offset
        return items[:at] + new + items[at:]

    return spoil


def _instead(tag: str, new: list[Item], nth: int = 1) -> Callable[[list[Item]], list[Item]]:
    def spoil(items: list[Item]) -> list[Item]:
        at = index(items, tag, nth)
        return items[:at] + new + items[at + 1 :]

    return spoil


def _swapped_groups(items: list[Item]) -> list[Item]:
    first, page, last = index(items, "n1"), index(items, "page"), index(items, "n5")
    end = index(items, "answer 8") + 1
    return items[:first] + items[last:end] + items[page:last] + items[first:page] + items[end:]


def _swapped_words(items: list[Item]) -> list[Item]:
    swap = {"2": QUESTIONS[2], "3": QUESTIONS[1]}
    return [
        Say(swap[item.tag], item.tag) if isinstance(item, Say) and item.tag in swap else item
        for item in items
    ]


def _stretched(items: list[Item]) -> list[Item]:
    return [
        Gap(item.wait_s * 5 / 4, item.tag)
        if isinstance(item, Gap) and item.tag.startswith("answer")
        else item
        for item in items
    ]


OTHER_WORDS = (
    "A baker has twelve trays of fifteen rolls; how many rolls are there altogether?",
    "What is the perimeter of a square field whose sides are forty-five metres long?",
    "Halve it.",
    "Add two and two.",
    "Is it odd?",
    "Write down every whole number between thirty and forty that has no factor but one.",
    "Add six.",
    "Say nil.",
)


def _other_words(items: list[Item]) -> list[Item]:
    new = dict(zip(map(str, range(1, 9)), OTHER_WORDS, strict=True))
    return [
        Say(new[item.tag], item.tag) if isinstance(item, Say) and item.tag in new else item
        for item in items
    ]


def _short_words(items: list[Item]) -> list[Item]:
    at = index(items, "5", 2)
    return [*items[:at], Say(QUESTIONS[4][:60], "5"), *items[at + 1 :]]


FAULTS = (
    Fault("answer time 30 ms short", _shorter("answer 3", "0.03"), "silence-short", "3"),
    Fault("answer time 30 ms long", _shorter("answer 3", "-0.03"), "silence-long", "3"),
    Fault(
        "answer time 40 ms short on MP3",
        _shorter("answer 3", "0.04"),
        "silence-short",
        "3",
        kind=".mp3",
    ),
    Fault(
        "pause between readings 30 ms short", _shorter("between 6", "0.03"), "silence-short", "6"
    ),
    Fault("announcement pause 30 ms short", _shorter("announced 7", "0.03"), "silence-short", "7"),
    Fault("hold a second short", _shorter("hold", "1"), "silence-short"),
    Fault("page-turn time 30 ms short", _shorter("page time", "0.03"), "silence-short"),
    Fault("author's pause 50 ms short", _shorter("pause", "0.05"), "silence-short"),
    Fault("answer time gone", _without("answer 2", 1), "silence-missing", "2"),
    Fault("second reading dropped", _without("5", 2, 2), "reading-missing", "5"),
    Fault("both readings dropped", _without("5", 4), "reading-missing", "5"),
    Fault("question dropped", _without("n6", 6), "question-missing", "6"),
    Fault("last question dropped", _without("n8", 6), "question-missing", "8"),
    Fault("first question dropped", _without("n1", 6), "question-missing", "1"),
    Fault("announcement dropped", _without("n7", 2), "announcement-missing", "7"),
    Fault("introduction dropped", _without("intro", 2), "sound-missing"),
    Fault("line after the stop dropped", _without("continues", 2), "sound-missing"),
    Fault(
        "a third reading",
        _put("between 7", [gap("1.5"), Say(QUESTIONS[6])]),
        "reading-repeated",
        "7",
    ),
    Fault(
        "a question twice",
        _put(
            "n4",
            [
                Say("Number three."),
                gap("0.8"),
                Say(QUESTIONS[2]),
                gap("1.5"),
                Say(QUESTIONS[2]),
                gap("5"),
            ],
        ),
        "reading-repeated",
        "3",
    ),
    Fault(
        "a noise in an answer time",
        _instead("answer 6", [gap("3"), Say("oops"), gap("5.1")]),
        "sound-extra",
        "6",
    ),
    Fault("groups swapped", _swapped_groups, "silence-long", "3"),
    Fault("words of two questions swapped", _swapped_words, "length-impossible", "3"),
    Fault("another arrangement", _stretched, "arrangement-differs"),
    Fault("each of its gaps", _stretched, "silence-long", "8"),
    Fault("another script with the same silences", _other_words, "other-words"),
    Fault("a reading that stops early", _short_words, "readings-differ", "5"),
    Fault(
        "stop without its tone",
        lambda i: [x for x in i if not isinstance(x, Beep)],
        "sound-missing",
    ),
    Fault(
        "tone of another length",
        lambda i: [Beep(Fraction(1)) if isinstance(x, Beep) else x for x in i],
        "tone-differs",
    ),
    Fault("cut off in the last question", lambda i: i[: index(i, "8", 2)], "reading-missing", "8"),
    Fault("0.08 s more before the first sound", lambda i: [gap("0.08"), *i], "silence-long"),
    Fault("cut off after the last word", lambda i: i[:-1], "end-cut"),
    Fault(
        "a hole in a sentence",
        _instead("7", [Say("Which of the numbers"), gap("1.1"), Say("is on your sheet?")]),
        "silence-in-speech",
        "7",
    ),
)


@pytest.fixture(scope="module")
def script(tmp_path_factory: pytest.TempPathFactory) -> Worded:
    """Return the worded script of all tests here."""
    return worded(tmp_path_factory.mktemp("script"), SCRIPT)


def checked(folder: Path, script: Worded, items: list[Item], kind: str = ".wav") -> CheckResult:
    """Return what the check says about a layout."""
    rate_hz = 44_100 if kind == ".mp3" else 16_000
    track = written(folder / f"t{kind}", laid(items, rate_hz), rate_hz)
    return check_track(track, script, edition=None)


def shown(findings: tuple[Finding, ...]) -> list[tuple[str, str, float | None]]:
    """Return findings in short, for messages of failed tests."""
    return [
        (f.code, str(f.question or ""), None if f.at_s is None else float(f.at_s)) for f in findings
    ]


def found(fault: Fault, result: CheckResult) -> bool:
    """Return whether the fault was named, for the right question."""
    return any(
        f.code == fault.code and (fault.question is None or str(f.question or "") == fault.question)
        for f in result.findings
    )


@pytest.fixture(scope="module")
def tally() -> Iterator[list[bool]]:
    """Count the faults that are caught; prints the figure at the end."""
    caught: list[bool] = []
    yield caught
    print(f"caught {sum(caught)} of {len(caught)} faults")  # noqa: T201  belongs in the log


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_each_fault_is_found(
    fault: Fault, script: Worded, tally: list[bool], tmp_path: Path
) -> None:
    """A damaged track gives a finding with the code of its fault, at the question it is in."""
    result = checked(tmp_path, script, fault.spoil(layout()), fault.kind)
    tally.append(found(fault, result))

    assert tally[-1], shown(result.findings)


@pytest.mark.parametrize("kind", [".wav", ".flac", ".mp3"])
def test_a_good_track_has_no_finding_about_its_sound(
    kind: str, script: Worded, tmp_path: Path
) -> None:
    """An undamaged track passes in each format; MP3 and FLAC without chapters say so."""
    result = checked(tmp_path, script, layout(), kind)

    assert [f.code for f in result.findings] == ([] if kind == ".wav" else ["chapters-missing"])
    assert result.is_good


@pytest.mark.parametrize("by_s", ["-0.3", "0.05"])
def test_the_start_may_be_early_or_late_by_what_a_coder_delays(
    by_s: str, script: Worded, tmp_path: Path
) -> None:
    """The silence at the start is declared by nobody: shorter, or 50 ms longer, is no finding."""
    first, *rest = layout()
    assert isinstance(first, Gap)
    result = checked(tmp_path, script, [Gap(first.wait_s + Fraction(by_s), first.tag), *rest])

    assert result.findings == ()


@pytest.mark.parametrize("mp3_level", [0.25, 0.9])
def test_bit_rates(mp3_level: float, script: Worded, tmp_path: Path) -> None:
    """MP3 at 128 to 160 and at 56 to 64 kbit/s keeps every silence within 20 ms."""
    track = written(tmp_path / "t.mp3", laid(layout()), mp3_level=mp3_level)

    result = check_track(track, script, edition=None)

    judged = [row for row in result.silences if row.allowed_s is not None]
    assert all(abs(row.difference_s or Fraction(0)) <= Fraction(20, 1000) for row in judged)
    assert all(row.difference_s is not None for row in judged)
    assert result.is_good


def test_small_faults_stand_alone(script: Worded, tmp_path: Path) -> None:
    """A gap that is 30 ms short gives one finding and fails one question, and no other."""
    result = checked(tmp_path, script, _shorter("answer 3", "0.03")(layout()))

    (finding,) = result.findings
    assert [str(row.item) for row in result.rows if not row.is_good] == ["3"]
    assert finding.difference == pytest.approx(-0.03, abs=0.001)
    start_s = sum(
        len(speech(item.words, 16_000)) / 16_000 if isinstance(item, Say) else float(item.wait_s)
        for item in layout()[: index(layout(), "answer 3")]
        if not isinstance(item, Beep)
    )
    assert float(finding.at_s or 0) == pytest.approx(start_s + 0.4, abs=0.01)


def test_a_dropped_reading_is_one_finding(script: Worded, tmp_path: Path) -> None:
    """What follows from one fault is not told as many."""
    result = checked(tmp_path, script, _without("5", 2, 2)(layout()))

    assert [f.code for f in result.findings] == ["reading-missing"]
    assert [row.readings_found for row in result.rows] == [2, 2, 2, 2, 1, 2, 2, 2]


def test_random_damage_is_found(script: Worded, tmp_path: Path) -> None:
    """Forty random gaps, each off by 30 ms to 2 s either way, are all found; caught / total."""
    random = np.random.default_rng(7)
    good = layout()
    gaps = [
        i
        for i, item in enumerate(good)
        if isinstance(item, Gap) and item.wait_s >= Fraction(7, 10) and 0 < i < len(good) - 1
    ]
    caught = total = 0
    for _ in range(10):
        items = list(good)
        wanted = sorted(int(i) for i in random.choice(gaps, size=4, replace=False))
        for i in wanted:
            item = items[i]
            assert isinstance(item, Gap)
            by_s = Fraction(int(random.integers(30, 2000)), 1000)
            less = random.random() < 0.5 and item.wait_s - by_s > Fraction(3, 10)
            items[i] = Gap(item.wait_s + (-by_s if less else by_s), item.tag)
        result = checked(tmp_path, script, items)
        codes = [f.code for f in result.findings if f.code in {"silence-short", "silence-long"}]
        caught += len(codes)
        total += len(wanted)
    print(f"caught {caught} of {total}")  # noqa: T201  the figure belongs in the log
    assert caught == total


def test_numbers_of_all_questions_are_names() -> None:
    """The layout's number words are those of the script's eight questions."""
    assert len(NUMBERS) == len(QUESTIONS) == 8
