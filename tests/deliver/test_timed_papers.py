"""The papers that follow a track, read back from their PDF, against what the check measured."""

from __future__ import annotations

import re
import subprocess
from fractions import Fraction
from typing import TYPE_CHECKING

import imageio_ffmpeg
import pikepdf
import pytest
from pausewright.content_mark import heading_of
from pausewright.deliver.build import build_versions
from pausewright.records.record_files import read_record
from support.paper_text import pages_of, text_of
from support.scripts.demo_scripts import copy_of_demos
from support.scripts.short_scripts import SMALL
from support.scripts.versions import options, written

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build import Built

FIVE = """standard: {label: A}
each: {label: B, basis: file 11, extra-time: 25 %, stretch: [answer-time],
  share-of: listed-silences, where: each-gap}
slow: {label: C, basis: file 12, pace: 80 %}
third: {label: D, basis: file 13, readings: 3, extra-time: 5 min, where: test-end,
  extra-words: "You have {time} more."}
breaks: {label: E, basis: file 14,
  rest-breaks: {after-questions: "4, 10", words: "There is a break now."}}
"""
LABELS = "ABCDE"
TIME = r"(\d+:\d\d)"
ALLOWED_S = 1
"""A paper shows whole seconds gone by."""
KINDS = ("running-sheet", "reader-copy", "interpreter-copy", "instructions")


@pytest.fixture(scope="module")
def railway(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Built]:
    """Return the demo of mental arithmetic in five arrangements, with the voice without a model."""
    folder = copy_of_demos(tmp_path_factory.mktemp("railway"))
    (folder / "arithmetic.arrangements.yaml").write_text(FIVE, "utf-8")
    made = build_versions(folder / "arithmetic.md", options(folder))
    return {one.label: one for one in made}


def paper(built: Built, kind: str) -> Path:
    """Return a paper of a version."""
    start = f"{kind}_{built.label}"
    (found,) = (f for f in built.files if f.name.startswith(start) and f.suffix == ".pdf")
    return found


def seconds(shown: str) -> int:
    """Return what a counter's figures mean."""
    minutes, rest = shown.split(":")
    return 60 * int(minutes) + int(rest)


def silences_printed(built: Built) -> list[tuple[int, int]]:
    """Return from when to when the reader's copy has candidates' silences."""
    names = ("answer time", "silence between readings", "page-turn time", "time to work")
    found = re.findall(
        rf"{TIME} [\d. min]+? ?(?:s|min) (?:{'|'.join(names)}) go on at {TIME}",
        text_of(paper(built, "reader-copy")),
    )
    return [(seconds(at), seconds(until)) for at, until in found]


@pytest.mark.parametrize("label", LABELS)
def test_the_running_sheet_has_the_times_that_the_check_measured(
    railway: dict[str, Built], label: str
) -> None:
    """Each question's first sound and answer time, as heard on the delivered file."""
    built = railway[label]
    text = text_of(paper(built, "running-sheet"))
    printed = {
        name: (seconds(at), seconds(answer))
        for at, name, answer in re.findall(
            rf"{TIME} ((?:Question|Practice) \d+) [\d.]+ s from {TIME}", text
        )
    }
    rows = built.checks[0].rows

    assert len(printed) == len(rows) == 22
    for row in rows:
        name = row.item.name.capitalize()
        assert row.at_s is not None
        assert row.answer_time is not None
        assert row.answer_time.at_s is not None
        at_s, answer_s = printed[name]
        assert abs(at_s - row.at_s) <= ALLOWED_S
        assert abs(answer_s - row.answer_time.at_s) <= ALLOWED_S
    length_s = Fraction(built.checks[0].n_frames, built.checks[0].rate_hz)
    assert f"{int(length_s) // 60}:{int(length_s) % 60:02d} End of the track" in text
    assert text.count("Pause Stop") == (3 if label == "E" else 1)


@pytest.mark.parametrize("label", LABELS)
def test_the_readers_copy_goes_on_when_the_track_does(
    railway: dict[str, Built], label: str
) -> None:
    """Silences, one after the other, begin and end where the check heard them."""
    built = railway[label]
    printed = silences_printed(built)
    kinds = {"answer-time", "between-readings", "page-turn-time", "extra-time"}
    measured = [
        (one.at_s, one.at_s + one.measured_s)
        for one in built.checks[0].silences
        if one.kind in kinds and one.at_s is not None and one.measured_s is not None
    ]

    assert len(printed) == len(measured) >= 38
    for (at_s, until_s), (start_s, end_s) in zip(printed, measured, strict=True):
        assert abs(at_s - start_s) <= ALLOWED_S
        assert abs(until_s - end_s) <= ALLOWED_S


def test_ffmpeg_hears_the_silences_of_the_readers_copy(railway: dict[str, Built]) -> None:
    """A program that knows nothing of this one finds each of them within a second."""
    built = railway["A"]
    track = next(one for one in built.files if one.suffix == ".wav")
    heard = subprocess.run(
        [imageio_ffmpeg.get_ffmpeg_exe(), "-hide_banner", "-i", str(track), "-af",
         "silencedetect=noise=-50dB:d=1.9", "-f", "null", "-"],
        capture_output=True, text=True, check=True,
    ).stderr  # fmt: skip
    starts = [Fraction(one) for one in re.findall(r"silence_start: ([\d.]+)", heard)]
    ends = [Fraction(one) for one in re.findall(r"silence_end: ([\d.]+)", heard)]
    printed = silences_printed(built)

    assert len(printed) == 38
    for at_s, until_s in printed:
        assert any(abs(at_s - one) <= ALLOWED_S for one in starts)
        assert any(abs(until_s - one) <= ALLOWED_S for one in ends)


@pytest.mark.parametrize("kind", KINDS)
def test_every_paper_says_what_it_is_and_is_tagged(railway: dict[str, Built], kind: str) -> None:
    """Title, version, edition and mark on every page; PDF/UA-1 as far as another library reads."""
    built = railway["B"]
    file = paper(built, kind)
    record = read_record(built.folder / "confidential" / "build-record_B.json")
    assert record is not None
    mark = next(one.content_mark for one in record.files if one.path.endswith(file.name))

    for page in pages_of(file):
        assert "A day on the Ossel Hill railway" in page
        assert f"mark {mark[:8].upper()}" in page
        heading = heading_of(page)
        assert heading is not None
        assert (heading.version_label, heading.edition) == ("B", built.edition)
    with pikepdf.open(file) as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang) == "en-GB"
        assert pdf.open_metadata()["pdfuaid:part"] == "1"
        assert "/StructTreeRoot" in pdf.Root
        assert "Ossel Hill" in str(pdf.docinfo["/Title"])


def test_sentences_are_said_once_on_the_readers_copy(railway: dict[str, Built]) -> None:
    """Words in spoken form, the sheet's words marked as not said, keys nowhere."""
    text = text_of(paper(railway["A"], "reader-copy"))

    assert text.count("A map costs six pounds thirty-five.") == 2
    assert "[On the sheet, not said: map: £6.35]" in text
    assert "The recording continues" not in text
    for key in ("£4.50", "11:35", "Give no mark"):
        assert key not in text


@pytest.mark.parametrize("label", LABELS)
def test_pages_of_the_readers_copy_end_in_a_silence(railway: dict[str, Built], label: str) -> None:
    """The last words above the foot of a page are those of a silence, and when to go on."""
    pages = pages_of(paper(railway[label], "reader-copy"))

    assert len(pages) > 5
    for page in pages[:-1]:
        body = page[: page.rindex("A day on the Ossel Hill railway")]
        assert re.search(rf"go on at {TIME} $", body), body[-80:]


def test_the_running_sheet_is_a_table_with_heads(railway: dict[str, Built]) -> None:
    """Column heads are marked as such, and headings do not skip a level (PDF/UA-1, 7.4, 7.5)."""
    with pikepdf.open(paper(railway["E"], "running-sheet")) as pdf:
        kinds = [
            str(one.S)
            for one in pdf.objects
            if isinstance(one, pikepdf.Dictionary) and "/S" in one and "/P" in one
        ]

    assert kinds.count("/TH") >= 6
    assert {"/H1", "/H2", "/Table", "/TD"} <= set(kinds)
    assert "/H3" not in kinds


def test_instructions_in_writing_hold_each_instruction_once(railway: dict[str, Built]) -> None:
    """And no word of a question."""
    text = text_of(paper(railway["A"], "instructions"))

    for sentence in ("This test is a journey", "Raise a hand", "Unfold your sheet", "Leave your"):
        assert text.count(sentence) == 1
    assert "map costs" not in text


def test_notes_reach_those_that_they_are_for(railway: dict[str, Built]) -> None:
    """Invigilator's notes on the running sheet, reader's on the copy, marker's on neither."""
    running = text_of(paper(railway["A"], "running-sheet"))
    copy = text_of(paper(railway["A"], "reader-copy"))
    both = "Press pause in the silence after these words"

    assert [both in one for one in (running, copy)] == [True, True]
    assert ["Count the sheets" in one for one in (running, copy)] == [True, False]
    assert not any("The step is 75 minutes" in one for one in (running, copy))


def test_what_was_measured_is_what_the_check_says(railway: dict[str, Built]) -> None:
    """One page; hash, sums and proofs of the result; no word that gives leave."""
    for built in railway.values():
        pages = pages_of(paper(built, "what-was-measured"))
        result = built.checks[0]
        assert len(pages) == 1
        assert result.sha256 in pages[0].replace(" ", "")
        assert f"{result.loudness_lufs:.1f} LUFS" in pages[0]
        assert all(" ".join(one.sentence.split()[:4]) in pages[0] for one in result.proofs)
        assert not re.search(r"permi|allowed to|certif|grant", pages[0], re.IGNORECASE)
    assert "file 11" in pages_of(paper(railway["B"], "what-was-measured"))[0]


def test_only_extra_time_has_a_pausing_sheet(railway: dict[str, Built]) -> None:
    """And never the standard track."""
    has = {
        label: any(one.name.startswith("pausing-sheet") for one in built.files)
        for label, built in railway.items()
    }

    assert has == {"A": False, "B": True, "C": False, "D": False, "E": False}


def test_a_second_build_writes_the_same_bytes(tmp_path: Path) -> None:
    """By one worker or two, from new takes, in another folder; clock times are on no mark."""
    made = []
    for name, changes in (("a", {"workers": 1}), ("b", {"workers": 2}), ("c", {"start": "09:15"})):
        folder = tmp_path / name
        folder.mkdir()
        script = written(folder, SMALL, "")
        (built,) = build_versions(script, options(folder, **changes))
        made.append(built)
    first, second, timed = (
        {p.name: p.read_bytes() for p in one.files if p.suffix == ".pdf"} for one in made
    )

    assert first.keys() == second.keys() == timed.keys()
    assert first == second
    differs = {name.partition("_")[0] for name in first if first[name] != timed[name]}
    assert differs == {"running-sheet"}
    records = [read_record(one.folder / "confidential" / "build-record_A.json") for one in made]
    marks = [
        {f.path: f.content_mark for f in one.files if f.kind == "running-sheet"}
        for one in records
        if one
    ]
    assert marks[0] == marks[2]
    assert "Starts 09:15:00" in text_of(paper(made[2], "running-sheet"))
