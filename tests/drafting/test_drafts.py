"""Drafts: a script that builds from a recording, with its paper or with an ear."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

import pytest
import soundfile
from pausewright.checker.ear.recogniser import EarMissingError
from pausewright.documents.model import Line, Paper
from pausewright.drafting import script_text
from pausewright.drafting.paper_units import units_of
from pausewright.drafting.values import likely_ms, likely_values, unusual
from pausewright.problems import OutputError, PausewrightError, SoundError
from pausewright.script.reader import read
from pausewright.tasks import drafts
from pausewright.tasks.drafts import draft_script
from support.recordings.made import RATE_HZ, Made

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from pausewright.drafting.draft_model import Draft

PAPER = """Listen with care to every word
1. What is seven times eight?
2. What is 240 minus 98 divided by two?
3. Spell Otto
Put your pencils down
"""
SYLLABLES = (8, 7, 17, 4, 5)
"""About as many as the lines of the paper have."""


def recording(folder: Path, order: Sequence[int] = (0, 1, 2, 3, 4)) -> Made:
    """Write a recording of the paper, each question read twice, 2 s apart, 6 or 10 s after it."""
    made = Made().wait(1)
    for i in order:
        made.say(100 + i, SYLLABLES[i])
        if 1 <= i <= 3:
            made.wait(2).say(100 + i, SYLLABLES[i], 1.02).wait(10.1 if i == 3 else 5.9)
        else:
            made.wait(1.5)
    soundfile.write(folder / "a test.wav", made.samples(-60), RATE_HZ)
    return made


class StubEar:
    """An ear that hears what it was told, in order, whatever the manner."""

    def __init__(self, texts: Sequence[str]) -> None:
        """Take what is heard in each run."""
        self._texts = list(texts)
        self._n = 0
        self._seen: dict[bytes, str] = {}

    def heard(self, clips: Sequence[object], manner: str) -> list[str]:
        """Return what is heard; the same for the same sound."""
        found = []
        for clip in clips:
            key = bytes(memoryview(clip))  # type: ignore[arg-type]
            if key not in self._seen:
                # what is heard beyond them are runs of another parting of the recording
                known = manner == "figures" and self._n < len(self._texts)
                self._seen[key] = self._texts[self._n] if known else ""
                self._n += 1
            found.append(self._seen[key])
        return found

    def likelihoods(self, _clip: object, texts: Sequence[str]) -> list[float]:
        """Find all texts equally likely."""
        return [0.0 for _ in texts]


@pytest.fixture
def without_ear(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the ear be missing."""

    def missing() -> object:
        raise EarMissingError("missing", "install it")

    monkeypatch.setattr(drafts, "BundledRecogniser", missing)


def drafted(folder: Path, paper: str | None, ear: StubEar | None = None) -> tuple[Draft, str]:
    """Return a draft and the text of its script."""
    file = folder / "paper.txt"
    if paper is not None:
        file.write_text(paper, encoding="utf-8")
    script = folder / "draft.md"
    found = draft_script(
        folder / "a test.wav", None if paper is None else file, script, "en-GB", lambda *_: None,
        ear,
    )  # fmt: skip
    return found.draft, script.read_text(encoding="utf-8")


@pytest.mark.usefixtures("without_ear")
def test_a_paper_is_bound_to_its_recording(tmp_path: Path) -> None:
    """Every question with its readings, its answer time and its words; the script has no error."""
    made = recording(tmp_path)
    draft, text = drafted(tmp_path, PAPER)

    questions = draft.questions
    assert [one.words for one in questions] == [
        "What is seven times eight?", "What is 240 minus 98 divided by two?", "Spell Otto",
    ]  # fmt: skip
    starts = [reading.start_ms / 1000 for one in questions for reading in one.readings]
    assert starts == pytest.approx([start for start, _ in made.spans_s[1:7]], abs=0.05)
    assert [one.after_value_ms for one in questions] == [6000, 6000, 10_000]
    assert all(not one.doubts for one in questions)
    script = read(tmp_path / "draft.md", text)
    assert [p.message for p in script.problems if p.severity == "error"] == []
    assert "between-readings: 2 s" in text
    assert 'words="What is 240 minus 98 divided by two?"' in text
    assert "(<a test.wav>)" in text


@pytest.mark.usefixtures("without_ear")
@pytest.mark.parametrize("is_on_paper", [True, False])
def test_questions_that_sound_alike_are_parted_by_the_paper(
    tmp_path: Path, *, is_on_paper: bool
) -> None:
    """Questions 3 and 4 are the same sound: two where the paper has both, else two readings."""
    made = Made().wait(1)
    for sound, n_syllables in ((100, 8), (101, 11), (102, 7), (102, 7), (103, 13)):
        made.say(sound, n_syllables).wait(6)
    soundfile.write(tmp_path / "a test.wav", made.samples(-60), RATE_HZ)
    fourth = "4. Seven times seven is what?\n" if is_on_paper else ""
    paper = (
        "1. What is seven times eight, Otto?\n2. What is half of ninety-six in all, Otto?\n"
        f"3. Seven times nine is what?\n{fourth}"
        f"{5 if is_on_paper else 4}. How many boats are there in the harbour, and where?\n"
    )
    draft, _ = drafted(tmp_path, paper)

    once, twice = [1, 1, 1, 1, 1], [1, 1, 2, 1]
    assert [len(one.readings) for one in draft.questions] == (once if is_on_paper else twice)
    assert [one.number for one in draft.questions] == list(range(1, len(draft.questions) + 1))


@pytest.mark.usefixtures("without_ear")
@pytest.mark.parametrize("in_lists", [False, True])
def test_every_reading_has_its_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, in_lists: bool
) -> None:
    """In lists, or in comments; each begins before its speech and ends after it."""
    monkeypatch.setattr(script_text, "TAKES_IN_LISTS", in_lists)
    monkeypatch.setattr(drafts, "_refuse_unreadable", lambda *_: None)
    made = recording(tmp_path)
    _, text = drafted(tmp_path, PAPER)
    (line,) = [row for row in text.splitlines() if row.startswith("1. ")]
    clocks = [60 * int(m) + float(s) for m, s in re.findall(r"(\d+):(\d\d\.\d{3})", line)]

    assert ("reading 2" in line) != in_lists
    starts, ends = (clocks[:2], clocks[2:]) if in_lists else (clocks[::2], clocks[1::2])
    spans = zip(starts, ends, made.spans_s[1:3], strict=True)
    assert all(0.04 < s - a < 0.15 and 0.04 < b - e < 0.15 for a, b, (s, e) in spans)


@pytest.mark.usefixtures("without_ear")
def test_a_question_that_is_not_read_is_told(tmp_path: Path) -> None:
    """With the time at which to listen; the others are found."""
    recording(tmp_path, (0, 1, 3, 4))
    draft, text = drafted(tmp_path, PAPER)

    assert "question 2 of the paper was not found" in " ".join(d.whole for d in draft.all_doubts)
    assert [one.words for one in draft.questions] == ["What is seven times eight?", "Spell Otto"]
    assert "number 3 on the paper, question 2 here" in text


HEARD = (
    "Listen with care to every word.",
    "Number 1. What is 7 times 8?",
    "What is 7 times 8?",
    "Number 240 minus 98 divided by 2.",
    "240 minus 98 divided by two",
    "Number 3, spell Otto.",
    "Spell auto.",
    "Put your pencils down.",
)


def test_without_a_paper_an_ear_writes_down_the_words(tmp_path: Path) -> None:
    """Numbers in order: "Number 240 …" is number 2 where that is next. All words are doubtful."""
    recording(tmp_path)
    draft, text = drafted(tmp_path, None, StubEar(HEARD))

    assert [one.number for one in draft.questions] == [1, 2, 3]
    assert [len(one.readings) for one in draft.questions] == [2, 2, 2]
    assert "all words are a recogniser's" in text
    assert 'words="Number 3, spell Otto."' in text


def test_another_number_is_told_with_its_time(tmp_path: Path) -> None:
    """Heard "9" for "eight" in every manner; "auto" for "Otto" is told by no one."""
    recording(tmp_path)

    class Firm(StubEar):
        def heard(self, clips: Sequence[object], manner: str) -> list[str]:
            return super().heard(clips, "figures" if manner else manner)

    other = [text.replace("7 times 8", "7 times 9") for text in HEARD]
    draft, _ = drafted(tmp_path, PAPER, Firm(other))
    told = [(one.number, d.sentence) for one in draft.questions for d in one.doubts]

    assert {number for number, _ in told} == {1}
    assert "on the paper “eight”, heard “nine”" in {sentence for _, sentence in told}


class SameEar(StubEar):
    """An ear that hears the same in every manner."""

    def heard(self, clips: Sequence[object], manner: str) -> list[str]:
        """Return what is heard."""
        return super().heard(clips, "figures" if manner else manner)


def test_questions_in_another_order_are_told_and_have_their_words(tmp_path: Path) -> None:
    """Questions 2 and 3 are read the other way round: both keep the words that are heard."""
    recording(tmp_path, (0, 1, 3, 2, 4))
    third = ["Number 2, spell Otto.", "Spell auto."]
    second = ["Number 3. 240 minus 98 divided by 2.", "240 minus 98 divided by two"]
    draft, text = drafted(tmp_path, PAPER, SameEar([*HEARD[:3], *third, *second, HEARD[-1]]))
    told = [(one.number, d.sentence) for one in draft.questions for d in one.doubts]

    assert [one.words for one in draft.questions][1:] == [
        "Spell Otto", "What is 240 minus 98 divided by two?",
    ]  # fmt: skip
    assert any(number in (2, 3) and "in another order" in sentence for number, sentence in told)
    assert "number 3 on the paper, question 2 here" in text
    assert not [sentence for number, sentence in told if number == 1]


@pytest.mark.parametrize(
    "invented",
    ["Seventy one plus eleven minus fourteen", "What is ninety seven times two?", "Spell harbour"],
)
@pytest.mark.parametrize("number", [2, 3])
def test_a_question_that_is_not_read_takes_no_reading_of_another(
    tmp_path: Path, number: int, invented: str
) -> None:
    """The two readings of the question before it stay together, whatever their lengths suggest."""
    recording(tmp_path)
    asked = re.findall(r"(?m)^\d\. (.*)$", PAPER)
    asked.insert(number - 1, invented)
    head, *_, end = PAPER.strip().split("\n")
    paper = [head, *(f"{n}. {one}" for n, one in enumerate(asked, 1)), end]
    draft, _ = drafted(tmp_path, "\n".join(paper), SameEar(HEARD))

    assert [len(one.readings) for one in draft.questions] == [2, 2, 2]
    told = {one.sentence for one in draft.all_doubts}
    assert f"question {number} of the paper was not found" in told
    assert not [one for one in told if "not on the paper" in one or "reading found" in one]


def test_a_text_that_an_ear_writes_down_twice_is_no_doubt(tmp_path: Path) -> None:
    """Recognisers double short texts; nor is zero another number than nought."""
    recording(tmp_path)
    paper = PAPER.replace("98", "0")
    heard = [text.replace("98", "zero") for text in HEARD]
    heard[2] = "What is 7 times 8? What is 7 times 8?"
    heard[3] = "Number 2. 240 minus zero divided by 2."
    draft, _ = drafted(tmp_path, paper, SameEar(heard))

    assert [one.sentence for one in draft.all_doubts] == []


@pytest.mark.parametrize(
    ("values_ms", "expected"),
    [
        ([6000, 6000, 3000, 6000], [(2, 6000)]),
        ([6000, 12_000, 6000, 6000, 6000], [(1, 6000)]),
        ([3000, 6000, 6000], [(0, 6000)]),
        ([5000, 5000, 2500, 10_000, 10_000], [(2, 5000)]),
        ([5000, 5000, 5000, 4500, 9000, 9000], [(3, 5000)]),
        ([5000, 5000, 5000, 5000, 9000, 9000], []),
        ([6000, 6000, 10_000], []),  # the first of a group that is longer, for all one knows
        ([6000, 6000, 10_000, 10_000], []),
        ([6000, 12_000, 6000, 12_000, 6000], []),  # so it is meant
        ([6000, None, 3000, 6000], [(2, 6000)]),
        ([6000, 3000], []),
    ],
)
def test_a_silence_unlike_those_around_it_is_told(
    values_ms: list[int | None], expected: list[tuple[int, int]]
) -> None:
    """Shorter than both beside it by a third, or longer by nearly half where those agree."""
    assert unusual(values_ms) == expected


@pytest.mark.usefixtures("without_ear")
@pytest.mark.parametrize(
    ("change", "error", "part"),
    [
        (lambda _: None, PausewrightError, "the machine's ear is needed"),
        (lambda folder: (folder / "draft.md").write_text("mine"), OutputError, "left as it is"),
    ],
)
def test_nothing_is_written_where_something_is_missing(
    tmp_path: Path, change: Callable[[Path], object], error: type[Exception], part: str
) -> None:
    """No paper and no ear; a script that is there."""
    recording(tmp_path)
    change(tmp_path)
    before = {one.name: one.read_bytes() for one in tmp_path.iterdir()}

    with pytest.raises(error, match=part):
        drafted(tmp_path, None)
    assert {one.name: one.read_bytes() for one in tmp_path.iterdir()} == before


@pytest.mark.usefixtures("without_ear")
def test_a_paper_of_another_test_is_refused(tmp_path: Path) -> None:
    """Twelve long questions are not what is read in this recording."""
    recording(tmp_path)
    long = "Work out how many litres of water flow through the old mill in a summer of ninety days"
    paper = "\n".join(f"{n}. {long}, less {n} hundred and {n}" for n in range(1, 13))

    with pytest.raises(SoundError, match="does not seem to belong"):
        drafted(tmp_path, paper)


@pytest.mark.usefixtures("without_ear")
def test_a_letter_is_no_paper_of_this_recording(tmp_path: Path) -> None:
    """A paper without questions is judged by its sentences."""
    recording(tmp_path)
    sentence = "The coach to the island museum leaves from the lower gate of the yard at ten past "
    paper = "Dear all,\n" + " ".join(f"{sentence * 3}{hour}." for hour in ("nine", "ten", "noon"))

    with pytest.raises(SoundError, match=r"of its . sentences (is|are) found"):
        drafted(tmp_path, paper)


SENTENCES = (
    ("The ferry left the old harbour at noon.", 11),
    ("It was late.", 3),
    ("Nobody on the upper deck had seen the weather coming over the hills.", 17),
    ("Then it rained.", 4),
    ("All the cars were wet, and so were the two dogs of the captain.", 16),
    ("He laughed.", 2),
    ("On the far side of the water a bell was ringing.", 13),
    ("We went home.", 3),
)


@pytest.mark.usefixtures("without_ear")
@pytest.mark.parametrize("pause_s", [0.3, 1.2])
def test_a_passage_is_bound_sentence_by_sentence(tmp_path: Path, pause_s: float) -> None:
    """One paragraph of eight sentences: read without pauses one stretch, else one for each."""
    made = Made().wait(1)
    for i, (_, n_syllables) in enumerate(SENTENCES):
        made.say(200 + i, n_syllables).wait(pause_s)
    soundfile.write(tmp_path / "a test.wav", made.wait(1).samples(-60), RATE_HZ)
    draft, _ = drafted(tmp_path, " ".join(text for text, _ in SENTENCES))

    assert " ".join(one.words for one in draft.said) == " ".join(text for text, _ in SENTENCES)
    assert all(not one.doubts for one in draft.said)
    starts = [one.readings[0].start_ms / 1000 for one in draft.said]
    expected = [start for start, _ in made.spans_s] if pause_s > 1 else [made.spans_s[0][0]]
    assert starts == pytest.approx(expected, abs=0.05)


def test_a_sentence_in_several_runs_is_compared_with_what_is_heard(tmp_path: Path) -> None:
    """Its runs are heard one by one; another word in all hearings is told."""
    made = Made().wait(1).say(1, 8).wait(1.2).say(2, 9).wait(1.2).say(3, 7).wait(1.5)
    soundfile.write(tmp_path / "a test.wav", made.samples(-60), RATE_HZ)
    paper = "The harbour master of Dunmere, who had seen many storms, was quite calm."
    heard = ["The harbour master of Dunmere", "who had seen forty storms", "was quite calm"]
    draft, _ = drafted(tmp_path, paper, StubEar(heard))

    (one,) = draft.said
    assert one.words == paper
    assert [doubt.sentence for doubt in one.doubts] == ["on the paper “many”, heard “forty”"]


@pytest.mark.parametrize(
    ("measured_ms", "expected"),
    [(5930, 6000), (10_210, 10_000), (2480, 2500), (1960, 2000), (14_800, 15_000), (44_700, 45_000),
     (89_700, 90_000), (730, 700), (3490, 3500)],
)  # fmt: skip
def test_silences_are_rounded_to_likely_values(measured_ms: int, expected: int) -> None:
    """Whole and half seconds; long ones multiples of five (common practice, no source)."""
    assert likely_ms(measured_ms) == expected


def test_neighbours_share_a_value() -> None:
    """What differs little was meant to be the same; None stays None."""
    assert likely_values([5880, None, 6140, 6290, 12_100]) == [6000, None, 6000, 6000, 12_000]


def test_a_paper_becomes_what_is_read() -> None:
    """Numbers of lists, numbers in the text, rows of tables; options belong to their question."""
    paper = Paper(
        (
            Line("Quiz", "heading"),
            Line("Listen."),
            Line("How far is it?", "item", "1."),
            Line("two miles", "item", "a)", 1),
            Line("Question 2: Spell ship."),
            Line("3", "cell", row=0),
            Line("harbour", "cell", row=0),
            Line("Turn over", "margin"),
        )
    )
    found = [(one.kind, one.number, one.text) for one in units_of(paper)]

    assert found == [
        ("heading", None, "Quiz"),
        ("text", None, "Listen."),
        ("question", 1, "How far is it? a) two miles"),
        ("question", 2, "Spell ship."),
        ("question", 3, "harbour"),
    ]


@pytest.mark.usefixtures("without_ear")
def test_the_command_tells_doubts_and_prints_json(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """JSON holds each reading with its ±."""
    from pausewright.cli.commands.draft import draft  # noqa: PLC0415  as the command is loaded

    recording(tmp_path)
    (tmp_path / "paper.txt").write_text(PAPER, encoding="utf-8")
    draft(
        tmp_path / "a test.wav", script=tmp_path / "d.md", text=tmp_path / "paper.txt", as_json=True
    )
    data = json.loads(capsys.readouterr().out)

    assert [row["question"] for row in data["lines"]] == [None, 1, 2, 3, None]
    assert data["lines"][1]["answer_time_s"] == 6
    assert data["lines"][1]["readings"][0]["start_within_s"] <= 0.05
