"""Captions of the standard track at the times of another version: by hand, and by the check."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from pausewright.checker.shown.caption_readers import read_captions
from pausewright.deliver.build import build_versions
from pausewright.deliver.caption_retime import retime
from pausewright.problems import OutputError, PausewrightError, ScriptError
from support.scripts.versions import options, written
from support.voices.fake_voice import FakeEngine, fake_engines

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build import Built, Options
    from pausewright.deliver.caption_retime import Retimed
    from support.command_line import Run

TEXT = """---
title: Tide tables
language: en-GB
voice: joe
captions: everything
captions-reason: made for tests
announce: "Number {number}."
readings: 2
between-readings: 3 s
answer-time: 4 s
---

# Test

Listen to the questions of the harbour master. Write the answers on your sheet.

1. How many barges wait at the long quay on a winter morning?
2. Who opens the wooden gate of the lock?

# More

3. Where do the ferries lie?

# End

The test is over.
"""
ARRANGED = """\
slow: {label: B, pace: 80 %, basis: file 1}
longer: {label: C, extra-time: 50 %, stretch: [answer-time], share-of: listed-silences, \
where: each-gap, basis: file 1}
thrice: {label: D, readings: 3, basis: file 1}
less: {label: E, leave-out: [More], basis: file 1}
silent: {label: F, captions: nothing, basis: file 1}
partly: {label: G, captions: instructions, basis: file 1}
broken: {label: H, rest-breaks: {after-questions: "1"}, basis: file 1}
"""
NAMES = {"slow": "B", "longer": "C", "thrice": "D", "less": "E", "broken": "H"}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with a script, its arrangements and their builds."""
    path = tmp_path_factory.mktemp("retime")
    written(path, TEXT, ARRANGED)
    return path


def how(folder: Path, arrangement: str = "slow") -> Options:
    """Return options for a version, with a soft-spoken voice."""
    soft = fake_engines(FakeEngine(ramp_s=0.05))
    return replace(options(folder, engines=soft), arrangement=arrangement)


@pytest.fixture(scope="module")
def built(folder: Path) -> dict[str, Built]:
    """Return what was built of the versions, by label."""
    made = build_versions(folder / "tide.md", how(folder), ["standard", *NAMES])
    return {one.label: one for one in made}


def delivered(built: dict[str, Built], label: str, ending: str = "vtt") -> Path:
    """Return a caption file of a built version."""
    (file,) = (built[label].folder / f"version-{label}").glob(f"*[!k].{ending}")
    return file


def made(folder: Path, captions: Path, arrangement: str, name: str = "") -> Retimed:
    """Return captions at the times of an arrangement, in a file of their own."""
    out = folder / f"{name or arrangement}{captions.suffix}"
    out.unlink(missing_ok=True)
    return retime(captions, folder / "tide.md", how(folder, arrangement), out)


@pytest.mark.parametrize("ending", ["vtt", "srt"])
@pytest.mark.parametrize("name", NAMES)
def test_captions_are_as_the_version_has_them(
    folder: Path, built: dict[str, Built], name: str, ending: str
) -> None:
    """The standard track's own captions become what the builder makes for the version.

    Words begin where the version's own captions say, within 60 ms; the ends of those that stay
    for their readers may differ. What only the version says has no caption.
    """
    label = NAMES[name]
    found = made(folder, delivered(built, "A", ending), name)
    new, own = read_captions(found.written), read_captions(delivered(built, label, ending))
    said = [c for c in own.cues if not re.search("a break now|Leave your|continues", c.text)]

    assert new.faults == []
    assert [c.text for c in new.cues] == [c.text for c in said]
    assert max(abs(a.start_ms - b.start_ms) for a, b in zip(new.cues, said, strict=True)) <= 60


@pytest.mark.parametrize("name", NAMES)
def test_the_check_accepts_them(folder: Path, built: dict[str, Built], name: str) -> None:
    """Measured on the version's track, no new caption is early, late, hanging or of other words."""
    label = NAMES[name]
    found = made(folder, delivered(built, "A"), name)
    (track,) = (built[label].folder / f"version-{label}").glob("*[!k].wav")
    from pausewright.deliver.recheck import recheck  # noqa: PLC0415

    result = recheck(
        track, script=folder / "tide.md", captions=[found.written], arrangement=name
    ).checks[0]
    codes = {f.code for f in result.findings if f.code.startswith("caption")}
    codes -= {"caption-rate"}  # the voice without a model is fast

    assert codes <= ({"caption-missing"} if name == "broken" else set())


def test_notes_tell_what_has_no_caption(folder: Path, built: dict[str, Built]) -> None:
    """A break's own words, and captions of a part that is left out."""
    broken = made(folder, delivered(built, "A"), "broken")
    less = made(folder, delivered(built, "A"), "less")

    assert "There is a break now" in broken.notes[0]
    assert less.notes == ("3 captions belong to what version E leaves out",)


HAND = """WEBVTT some title

NOTE a remark

STYLE
::cue { color: white }

gate
00:00:{start} --> 00:00:{end} align:start
<v Otto>A & B --&gt; \u202eabc\u202c e\u0301</v>
"""


def hand_made(folder: Path, built: dict[str, Built], start_ms: int, end_ms: int) -> Path:
    """Return a caption beside the first sentence, in ms from its start and from its end."""
    first = read_captions(delivered(built, "A")).cues[0]
    ends_ms = 500 + round(1000 * sentence_s(built["A"]))
    times = [f"{(first.start_ms + start_ms) / 1000:06.3f}", f"{(ends_ms + end_ms) / 1000:06.3f}"]
    file = folder / "hand.vtt"
    file.write_text(
        HAND.replace("{start}", times[0]).replace("{end}", times[1]).replace("A & B", "A &amp; B"),
        encoding="utf-8",
    )
    return file


def sentence_s(one: Built) -> float:
    """Return how long the first sentence lasts, as measured: up to the first silence."""
    after = one.checks[0].silences[1]
    return float(after.at_s or 0) - 0.5


@pytest.mark.parametrize(("start_ms", "end_ms"), [(0, 0), (-100, 150), (300, -400)])
def test_a_caption_keeps_to_its_sentence(
    folder: Path, built: dict[str, Built], start_ms: int, end_ms: int
) -> None:
    """By hand: inside speech at 80 % times are 5/4 as far, outside the distance stays."""
    file = hand_made(folder, built, start_ms, end_ms)
    raw = file.read_bytes()
    (cue,) = read_captions(made(folder, file, "slow", "hand-slow").written).cues
    length_ms = 1000 * sentence_s(built["B"])

    begins = 500 + (1.25 * start_ms if start_ms > 0 else start_ms)
    ends = 500 + length_ms + (1.25 * end_ms if end_ms < 0 else end_ms)
    assert cue.start_ms == pytest.approx(begins, abs=15)
    assert cue.end_ms == pytest.approx(ends, abs=15)
    assert file.read_bytes() == raw


def test_nothing_but_times_changes(folder: Path, built: dict[str, Built]) -> None:
    """Header, notes, styles, names, settings, tags and hostile text come through."""
    file = hand_made(folder, built, 0, 0)
    new = made(folder, file, "longer", "hand-longer").written.read_text("utf-8")
    plain = re.compile(r"(?m)^\S+ --> \S+")

    assert plain.sub("", new) == plain.sub("", file.read_text("utf-8"))


def test_nothing_hangs_through_an_answer_time(folder: Path, built: dict[str, Built]) -> None:
    """A caption that stays on into an answer time ends with its words, and is told."""
    text = delivered(built, "A").read_text("utf-8")
    cues = read_captions(delivered(built, "A")).cues
    last = [c for c in cues if "quay" in c.text or "morning" in c.text][-1]
    stamp = f"00:00:{last.end_ms / 1000:06.3f}"
    file = folder / "hanging.vtt"
    file.write_text(text.replace(stamp, f"00:00:{last.end_ms / 1000 + 3:06.3f}"), encoding="utf-8")

    found = made(folder, file, "longer", "unhung")
    new = read_captions(found.written).cues
    own = read_captions(delivered(built, "C")).cues

    assert next(c.end_ms for c in new if c.line == last.line) <= (
        next(c.end_ms for c in own if c.line == last.line) + 60
    )
    assert [(p.severity, p.place.line) for p in found.warnings] == [("warning", last.line)]
    assert "silence of the candidates" in found.warnings[0].message


def test_further_readings_have_names_of_their_own(folder: Path, built: dict[str, Built]) -> None:
    """Two captions of one file never have one name (VTT-06)."""
    new = made(folder, delivered(built, "A"), "thrice").written.read_text("utf-8")
    names = re.findall(r"(?m)^(\S+)\n\d\d:\d\d", new)

    assert len(names) == len(set(names)) == new.count("-->")


def test_withheld_words_are_refused(folder: Path, built: dict[str, Built]) -> None:
    """Captions of questions are not made for a version that shows instructions alone."""
    with pytest.raises(ScriptError) as wrong:
        made(folder, delivered(built, "A"), "partly")

    said = {p.message for p in wrong.value.problems if p.severity == "error"}
    assert any("question 1 is heard, which may not be shown" in message for message in said)
    assert not (folder / "partly.vtt").exists()
    with pytest.raises(PausewrightError, match="shows no captions"):
        made(folder, delivered(built, "A"), "silent")


def test_other_words_are_told(tmp_path: Path) -> None:
    """Where an instruction states another time in the version, the caption has to be changed."""
    text = TEXT.replace(
        "Listen to the", 'You have [four seconds]{states="answer-time"}. Listen to the'
    )
    script = written(tmp_path, text, ARRANGED)
    (standard,) = build_versions(script, how(tmp_path), ["standard"])
    found = made(tmp_path, delivered({"A": standard}, "A"), "longer")

    assert [p.place.line for p in found.warnings] == [6]
    assert "says ‘You have six seconds.’ where" in found.warnings[0].message


def test_the_command(run: Run, tmp_path: Path, built: dict[str, Built], folder: Path) -> None:
    """Bad captions are told with place and caret; an existing file is left as it is."""
    (tmp_path / "bad.vtt").write_text(
        "WEBVTT\n\n00:01,000 --> 00:02.000\nA & B\n", encoding="utf-8"
    )
    script = written(tmp_path, TEXT, ARRANGED)

    code, _, err = run("retime", "bad.vtt", str(script), "--arrangement", "slow")
    assert code == 2
    assert "bad.vtt:3:1: error: ‘00:01,000’ is not a time\n    00:01,000 -->" in err
    assert "bad.vtt:4:3: error: a bare & stands in the text" in err

    taken = tmp_path / "taken.vtt"
    taken.write_text("mine", encoding="utf-8")
    with pytest.raises(OutputError, match="is there already"):
        retime(delivered(built, "A"), folder / "tide.md", how(folder), taken)
    assert taken.read_text("utf-8") == "mine"
    with pytest.raises(OutputError, match=r"does not end in \.vtt"):
        retime(delivered(built, "A"), folder / "tide.md", how(folder), tmp_path / "x.srt")
