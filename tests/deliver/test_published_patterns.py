"""Published patterns of tests by ear as structures: built, and measured on the delivered file.

Only the structure is taken (how often, how long, in which order); all words are invented. Each
source is named beside its test; silences are measured here, without the product's own meter.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import soundfile
from pausewright.deliver.build import Options, build
from pausewright.plan.steps import steps
from pausewright.plan.timeline import Mark, Say, Wait
from pausewright.script.reader import read
from pausewright.wording.worded import Worded
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.plan.timeline import Step

HEAD = '---\ntitle: Pattern\nlanguage: en-GB\nvoice: joe\naccept-voice-language: "invented"\n'


def _built(folder: Path, text: str) -> tuple[list[float], tuple[Step, ...]]:
    """Build a script; return the silences of 1 s and more on the file, and the plan."""
    script = folder / "pattern.md"
    script.write_text(HEAD + text, encoding="utf-8")
    options = Options(
        folder / "out", ("wav",), engines=fake_engines(FakeEngine()),
        profiles=fake_profiles(folder),
    )  # fmt: skip
    built = build(script, options)
    assert built.is_good
    samples, rate_hz = soundfile.read(next((folder / "out").rglob("*[!k].wav")), dtype="int16")
    heard = np.flatnonzero(samples)
    gaps = np.diff(heard)
    found = [float(g - 1) / rate_hz for g in gaps if g > rate_hz]
    return found, steps(Worded(read(script).script))


def test_a_ladder_of_answer_times(tmp_path: Path) -> None:
    """AA-10: 5 s, 10 s, 15 s in three sections, each told before its section.

    Source: DfE/STA national curriculum mental mathematics tests, notes for administrators
    (2004, 2005, 2013 and 2014 copies agree).
    """
    groups = "".join(
        f'## Section {n} {{answer-time="{n * 5} s"}}\n\n'
        f'You have [{words} seconds]{{states="answer-time"}} for each.\n\n'
        f"{2 * n - 1}. Write one number.\n{2 * n}. Write another number.\n\n"
        for n, words in enumerate(("five", "ten", "fifteen"), 1)
    )
    found, _ = _built(tmp_path, f"---\n\n# Test\n\n{groups}# End\n\nStop writing.\n")

    assert [round(s, 3) for s in found] == [5, 5, 10, 10, 15, 15]


def test_twice_with_pauses_is_its_own_declaration(tmp_path: Path) -> None:
    """AA-11: a modified recording plays texts twice and adds pauses; a standard one plays once.

    Source: British Council, IELTS special arrangements, hearing difficulties.
    """
    passage = '::: passage {{{}answer-time="20 s"}}\nThe ferry left.\n\nIt came back.\n:::\n\n'
    text = "---\n\n# Talk\n\n{}# End\n\nStop writing.\n"
    once, _ = _built(tmp_path, text.format(passage.format("")))
    more = passage.format('readings="2" between-readings="9 s" between-paragraphs="3 s" ')
    twice, _ = _built(tmp_path, text.format(more))

    assert [round(s, 3) for s in once] == [20]
    assert [round(s, 3) for s in twice] == [3, 9, 3, 20]


def test_the_supervisor_stops_at_marked_points(tmp_path: Path) -> None:
    """AA-13: special versions are stopped by the supervisor at marked points.

    Source: Cambridge English, guidance notes for teachers, listening tests (third-party copy).
    """
    stop = '::: stop {for="12 s"}\nThe recording stops here.\n:::\n\n'
    passage = "::: passage\nThe ferry left.\n:::\n\n"
    text = f"---\n\n# Talk\n\n{stop}{passage}{stop}# End\n\nStop writing.\n"
    found, plan = _built(tmp_path, text)
    at_stops = [
        plan[i + 2] for i, step in enumerate(plan) if isinstance(step, Mark) and step.kind == "stop"
    ]

    assert [round(s, 3) for s in found] == [12, 12]
    assert [(s.kind, s.wait_s) for s in at_stops if isinstance(s, Wait)] == [
        ("hold", Fraction(12))
    ] * 2


def test_a_word_a_sentence_and_the_word_again(tmp_path: Path) -> None:
    """AA-21: each spelling is said three times: word, in a sentence, word.

    Source: STA, example administrators' scripts, 2 January 2014; 2017 guidance.
    """
    settings = (
        "answer-time: 12 s\npattern: spelling\npatterns:\n  spelling:\n"
        '    - say: "Spelling {number}. The word is {1}."\n    - pause: 1.5 s\n    - say: "{2}"\n'
        '    - pause: 1.5 s\n    - say: "The word is {1}."\n---\n\n'
    )
    words = (("harbour", "The boat lies in the harbour."), ("gull", "A gull cried."))
    questions = "".join(f"{n}. {w}\n\n    {s}\n\n" for n, (w, s) in enumerate(words, 1))
    found, plan = _built(tmp_path, f"{settings}# Words\n\n{questions}# End\n\nStop writing.\n")
    said = [step.element.words for step in plan if isinstance(step, Say)]  # type: ignore[union-attr]

    assert [round(s, 3) for s in found] == [1.5, 1.5, 12] * 2
    for word, sentence in words:
        at = said.index(sentence)
        assert [word in said[at + step] for step in (-1, 0, 1)] == [True, True, True]
    assert Fraction(12) == sum(
        (s.wait_s for s in plan if isinstance(s, Wait) and s.kind == "answer-time"), Fraction(0)
    ) / len(words)
