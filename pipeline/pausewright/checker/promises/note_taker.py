"""What a walk over a script writes down, and the rules that hold for every kind of block."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.promises.events import Said, Waited, Wild
from pausewright.checker.promises.templates import Templates
from pausewright.script.declared import ToneSpec
from pausewright.script.model import ByHand, Question

if TYPE_CHECKING:
    from pausewright.arrange.arrangement import Arrangement
    from pausewright.checker.expect.expected import Role
    from pausewright.checker.promises.events import Event
    from pausewright.checker.result.items import Item
    from pausewright.problems import Place
    from pausewright.script.declared import CaptionPolicy
    from pausewright.script.model import AnswerTime, InForce, Script
    from pausewright.script.silences import SilenceKind

CONTINUATION: Final = ToneSpec(frequency_hz=Fraction(520), tone_s=Fraction(2, 5))
"""Rule 6: "the tone (520 Hz, 0.4 s)"."""
BY_HAND_S: Final = Fraction(20)
"""A wait by hand is a stop without words: it holds for 20 s."""
CUE_OVER_S: Final = Fraction(30)


class NoteTaker:
    """Collects the events of one version."""

    def __init__(self, script: Script, arrangement: Arrangement) -> None:
        """Take the standard script and what is declared."""
        self.script = script
        self.settings = script.settings
        self.arrangement = arrangement
        self.templates = Templates(script)
        self.events: list[Event] = []
        self.heard: dict[int, list[int]] = defaultdict(list)
        """How often what a block holds is heard, by block."""
        self.n_looks = 0
        """Look times of the script itself."""
        self.at = 0
        """The block that is walked, counted from 0 in the standard script."""
        self.after: Item | None = None
        self._n_signs: dict[object, int] = defaultdict(int)
        self._last: Said | None = None
        self.kept = self._kept_numbers()
        """Numbers of the questions that are not left out."""

    def is_left_out(self, part_title: str, group_title: str) -> bool:
        """Say whether a part or group of these titles is left out."""
        return bool({part_title, group_title} & set(self.arrangement.leave_out))

    def _kept_numbers(self) -> set[int]:
        return {
            block.number
            for part, group, block in self.script.blocks()
            if isinstance(block, Question)
            and not block.practice
            and not self.is_left_out(part.title, group.title)
        }

    # ---- what is written down

    def policy(self, own: CaptionPolicy) -> CaptionPolicy:
        """Return what captions show: the arrangement's word goes before the script's."""
        return self.arrangement.captions or own

    def voice(self, own: str) -> str:
        """Return who says something: another voice in place of the script's."""
        declared = self.arrangement.voice
        return declared if declared and own == self.settings.voice else own

    def say(self, said: Said) -> Said:
        """Note something that is heard."""
        if said.item is not None:
            self.after = said.item
        said = replace(said, after=self.after, block=self.at)
        self._n_signs[said.key] += said.n_solid
        self._last = said
        self.events.append(said)
        return said

    def n_signs(self, said: Said) -> int:
        """Return how many solid signs were said under the key of something so far."""
        after = said.item if said.item is not None else self.after
        return self._n_signs[replace(said, after=after).key]

    def wait(
        self,
        kind: SilenceKind,
        wait_s: Fraction,
        said: Said,
        place: Place,
        *,
        at: int | None = None,
        is_answer_of_row: bool = False,
        is_of_arrangement: bool = False,
        is_last: bool = True,
    ) -> None:
        """Note a silence that is declared after what was said under the key of `said`."""
        if kind == "pause" and at is None and self._last is not None:
            said = self._last  # it stands after what was heard last
        after = said.item if said.item is not None else self.after
        last = self.events[-1] if self.events else None
        is_after_pause = isinstance(last, Waited) and last.kind == "pause" and last.is_last
        if kind == "between-readings" and is_after_pause:
            self.events.pop()  # in a further reading, the silence between stands in its place
        self.events.append(
            Waited(
                kind,
                wait_s,
                said.item,
                place,
                self.at,
                after,
                is_answer_of_row,
                said.role,
                said.reading,
                self.n_signs(said) if at is None else at,
                is_of_arrangement,
                is_last,
            )
        )

    def looked(self, own_s: Fraction) -> Fraction:
        """Return how long a look time of the script is."""
        self.n_looks += 1
        looks = self.arrangement.look_time
        return own_s if looks is None or looks.in_script_s is None else looks.in_script_s

    def is_shown(self, role: Role, policy: CaptionPolicy) -> bool:
        """Say whether words in a role may be read: those that ask only where everything may."""
        if role == "answer":
            return False
        asks = role in {"question", "passage", "dictation"}
        return policy == "everything" if asks else policy != "nothing"

    # ---- waits

    def held(
        self,
        base: Said,
        hold_s: Fraction,
        place: Place,
        *,
        is_of_row: bool = False,
        is_of_arrangement: bool = False,
    ) -> None:
        """Rule 6: the hold, the tone, "The recording continues."."""
        self.wait(
            "hold", hold_s, base, place,
            is_answer_of_row=is_of_row, is_of_arrangement=is_of_arrangement,
        )  # fmt: skip
        beep = replace(base, role="cue", reading=0, chunks=(), shown=(), marks=(), recordings=())
        self.say(replace(beep, tones=(CONTINUATION,), is_shown_whole=False))
        shown = self.is_shown("continues", self.policy(self.settings.captions))
        self.say(
            replace(
                beep,
                role="continues",
                chunks=(Wild(),),
                voice=self.voice(self.settings.voice),
                is_shown_whole=shown,
            )
        )

    def by_hand(self, base: Said, place: Place, *, is_of_row: bool = False) -> None:
        """Note a wait that the invigilator ends."""
        self.held(base, BY_HAND_S, place, is_of_row=is_of_row)

    def answer(
        self,
        declared: InForce[AnswerTime] | None,
        base: Said,
        place: Place,
        *,
        is_of_row: bool = False,
        is_cued: bool = False,
    ) -> None:
        """Note an answer time: a silence, two halves with a cue between them, or a wait by hand."""
        value = None if declared is None else declared.value
        if declared is None or value is None:
            return
        if isinstance(value, ByHand):
            self.by_hand(base, declared.place or place, is_of_row=is_of_row)
            return
        if not is_cued or value <= CUE_OVER_S:
            self.wait("answer-time", value, base, place, is_answer_of_row=is_of_row)
            return
        self.wait("answer-time", value / 2, base, place, is_answer_of_row=is_of_row)
        self.say(
            replace(
                base,
                role="cue",
                reading=0,
                chunks=(Wild(),),
                shown=(),
                voice=self.voice(self.settings.voice),
                is_shown_whole=self.is_shown("cue", self.policy(self.settings.captions)),
            )
        )
        self.wait("answer-time", value / 2, base, place, is_answer_of_row=is_of_row)
