"""What a track of a script must sound like: sounds and silences in order, from the script alone.

The rules of silence are worked out here once more, apart from the builder: every block of a
script becomes a run, and runs are joined. Nothing here knows samples or positions.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.expect.contents import Contents
from pausewright.checker.expect.expected import Expectation, ExpectedSilence
from pausewright.checker.expect.line_runs import Lines, cannot, shows_instructions
from pausewright.checker.expect.question_runs import Questions, row_of
from pausewright.checker.expect.runs import STRENGTH, Belongs, Run, ask, joined
from pausewright.checker.result.items import Material
from pausewright.script.model import (
    Again,
    Dictation,
    Note,
    PageTurn,
    Passage,
    Prose,
    Question,
    Stop,
)

if TYPE_CHECKING:
    from pausewright.checker.expect.line_runs import WordedScript
    from pausewright.script.model import Block, Part

LEAD_IN_S: Final = Fraction(1, 2)
RUN_OUT_S: Final = Fraction(1)


def expect(worded: WordedScript) -> Expectation:
    """Return what a track of the standard arrangement of `worded.script` must sound like.

    Raises
    ------
    ExpectationError
        If the script uses a construct that cannot be checked yet; names its line.
    """
    return _Reader(worded).expectation()


class _Reader:
    """Walks one script."""

    def __init__(self, worded: WordedScript) -> None:
        self._script = worded.script
        self._lines = Lines(worded)
        self._contents = Contents(self._lines)
        self._questions = Questions(self._lines, self._contents)
        self._n_passages = self._n_dictations = 0

    def expectation(self) -> Expectation:
        runs: list[Run] = []
        at = 0
        for part in self._script.parts:
            for block in (block for group in part.groups for block in group.blocks):
                runs.append(self._block(block, at, part))
                at += 1
            if part.answers:
                runs.append(self._questions.answers(at))
                at += 1
        whole = joined(runs)
        lead_in = ExpectedSilence("lead-in", LEAD_IN_S)
        if whole.before is not None and STRENGTH[whole.before.kind] > 0:
            lead_in = replace(
                whole.before, wait_s=LEAD_IN_S + whole.before.wait_s, lead_s=LEAD_IN_S
            )
        run_out = ExpectedSilence("run-out", RUN_OUT_S)
        silences = (lead_in, *whole.silences, run_out) if whole.sounds else (run_out,)
        return Expectation(whole.sounds, silences, tuple(self._questions.rows))

    def _block(self, block: Block, at: int, part: Part) -> Run:
        if isinstance(block, Prose):
            return self._margin(block, at)
        if isinstance(block, Question):
            return self._questions.question(block, at)
        if isinstance(block, Passage | Dictation):
            return self._material(block, at)
        if isinstance(block, Stop):
            return self._stop(block, at)
        if isinstance(block, PageTurn):
            return self._page_turn(block, at)
        if isinstance(block, Again):
            return self._questions.again(block, at, part)
        if isinstance(block, Note):
            return Run()
        raise cannot(block.place, type(block).__name__.lower())

    def _margin(self, prose: Prose, at: int) -> Run:
        """Rule 3: the line, then what it declares, else the default pause."""
        belongs = Belongs("instruction", shows_instructions(prose.captions), at)
        return self._lines.prose(prose, belongs).then(self._lines.default(belongs))

    def _material(self, block: Passage | Dictation, at: int) -> Run:
        """Rule 5: a passage or dictation at the margin, else the default pause, with its row."""
        if isinstance(block, Passage):
            self._n_passages += 1
            n_readings = len(block.order) or block.delivery.readings.value
            belongs = Belongs("passage", block=at, question=Material("passage", self._n_passages))
            run = self._contents.passage(block, belongs)
        else:
            self._n_dictations += 1
            n_readings = len(block.order)
            belongs = Belongs(
                "dictation", block=at, question=Material("dictation", self._n_dictations)
            )
            run = self._contents.dictation(block, belongs)
        last = replace(belongs, reading=n_readings)
        whole = run.then(self._lines.default(last))
        self._questions.rows.append(row_of(whole, last, block.place, n_readings))
        return whole

    def _stop(self, stop: Stop, at: int) -> Run:
        """Rule 6: cue, hold, continuation tone, "the recording continues"."""
        belongs = Belongs("cue", block=at)
        cue = self._lines.paragraphs(stop.cue, belongs)
        hold = ask(belongs.silence("hold", stop.hold_s.value, stop.place))
        return joined([cue, hold, self._lines.continuation(belongs, stop.place)])

    def _page_turn(self, turn: PageTurn, at: int) -> Run:
        """Rule 7: cue, then the page-turn time."""
        belongs = Belongs("cue", block=at)
        wait = belongs.silence("page-turn-time", turn.page_turn_time_s.value, turn.place)
        return self._lines.paragraphs(turn.cue, belongs).then(ask(wait))
