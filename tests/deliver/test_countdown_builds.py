"""A declared countdown in whole builds: each arrangement's own times, in every file of captions."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from pausewright.checker.shown.caption_readers import read_captions
from pausewright.deliver.build import build_versions
from pausewright.problems import ScriptError
from support.browser.screen_pages import island
from support.scripts.versions import options, written

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build import Built

TEXT = """---
title: Tide tables
language: en-GB
voice: joe
countdown: shown
---

# Test {answer-time="4 s"}

Listen.

1. Zebrafish or quokka? {key="x"}
2. Two narwhals swim. {key="x" answer-time="32 s" time-cue="half"}

The test is over.
"""
ARRANGED = """\
longer: {label: B, extra-time: 50 %, stretch: [answer-time], share-of: listed-silences, \
where: each-gap, basis: file 1}
silent: {label: C, captions: nothing, basis: file 2}
"""


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Built]:
    """Return the standard track, one with half as much time again, one without captions."""
    folder = tmp_path_factory.mktemp("countdown")
    script = written(folder, TEXT, ARRANGED)
    made = build_versions(script, options(folder), ["standard", "longer", "silent"])
    return {one.label: one for one in made}


def counts(made: Built, ending: str) -> list[tuple[str, int]]:
    """Return what the countdown in a version's captions says, and when, in ms."""
    (file,) = (made.folder / f"version-{made.label}").glob(f"*[!k].{ending}")
    held = read_captions(file)
    assert held.faults == []
    return [(c.text, c.start_ms) for c in held.cues if c.text.endswith(" left")]


def test_each_version_counts_its_own_times(built: dict[str, Built]) -> None:
    """By hand: 4 s and two halves of 16 s; with half as much again 6 s and halves of 24 s."""
    said = {label: [text[:-5] for text, _ in counts(made, "vtt")] for label, made in built.items()}

    tens = [f"{n} s" for n in range(10, 0, -1)]
    assert said["A"] == [*tens[6:], "32 s", "30 s", "25 s", "20 s", "16 s", "15 s", *tens]
    assert said["B"] == [
        *tens[4:], "48 s", "45 s", "40 s", "35 s", "30 s", "25 s", "24 s", "20 s", "15 s", *tens,
    ]  # fmt: skip
    assert all(made.is_good for made in built.values())


def test_both_files_and_the_page_say_the_same(built: dict[str, Built]) -> None:
    """SubRip and the room screen count as WebVTT does."""
    for label, made in built.items():
        (page,) = (made.folder / f"version-{label}").glob("*_room-screen.html")
        drawn = [(" ".join(c[2]), c[0]) for c in island(page)["cues"]]

        assert counts(made, "srt") == counts(made, "vtt")
        assert [one for one in drawn if one[0].endswith(" left")] == counts(made, "vtt")


def test_no_words_come_with_it(built: dict[str, Built]) -> None:
    """Where captions show nothing, the countdown is all there is; no transcript has it."""
    folder = built["C"].folder / "version-C"
    (file,) = folder.glob("*.vtt")
    shown = [cue.text for cue in read_captions(file).cues]

    assert [text[:-5] for text in shown] == [text[:-5] for text, _ in counts(built["A"], "vtt")]
    for made in built.values():
        for transcript in made.folder.rglob("*transcript*.txt"):
            assert not re.search(r"\d s left", transcript.read_text("utf-8"))


def test_nothing_is_counted_by_default(tmp_path: Path) -> None:
    """Without the setting no caption says anything about time."""
    script = written(tmp_path, TEXT.replace("countdown: shown\n", ""), "")
    (made,) = build_versions(script, options(tmp_path), ["standard"])

    assert counts(made, "vtt") == []


@pytest.mark.parametrize(
    ("setting", "sentence"),
    [
        ("countdown: yes", "‘yes’ is not known here"),
        ("countdown-wording: left", "‘left’ does not hold {time} once"),
        ('countdown-wording: "{time} of {time}"', "does not hold {time} once"),
        ('countdown-wording: "{rest} left"', "holds a field that is not known"),
        ('countdown-wording: "{time} are left to write it all down"', "more than 20 characters"),
        ('countdown-wording: "a b c d e {time}"', "more than 20 characters or 4 words"),
    ],
)
def test_bad_settings(tmp_path: Path, setting: str, sentence: str) -> None:
    """What cannot be a countdown is told at its place."""
    name = setting.partition(":")[0]
    text = TEXT.replace("countdown: shown", f"{setting}\n" if name == "countdown" else
                        f"countdown: shown\n{setting}")  # fmt: skip
    with pytest.raises(ScriptError) as wrong:
        build_versions(written(tmp_path, text, ""), options(tmp_path), ["standard"])

    assert [p.place.line for p in wrong.value.problems] == [5 + (name != "countdown")]
    assert sentence in wrong.value.problems[0].message
