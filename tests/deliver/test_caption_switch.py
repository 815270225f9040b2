"""Nothing, instructions, everything: what each version's room can read, in every file of it."""

from __future__ import annotations

import json
import re
import shutil
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.build import build_versions
from pausewright.deliver.recheck import recheck
from support.scripts.versions import options, written
from support.voices.fake_voice import FakeEngine, fake_engines

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pausewright.checker.result.findings import Finding
    from pausewright.deliver.build import Built

TEXT = """---
title: Tide tables
language: en-GB
voice: joe
readings: 2
between-readings: 2 s
announce: "Number {number}."
answer-time: 4 s
speakers:
  Mila: {voice: joe}
---

# Opening

Marmosets listen with great care to every word.

# Test

1. Zebrafish or a quokka in the harbour? {key="AXOLOTL" sheet="PANGOLIN"}
2. Two narwhals swim to the old quay. {key="OKAPI"}

    ::: staff-note
    TAPIR
    :::

::: passage {answer-time="3 s"}
**Mila:** The wombats sleep under the jetty.
:::

# End

The dugong test is over.
"""
ARRANGED = """\
open: {label: B, captions: everything, basis: file 1}
closed: {label: C, captions: nothing, basis: file 1}
read: {label: D, captions: nothing, transcript: everything, basis: file 1}
"""
INSTRUCTIONS = ("marmosets", "dugong")
QUESTIONS = ("zebrafish", "quokka", "narwhal", "wombat", "jetty")
NEVER = ("axolotl", "pangolin", "okapi", "tapir")
"""Of keys, sheets and notes."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the script."""
    path = tmp_path_factory.mktemp("switch")
    written(path, TEXT, ARRANGED)
    return path


@pytest.fixture(scope="module")
def built(folder: Path) -> dict[str, Built]:
    """Return all four versions."""
    soft = fake_engines(FakeEngine(ramp_s=0.05))
    made = build_versions(folder / "tide.md", options(folder, engines=soft))
    return {one.label: one for one in made}


def found_in(room: Path, words: tuple[str, ...]) -> dict[str, set[str]]:
    """Return which of some words stand in which files of a room, in any capitals; no empty ones."""
    found = {
        file.name.partition("_")[2].partition("_")[2]: {
            word for word in words if word.encode() in file.read_bytes().lower()
        }
        for file in room.iterdir()
    }
    return {name.partition("_")[2] or name[6:]: held for name, held in found.items() if held}


def room_of(built: dict[str, Built], label: str) -> Path:
    """Return the folder that goes to the room."""
    return built[label].folder / f"version-{label}"


@pytest.mark.parametrize(
    ("label", "captions", "transcript"),
    [
        ("A", INSTRUCTIONS, INSTRUCTIONS),
        ("B", (*INSTRUCTIONS, *QUESTIONS), (*INSTRUCTIONS, *QUESTIONS)),
        ("C", (), ()),
        ("D", (), (*INSTRUCTIONS, *QUESTIONS)),
    ],
)
def test_planted_words(
    built: dict[str, Built], label: str, captions: tuple[str, ...], transcript: tuple[str, ...]
) -> None:
    """Each word is in every file where it may be read, and in the bytes of no other."""
    found = found_in(room_of(built, label), (*INSTRUCTIONS, *QUESTIONS, *NEVER))

    expected = {name: set(captions) for name in (".vtt", ".srt", "room-screen.html")}
    expected |= {f"transcript.{kind}": set(transcript) for kind in ("txt", "html")}
    assert found == {name: held for name, held in expected.items() if held}
    assert built[label].is_good


def test_a_closed_version_has_no_captions_at_all(built: dict[str, Built]) -> None:
    """Neither caption files nor a transcript, and no place for captions in the page's source."""
    room = room_of(built, "C")
    (page,) = room.glob("*room-screen.html")

    assert [*room.glob("*.vtt"), *room.glob("*.srt"), *room.glob("*transcript*")] == []
    assert 'id="caption"' not in page.read_text("utf-8")
    assert '"cues":[]' in page.read_text("utf-8")


def checked(
    built: dict[str, Built], folder: Path, label: str, spoil: Callable[[Path], None]
) -> set[str]:
    """Return what the check finds in a copy of a room's folder that was spoiled."""
    room = folder / f"version-{label}"
    shutil.rmtree(room, ignore_errors=True)
    shutil.copytree(room_of(built, label), room)
    for listing in room.glob("*.json"):
        listing.unlink()  # a stranger's folder: nothing but the script tells what may be in it
    spoil(room)
    script = built[label].folder.parent.parent / "tide.md"
    result = recheck(room, script=script).checks[0]
    return {
        f.code for f in result.findings
        if f.severity == "error" and f.code.startswith(("caption", "transcript"))
    }  # fmt: skip


def put(built: dict[str, Built], other: str, ending: str) -> Callable[[Path], None]:
    """Return what puts a file of another version in the place of a room's own."""

    def spoil(room: Path) -> None:
        (track,) = room.glob("*[!k].wav")
        (file,) = room_of(built, other).glob(f"*{ending}")
        between = "" if ending.startswith(".") else "_"
        shutil.copyfile(file, room / f"{track.stem}{between}{ending}")

    return spoil


@pytest.mark.parametrize("label", "ABCD")
def test_an_unspoiled_room_is_good(built: dict[str, Built], tmp_path: Path, label: str) -> None:
    """Captions, page and transcript of each version are as its arrangement has them."""
    assert checked(built, tmp_path, label, lambda _: None) == set()


@pytest.mark.parametrize(
    ("label", "other", "ending", "codes"),
    [
        ("A", "B", ".vtt", {"caption-withheld", "captions-differ"}),
        ("A", "B", ".srt", {"caption-withheld", "captions-differ"}),
        ("A", "B", "room-screen.html", {"caption-withheld", "captions-differ"}),
        ("A", "B", "transcript.txt", {"transcript-words"}),
        ("A", "B", "transcript.html", {"transcript-words"}),
        ("C", "A", ".vtt", {"caption-withheld", "captions-differ"}),
        ("C", "B", ".srt", {"caption-withheld", "captions-differ"}),
        ("C", "A", "room-screen.html", {"caption-withheld"}),
        ("C", "A", "transcript.txt", {"transcript-words"}),
        ("C", "A", "transcript.html", {"transcript-words"}),
        ("D", "B", "room-screen.html", {"caption-withheld"}),
        ("B", "A", "room-screen.html", {"captions-differ"}),
    ],
)  # fmt: skip
def test_files_of_another_version_are_found(
    built: dict[str, Built], tmp_path: Path, label: str, other: str, ending: str, codes: set[str]
) -> None:
    """A question's caption in an instructions version, or any in a closed one, is an error."""
    assert checked(built, tmp_path, label, put(built, other, ending)) == codes


def test_one_question_in_the_source_of_a_page(built: dict[str, Built], tmp_path: Path) -> None:
    """One caption of a question that was put into a page's source is found."""

    def spoil(room: Path) -> None:
        (page,) = room.glob("*room-screen.html")
        text = page.read_text("utf-8")
        island = re.search(r'id="data">(.*?)</script>', text, re.DOTALL)
        assert island is not None
        data = json.loads(island[1])
        (open_page,) = room_of(built, "B").glob("*room-screen.html")
        whole = re.search(r'id="data">(.*?)</script>', open_page.read_text("utf-8"), re.DOTALL)
        assert whole is not None
        leak = next(c for c in json.loads(whole[1])["cues"] if "narwhals" in " ".join(c[2]))
        data["cues"] = sorted([*data["cues"], leak])
        page.write_text(text.replace(island[1], json.dumps(data)), encoding="utf-8")

    assert "caption-withheld" in checked(built, tmp_path, "A", spoil)
    assert checked(built, tmp_path, "C", spoil) == {"caption-withheld"}


@pytest.mark.parametrize("island", ["", "{", '{"cues": 3}', '{"cues": [[1]]}', "[]", "null"])
def test_a_page_that_cannot_be_read(built: dict[str, Built], tmp_path: Path, island: str) -> None:
    """A page without its data is told, whatever stands there."""

    def spoil(room: Path) -> None:
        (page,) = room.glob("*room-screen.html")
        text = page.read_text("utf-8")
        page.write_text(
            re.sub(r'(id="data">).*?(</script>)', rf"\g<1>{island}\2", text, flags=re.DOTALL),
            encoding="utf-8",
        )

    assert "caption-form" in checked(built, tmp_path, "C", spoil)


@pytest.mark.parametrize(
    "leak",
    ["<!-- narwhals -->", "<p>narwhals</p>", '<img alt="narwhals">', "<b>narwhals", "<![narwhals["],
)
def test_a_word_in_the_source_of_a_transcript(
    built: dict[str, Built], tmp_path: Path, leak: str
) -> None:
    """A withheld word in a transcript's page is found, drawn or not; so is broken markup."""

    def spoil(room: Path) -> None:
        (page,) = room.glob("*transcript.html")
        text = page.read_text("utf-8")
        page.write_text(text.replace("</main>", f"{leak}</main>"), encoding="utf-8")

    assert checked(built, tmp_path, "A", spoil) == {"transcript-words"}


@pytest.mark.parametrize("kind", ["txt", "html"])
def test_a_transcript_that_is_cut_is_a_warning(
    built: dict[str, Built], tmp_path: Path, kind: str
) -> None:
    """What may be read and is left out is told."""
    room = tmp_path / "version-A"
    shutil.copytree(room_of(built, "A"), room)
    (file,) = room.glob(f"*transcript.{kind}")
    file.write_text(file.read_text("utf-8").replace("The dugong test is over.", ""), "utf-8")
    (track,) = room.glob("*[!k].wav")
    script = built["A"].folder.parent.parent / "tide.md"

    found = recheck(track, script=script).checks[0].findings
    assert [f.severity for f in found if f.code == "transcript-missing"] == ["warning"]


# ---- instructions with their times -----------------------------------------------------------


def instructions(built: dict[str, Built], label: str) -> list[Path]:
    """Return a version's printed instructions."""
    return sorted((built[label].folder / "print" / "staff").glob(f"instructions_{label}_*.html"))


@pytest.mark.parametrize("label", "ABD")
def test_printed_instructions_hold_no_question(built: dict[str, Built], label: str) -> None:
    """Whatever candidates may read of questions: the page has what instructs, and no more."""
    (paper,) = instructions(built, label)
    text = paper.read_bytes().lower()

    assert all(word.encode() in text for word in INSTRUCTIONS)
    assert not [word for word in (*QUESTIONS, *NEVER) if word.encode() in text]


def test_a_closed_version_has_no_printed_instructions(built: dict[str, Built]) -> None:
    """Where nothing may be read, nothing is printed."""
    assert instructions(built, "C") == []


def of_paper(built: dict[str, Built], folder: Path, change: Callable[[str], str]) -> list[Finding]:
    """Return what the check finds in version A's printed instructions, changed."""
    whole = folder / "tide"
    shutil.copytree(built["A"].folder, whole, dirs_exist_ok=True)
    (paper,) = (whole / "print" / "staff").glob("instructions_A_*.html")
    text = paper.read_text("utf-8")
    paper.write_text(change(text), encoding="utf-8")
    (track,) = (whole / "version-A").glob("*[!k].wav")
    script = built["A"].folder.parent.parent / "tide.md"
    found = recheck(track, script=script).checks[0].findings
    return [f for f in found if f.code.startswith(("caption", "transcript"))]


def moved(text: str, by_s: int) -> str:
    """Return a page with the time of its last line moved."""
    *_, last = re.finditer(r"(\d+):(\d\d)</time>", text)
    at_s = 60 * int(last[1]) + int(last[2]) + by_s
    return f"{text[: last.start()]}{at_s // 60}:{at_s % 60:02d}</time>{text[last.end() :]}"


@pytest.mark.parametrize(
    ("by_s", "codes"),
    [(0, []), (-2, ["transcript-time"]), (3, ["transcript-time"]), (60, ["transcript-time"])],
)
def test_a_wrong_time_is_found(
    built: dict[str, Built], tmp_path: Path, by_s: int, codes: list[str]
) -> None:
    """Each time is compared with where its words are heard; whole seconds allow 1 s."""
    found = of_paper(built, tmp_path, lambda text: moved(text, by_s))

    assert [f.code for f in found] == codes
    for one in found:
        assert one.severity == "error"
        assert one.unit == "s"
        assert one.difference is not None
        assert -by_s <= one.difference < -by_s + 1  # the seconds shown are those gone by


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        (r"<time[^>]*>[^<]*</time>", "", "transcript-time"),
        ("</main>", "<p><time>0:01</time> Zebrafish</p></main>", "transcript-words"),
        ("</main>", "<p>0:05</p></main>", "transcript-words"),
        ("The dugong test is over.", "", "transcript-words"),
        (r"<p[^>]*>(?:(?!<p).)*The dugong test is over\.</span></p>", "", "transcript-missing"),
    ],
)
def test_words_of_printed_instructions(
    built: dict[str, Built], tmp_path: Path, old: str, new: str, code: str
) -> None:
    """A line without its time, a question, a time without words and a lost line are told."""
    found = of_paper(built, tmp_path, lambda text: re.sub(old, new, text, flags=re.DOTALL))

    assert code in {f.code for f in found}
