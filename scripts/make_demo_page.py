"""Write docs/demo-tests.md: who each demo is for, what it shows, and its outline.

    .venv/bin/python scripts/make_demo_page.py

The outlines are the program's own, so the page cannot say what the scripts do not; a test compares
it with what this script would write.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from pausewright.deliver.project import open_project
from pausewright.deliver.version_outline import outline, outline_text

if TYPE_CHECKING:
    from fractions import Fraction

    from pausewright.deliver.version_outline import Outline
    from pausewright.wording.line_elements import Utterance

ROOT: Final = Path(__file__).resolve().parent.parent
PAGE: Final = ROOT / "docs" / "demo-tests.md"
SCRIPTS: Final = ROOT / "demo_scripts"


class Demo(NamedTuple):
    """What the page says of one demo script beside its outline."""

    for_whom: str
    shows: tuple[str, ...]
    """What it shows; code in backquotes must stand in the script or in what it includes."""


DEMOS: Final = {
    "arithmetic": Demo(
        "a school that tests mental arithmetic, one part of it heard once only",
        (
            "a question for practice and a stop before the test: `.practice`, `::: stop`",
            'readings by part, one or two: `readings="1"`',
            "answer times by part, and instructions that must agree: `answer-time=`, `states=`",
            "figures said in words of your own: `say=`, `shown=`",
            "sheets, keys with alternatives, staff notes, a page turn: `sheet=`, `key=`",
        ),
    ),
    "dialogue": Demo(
        "a language teacher with a conversation and printed questions",
        (
            "two speakers with a voice each: `speakers:`, `**Hanna:**`, `turn-pause=`",
            "printed questions, time to look and to write: `.printed`, `look-time=`",
            "a recorded sound, a tone and a pause: `![`, `.tone`, `.pause`",
        ),
    ),
    "dictation": Demo(
        "an evening class for adults who learn English",
        (
            "whole, in phrases, whole: `::: dictation`, `order=`",
            'phrase time that grows, and a value of its own: `phrase-time="8 s to 12 s"`',
            "each phrase twice: `phrase-readings=`, `between-phrase-readings=`",
            "how fast these candidates write: `writing-rate:`",
            "a name by its sounds, and text of which nothing is shown: `ipa=`, `captions=`",
            "an opening that several tests share: `.include`",
        ),
    ),
    "first-sounds": Demo(
        "a class of five-year-olds with pictures to mark, and a teacher who watches",
        (
            "pictures as answers, each said by its letter: `- A. ![`, `width=`",
            "a sound inside a question, played twice: `::: passage`, `readings=`",
            "a recording with silent ends, brought to the level of the speech: `edges=`, `level=`",
            "a word in parts, and a slower pace: `[1.2 s]{.pause}`, `pace=`",
            'an answer time that the teacher ends: `answer-time="by hand"`',
            "what a computer's voice cannot do, said to the reader: `::: staff-note`",
        ),
    ),
    "lecture": Demo(
        "a study-skills course: notes on a talk, then questions about it",
        (
            "a talk in a voice of its own, with long pauses: `voice=`, `between-paragraphs=`",
            'room for notes, then sub-questions: `[______]{.answer lines="8"}`, `- a. `',
            "a cue when half of a long answer time is gone: `time-cue=`, `time-cue-wording:`",
            "a whole test's time, stated and compared: `test-time:`",
            "which track this is, said before the test, and a stop for the sound check: `slate:`",
            'louder, for loudspeakers: `loudness:`; a year: `as="year"`',
        ),
    ),
    "messages": Demo(
        "a teacher who practises with a class and reads the answers out afterwards",
        (
            "practice, not a test, with everything shown: `use: practice`, `captions-reason:`",
            "a recorded voice, one file a sentence: `Nela: {voice: nela`",
            "recordings in place, their words in a text or caption file: `words=`, `speaker=`",
            'a printed group with one question that is heard: `printed="no"`',
            "another take, a word of another language: `take=`, `lang=`",
            "the answers, heard and never shown: `.answers`",
            "captions that count down the answer times: `countdown:`, `countdown-wording:`",
        ),
    ),
    "money-and-time": Demo(
        "a school that tests money and time, and withdrew a question after printing",
        (
            "numbers that begin again in each part: `numbering: by-part`, `{part}`",
            "a withdrawn question that keeps its number and its time: `.withdrawn`",
            "page turns, words to mark, large print: `::: page-turn`, `.choice`, `print: {`",
            "a version with more time, declared with its basis: `arrangements:`",
        ),
    ),
    "music": Demo(
        "a music teacher with pieces to compare",
        (
            "stereo, each piece at its own level: `channels: 2`",
            'a list of silences between playings: `between-readings="10 s, 15 s"`',
            "which playing it is, said before it: `announce=`, `again=`",
            "parts of one file, with a fade: `from=`, `to=`, `fade-out=`",
            "two pieces, one after the other, with a silence of their own: `pause-after=`",
            "sub-questions, a picture and staves on the sheet: `- d. `, `width=`, `.staff-lines`",
        ),
    ),
    "pieces": Demo(
        "a candidate who lip-reads, with a person who speaks; the track is the plan",
        (
            'whole, in pieces, whole: `order="whole, pieces, whole"`',
            'a wait after each piece, and one at the end, by hand: `answer-time="by hand"`',
            "a rest, and what is said when it goes on: `.rest`, `continues-wording:`",
            "a test that may not have more time: `extra-time:`, `extra-time-reason:`",
        ),
    ),
    "science": Demo(
        "a science teacher with a report and answers to choose from",
        (
            "a passage in paragraphs, then questions twice with their answers: `between-options:`",
            "`Once more.` before the second reading: `again:`",
            "a table on the sheet, and pictures as answers: `| tray |`, `- C. ![`",
            "letters and digits, one by one: `.spell`, `.digits`",
            'a sentence in two pieces, with the time stated: `states="phrase-time"`',
        ),
    ),
    "spelling": Demo(
        "a primary school's spelling test",
        (
            "sentence, word, word: `patterns:`, `pattern:`",
            "a practice word that is spelled out afterwards: `.spell`",
        ),
    ),
    "word-list": Demo(
        "a vocational school: words of a trade, said once more at the end",
        (
            "a pattern with steps of its own for one more reading: `again:`",
            "all words again, by a shorter pattern: `::: again`, `questions=`",
            'a practice part in which one group counts: `practice="no"`',
        ),
    ),
}

HEAD: Final = """\
# Demo tests

<!-- Written by scripts/make_demo_page.py; a test compares. Change that script, not this page. -->

Tests of every kind, invented for this project, in [demo_scripts](../demo_scripts). Copy the one
that is nearest to yours and change it. `python3 scripts/demo.py` builds and checks all of them, and
says where to listen.

They are examples of the notation, not of good tests. Whether your rules permit a recorded voice, a
number of readings or a length of time is for your awarding body to say.

The sounds are computed by [a script](../scripts/make_demo_sounds.py), the pictures drawn by hand as
text. Two of the scripts are read by the British voices; the others have a voice that is quicker to
compute and give a reason for accepting its American accent.
Outlines below are as `pausewright outline` shows them before anything is voiced, so lengths of
speech are estimates; default pauses are counted and not listed.
"""


def page() -> str:
    """Return the whole page."""
    scripts = sorted(SCRIPTS.glob("*.md"))
    outlines = {script.stem: _outline(script) for script in scripts}
    rows = ["| demo | for | questions | length |", "|---|---|---:|---:|"]
    for name, (found, _) in outlines.items():
        whole_s = int(found.length_s)
        rows.append(
            f"| [{name}](#{name}) | {DEMOS[name].for_whom} | {found.n_questions} "
            f"| about {whole_s // 60}:{whole_s % 60:02d} |"
        )
    sections = [_section(script, outlines[script.stem][1]) for script in scripts]
    return "\n".join([HEAD, *rows, "", *sections])


def _outline(script: Path) -> tuple[Outline, str]:
    project = open_project(script)
    found = outline(project, _nothing_kept)
    listed = replace(found, rows=tuple(r for r in found.rows if r.kind != "default-pause"))
    # the edition changes with every word; it would make the page change with them
    head, rest = outline_text(project, listed).split("\n", 1)
    return found, f"{head.split(' — ')[0]}\n{rest}"


def _nothing_kept(utterance: Utterance) -> Fraction | None:
    del utterance
    return None


def _section(script: Path, text: str) -> str:
    demo = DEMOS[script.stem]
    return "\n".join(
        [
            f"## {script.stem}",
            "",
            f"For {demo.for_whom}. [The script](../demo_scripts/{script.name}) shows:",
            "",
            *(f"- {one}" for one in demo.shows),
            "",
            "<details><summary>Outline</summary>",
            "",
            "```text",
            text.rstrip("\n"),
            "```",
            "",
            "</details>",
            "",
        ]
    )


def main() -> None:
    """Write the page."""
    PAGE.write_text(page(), encoding="utf-8", newline="\n")
    print(f"wrote {PAGE.relative_to(ROOT)}")


if __name__ == "__main__":
    main()
