"""What the check makes of what its ear hears: a stub hears, tracks are laid by hand."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import jsonschema
import numpy as np
import pytest
from pausewright.checker.check import check_track
from pausewright.checker.ear.clips import clips, widened
from pausewright.checker.ear.compare import compare
from pausewright.checker.ear.hearing import Ear, hear
from pausewright.checker.ear.recogniser import EAR_RATE_HZ
from pausewright.checker.ear.spoken import spoken
from pausewright.checker.ear.weigh import (
    opinions,
    pairs_of_texts,
    saying,
)
from pausewright.checker.limits.heard import AS_LIKELY, FAR_LIKELIER, TEEN_AS_LIKELY
from pausewright.checker.listen.listen import listen
from pausewright.checker.report.report import as_json, as_text, schema
from support.tracks.checker_tracks import (
    QUESTIONS,
    SCRIPT,
    Say,
    index,
    laid,
    layout,
    worded,
    written,
)
from support.voices.ear_stub import Stub
from support.voices.fake_voice import utterance

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.ear.compare import Comparison
    from pausewright.checker.ear.weigh import Opinion
    from pausewright.checker.result.findings import CheckResult


def _said() -> list[str]:
    """Return the words of the good track, in order."""
    return [item.words for item in layout() if isinstance(item, Say)]


def _checked(folder: Path, stub: Stub, text: str = SCRIPT) -> CheckResult:
    track = written(folder / "t.wav", laid(layout()))
    return check_track(track, worded(folder, text), edition=None, ear=Ear(stub))


def _codes(result: CheckResult) -> list[tuple[str, str, str]]:
    return [
        (f.code, f.severity, str(f.question or ""))
        for f in result.findings
        if f.code.startswith("heard")
    ]


def _nth(tag: str) -> int:
    """Return which of the said items has a tag first."""
    items = layout()
    return sum(isinstance(item, Say) for item in items[: index(items, tag)])


def _changed(tag: str, words: str) -> list[str]:
    said = _said()
    first = _nth(tag)
    said[first] = said[first + 1] = words  # both readings are one take
    return said


def test_a_track_that_is_heard_as_written_has_no_finding(tmp_path: Path) -> None:
    """All is heard once, in the first manner, and counted."""
    stub = Stub(_said())

    result = _checked(tmp_path, stub)

    assert _codes(result) == []
    assert set(stub.manners) == {"figures"}
    assert result.ear is not None
    assert result.ear.n_heard == len(_said())
    assert [one.words for one in result.ear.uncompared] == [("…",)]  # given by its sounds
    assert result.ear.n_same == len(_said()) - 1


def test_another_number_is_an_error_at_its_place(tmp_path: Path) -> None:
    """The finding names question and time, and holds both texts; the JSON keeps to its schema."""
    result = _checked(tmp_path, Stub(_changed("2", "Take 9 from 41.")))

    assert _codes(result) == [("heard-number", "error", "2")] * 2
    finding, _ = [f for f in result.findings if f.code == "heard-number"]
    assert finding.said == "Take nine from forty."
    assert finding.heard == "Take 9 from 41."
    assert finding.at_s is not None
    assert finding.place is not None
    assert not result.is_good
    report = as_text(result)
    assert "script says: Take nine from forty." in report
    assert "heard: Take 9 from 41." in report
    assert "This report holds words of the test" in report
    data = json.loads(as_json(result))
    jsonschema.Draft202012Validator(schema()).validate(data)
    assert data["ear"]["otherwise"] == 2
    assert [row["verdict"] for row in data["questions"]][1] == "wrong"


@pytest.mark.parametrize(
    ("tag", "heard", "code"),
    [
        ("3", "A rope is 30 kilometres long and it is cut into 6 equal pieces. How long is each?",
         "heard-unit"),
        ("7", "Which of the numbers on your sheet is not a multiple of 7?", "heard-negation"),
        ("5", "Share 8 eggs equally between 72 trays, then add one to what you get.",
         "heard-order"),
        ("4", "What is a quarter of 130?", "heard-number"),
    ],
)  # fmt: skip
def test_each_kind_has_its_code(tmp_path: Path, tag: str, heard: str, code: str) -> None:
    """Units, negations and order are told apart from numbers."""
    assert _codes(_checked(tmp_path, Stub(_changed(tag, heard)))) == [(code, "error", tag)] * 2


def test_questions_in_each_others_place_are_named(tmp_path: Path) -> None:
    """What is heard in the place of another question is traced to where it belongs."""
    said = _said()
    for mine, theirs in ((_nth("1"), 1), (_nth("7"), 7)):
        said[mine] = said[mine + 1] = QUESTIONS[(6 if theirs == 1 else 0)]

    result = _checked(tmp_path, Stub(said))

    assert _codes(result) == [("heard-elsewhere", "error", n) for n in ("1", "1", "7", "7")]
    sentences = [f.sentence for f in result.findings if f.code == "heard-elsewhere"]
    assert sentences[0].endswith("those of question 7")


def test_a_later_hearing_that_agrees_settles_it(tmp_path: Path) -> None:
    """A slip of the recogniser in one manner is no finding."""
    stub = Stub(_changed("2", "Take 9 from 14."), {"Take 9 from 14.": "take nine from forty"})

    assert _codes(_checked(tmp_path, stub)) == []
    assert stub.manners.count("words") == 1  # both readings in one go
    assert stub.n_weighed == 0


def _opinion(
    said: str, heard: str, likelier: float = 20.0, *, doubted: bool = False, short: bool = False
) -> Opinion:
    stub = Stub([heard], likelier=likelier)
    clip = np.ones(100, np.float32)
    (found,) = opinions([saying(said, is_only_doubted=doubted, is_shortened=short)], [clip], stub)
    return found


def test_thresholds_decide_between_same_doubtful_and_other() -> None:
    """Just under and over each threshold."""
    said, heard = "What is seven and eight?", "What is 7 and 9?"

    assert _opinion(said, heard, AS_LIKELY - 0.01).verdict == "same"
    assert _opinion(said, heard, AS_LIKELY + 0.01).verdict == "doubtful"
    assert _opinion(said, heard, FAR_LIKELIER - 0.01).verdict == "doubtful"
    assert _opinion(said, heard, FAR_LIKELIER + 0.01).verdict == "other"
    said, heard = "There are thirteen boats on it.", "There are 30 boats on it."
    assert _opinion(said, heard, TEEN_AS_LIKELY - 0.01).verdict == "same"
    assert _opinion(said, heard, TEEN_AS_LIKELY + 0.01).verdict == "doubtful"


def test_a_negation_in_every_hearing_is_never_passed_over() -> None:
    """However likely the script's words seem, a person must listen."""
    said = "The jug on the left holds nine litres."

    assert _opinion(said, "The jug on the left does not hold 9 liters.", -5.0).matter == "negation"
    assert _opinion(said, "The jug on the left holds 8 liters.", -5.0).verdict == "same"


def test_words_lost_beside_a_figure_that_is_right_are_doubted() -> None:
    """What is weighed is the figure alone; that other words are missing it does not settle."""
    said = "You will hear each question twice."

    assert _opinion(said, "You will hear it once.", -5.0, short=True).verdict == "doubtful"
    assert _opinion(said, "You will hear it once.", -5.0).verdict == "same"


@pytest.mark.parametrize(
    ("said", "heard"),
    [
        ("There are thirteen boats on it.", "There are 30 boats on it."),  # hard to tell apart
        ("Six eights.", "Six nines."),  # too short
        ("C, A, T, and B.", "C, 8, T, and B."),  # letters
        ("There are sixty-four boats on it.", "There are 6 or 4 boats on it."),  # a muddle
        ("There are nine litres in it.", "There are nine leaders in it."),  # no unit at all
    ],
)
def test_some_differences_are_only_doubted(said: str, heard: str) -> None:
    """However likely it seems, a person must listen."""
    assert _opinion(said, heard, 30.0).verdict == "doubtful"


def test_the_texts_that_are_weighed_differ_in_one_place_only() -> None:
    """Units that were written as signs stand in the plural, as they are said."""
    said = saying("A rope of eighty-three metres costs nine pounds.")
    found = compare(said.form, spoken("A rope of 83 km costs £8.", is_heard=True))

    texts = pairs_of_texts(found.steps, [differences_at(found, "metre")])

    assert texts == (
        "a rope of eighty three kilometres costs eight pounds",
        "a rope of eighty three metres costs eight pounds",
        "a rope of eighty three kilometres costs nine pounds",
        "a rope of eighty three metres costs nine pounds",
    )


def differences_at(comparison: Comparison, said: str) -> int:
    """Return the step at which a word of the script stands."""
    return next(i for i, step in enumerate(comparison.steps) if step.said == said)


def test_verse_is_only_doubted() -> None:
    """The same difference is certain in a question, and a reason to listen in a passage."""
    said, heard = "Two roads went down to no far sea.", "Two roads went down to a far sea."

    assert _opinion(said, heard).verdict == "other"
    assert _opinion(said, heard, doubted=True).verdict == "doubtful"


def test_words_that_are_not_understood_are_a_warning() -> None:
    """Other words, no figures: listen; nothing heard at all too."""
    for heard in ("Melons are green outside.", ""):
        found = _opinion("The guard lifted her flag quickly.", heard)
        assert (found.verdict, found.matter) == ("doubtful", "words")


PASSAGE = """---
title: T
language: en-GB
loudness: -22.5 LUFS
---

# One {.printed}

::: passage {answer-time="5 s" for-questions="1"}
The river never sleeps at night.

It is [12]{say="twelve"} miles long.
:::

1. How long is it? {key="12"}

# Close

Stop now.
"""


def test_passages_without_figures_are_never_an_error(tmp_path: Path) -> None:
    """A lost "never" in a line that may be verse is a warning, a number in figures an error."""
    script = worded(tmp_path, PASSAGE)
    words = ("The river never sleeps at night.", "It is twelve miles long.")
    from support.tracks.checker_tracks import gap  # noqa: PLC0415

    wave = laid(
        [gap("0.5"), Say(words[0]), gap("0.8"), Say(words[1]), gap("5"), Say("Stop now."), gap("1")]
    )
    stub = Stub(["The river sleeps at night.", "It is 20 miles long.", "Stop now."])

    result = check_track(written(tmp_path / "p.wav", wave), script, edition=None, ear=Ear(stub))

    assert [(c, s) for c, s, _ in _codes(result)] == [
        ("heard-negation", "warning"), ("heard-number", "error"),
    ]  # fmt: skip


def test_other_languages_are_not_judged(tmp_path: Path) -> None:
    """Nothing is heard of a Spanish test; the report says so."""
    stub = Stub([])

    result = _checked(tmp_path, stub, SCRIPT.replace("language: en-GB", "language: es-ES"))

    assert stub.manners == []
    assert result.ear is not None
    assert (result.ear.n_heard, result.ear.n_other_language) == (0, len(_said()))
    assert any("in other languages than English" in caution for caution in result.cautions)


def test_progress_counts_utterances(tmp_path: Path) -> None:
    """Who waits is told how many of how many."""
    told: list[tuple[int, int]] = []
    track = written(tmp_path / "t.wav", laid(layout()))

    check_track(
        track, worded(tmp_path, SCRIPT), edition=None,
        ear=Ear(Stub(_said()), lambda done, every: told.append((done, every))),
    )  # fmt: skip

    assert told[-1] == (len(_said()), len(_said()))
    assert [done for done, _ in told] == sorted(done for done, _ in told)


def test_clips_are_what_lies_in_the_ranges(tmp_path: Path) -> None:
    """Two tones cut from a stereo file whose louder channel has them, at the ear's rate."""
    rate_hz = 48_000
    n = np.arange(3 * rate_hz)
    tone = 0.5 * np.sin(2 * np.pi * 440 * n / rate_hz)
    tone[rate_hz : 2 * rate_hz] = 0
    wave = np.stack([0.1 * tone, tone], axis=1).astype(np.float32)
    track = written(tmp_path / "s.wav", wave, rate_hz)

    found = list(clips(listen(track).kept, [(0, rate_hz), (2 * rate_hz, 3 * rate_hz)]))

    assert [len(clip) for clip in found] == [EAR_RATE_HZ, EAR_RATE_HZ]
    for clip in found:
        middle = clip[1000:-1000]
        n_crossings = np.count_nonzero(np.diff(np.signbit(middle)))
        assert abs(n_crossings / 2 / len(middle) * EAR_RATE_HZ - 440) < 1
        assert abs(float(middle.max()) - 0.5) < 0.01


def test_a_range_is_widened_into_half_the_silence_at_most() -> None:
    """50 ms before and 100 ms after, less beside a near neighbour."""
    sounds = [(0, 1000), (1040, 2000), (9000, 9500)]

    assert widened([(1040, 2000)], sounds, 10_000) == [(1020, 3000)]
    assert widened([(9000, 9500)], sounds, 10_000) == [(8500, 10_500)]


def test_takes_in_memory_are_heard(tmp_path: Path) -> None:
    """`hear` gives verdict, text and numbers for each take, in order; Spanish is left out."""
    texts = ("What is twelve times three?", "¿Cuánto es?", "Take forty from fifty.")
    pieces = [
        utterance(text, tmp_path, language="es-ES" if "¿" in text else "en-GB") for text in texts
    ]
    takes = {one: np.full((44_100, 1), 0.1 * (i + 1), np.float32) for i, one in enumerate(pieces)}
    stub = Stub(["What is 12 times 3?", "Take 40 from 60."])

    found = hear(pieces, takes.__getitem__, 44_100, Ear(stub))

    assert [one.is_judged for one in found] == [True, False, True]
    assert [one.verdict for one in found] == ["same", "", "other"]
    assert found[0].numbers_said == found[0].numbers_heard == ("12", "3")
    assert (found[2].numbers_said, found[2].numbers_heard) == (("40", "50"), ("40", "60"))
    assert found[2].matter == "number"
