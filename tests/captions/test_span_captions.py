"""Captions of a few words: what is withheld leaves a mark, what is shown alone stands alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from pausewright.captions.cues import shown_text
from pausewright.checker.check import check_track
from pausewright.deliver.build import Options, build
from pausewright.plan.steps import steps
from pausewright.plan.timeline import Say
from pausewright.script.reader import read
from pausewright.wording.worded import Worded
from support.scripts.short_scripts import HEAD, worded
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from pathlib import Path

REASON = 'captions-reason="invented"'


def shown(folder: Path, text: str) -> list[str]:
    """Return what candidates may see of each sound of a script, without what shows nothing."""
    plan = steps(worded(folder, HEAD + text + "\n\nThank you.\n"))
    return [s for step in plan if isinstance(step, Say) and (s := shown_text(step))]


@pytest.mark.parametrize(
    ("written", "caption"),
    [
        ('Hear [orchard]{captions="nothing"} once more.', "Hear … once more."),
        ('[Orchard]{captions="nothing"} once more.', "… once more."),
        ('Hear [orchard]{captions="nothing"}.', "Hear …."),
        ('Hear [or]{captions="nothing"} [chard]{captions="nothing"} now.', "Hear … now."),
        ('Hear [**old** orchard]{captions="nothing" say="pear"}, now.', "Hear …, now."),
        ('Hear [or]{captions="instructions"} now.', "Hear or now."),
        ('A [b [c]{captions="instructions"}]{captions="nothing"} d.', "A … c d."),
    ],
)
def test_words_withheld_in_an_instruction(tmp_path: Path, written: str, caption: str) -> None:
    """They become one mark; what stands around them stays."""
    assert shown(tmp_path, written) == [caption, "Thank you."]


@pytest.mark.parametrize(
    ("written", "caption"),
    [
        (f'[Turn over.]{{captions="everything" {REASON}}} Where is it?', ["Turn over."]),
        (f'On [page four]{{captions="everything" {REASON}}} is it?', ["… page four …"]),
        ('Where is [it]{captions="instructions"} now?', []),
        ('Where is [it]{captions="nothing"} now?', []),
    ],
)
def test_words_shown_in_a_question(tmp_path: Path, written: str, caption: list[str]) -> None:
    """Only they are shown; a span that follows the instructions shows nothing there."""
    question = f'1. {written} {{key="x" answer-time="6 s" readings="1"}}'

    assert shown(tmp_path, question) == ["Number 1.", *caption, "Thank you."]


def test_an_open_question_can_withhold_a_word(tmp_path: Path) -> None:
    """Everything but that word, and not what follows the instructions, which do not ask."""
    question = (
        '1. [Which]{captions="instructions"} word is [sea]{captions="nothing"}? '
        f'{{key="x" answer-time="6 s" readings="1" captions="everything" {REASON}}}'
    )

    assert shown(tmp_path, question) == ["Number 1.", "… word is …?", "Thank you."]


def test_showing_a_question_needs_a_reason(tmp_path: Path) -> None:
    """On the words or in the settings."""
    file = tmp_path / "test.md"
    asked = '1. Go [on]{captions="everything"}? {answer-time="6 s"}\n\nThank you.\n'

    bare = read(file, HEAD + asked).problems
    given = read(file, HEAD.replace("readings: 2", "readings: 2\ncaptions-reason: x") + asked)

    assert [p.code for p in bare] == ["captions-reason"]
    assert given.problems == ()


def test_the_check_knows_what_may_be_shown(tmp_path: Path) -> None:
    """The captions as built pass; with the withheld word, or without a shown one, they do not."""
    script = tmp_path / "test.md"
    script.write_text(
        HEAD + "\nHear the harbour in the morning, and remember it.\n\n"
        'Say [orchard]{captions="nothing"} once more.\n\nThank you.\n',
        encoding="utf-8",
    )
    built = build(
        script,
        Options(
            tmp_path / "out", ("wav",), engines=fake_engines(FakeEngine(ramp_s=0.02)),
            profiles=fake_profiles(tmp_path),
        ),
    )  # fmt: skip
    assert built.is_good
    track = next((tmp_path / "out").rglob("*[!k].wav"))
    good = track.with_suffix(".srt").read_text(encoding="utf-8")
    file = tmp_path / "other.srt"

    def codes(text: str) -> list[str]:
        file.write_text(text, encoding="utf-8")
        found = check_track(track, worded_again(script), edition=None, captions=[file]).findings
        return [f.code for f in found if f.code.startswith("caption")]

    assert "Say … once more." in good
    assert codes(good) == []
    assert codes(good.replace("…", "orchard")) == ["caption-withheld", "caption-missing"]
    assert "caption-withheld" in codes(good.replace("Say … once more.", "Say once more."))


def worded_again(script: Path) -> Worded:
    """Return a script's words, read anew."""
    return Worded(read(script).script)
