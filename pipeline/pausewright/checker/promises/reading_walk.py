"""Questions of the walk: every reading, and the silences around it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.checker.promises.events import Said, Wild
from pausewright.checker.promises.material_walk import MaterialWalk, between_s
from pausewright.checker.promises.reading_counts import (
    dictation_order,
    n_read,
    passage_order,
    reads_what_is_inside,
)
from pausewright.checker.promises.templates import announced
from pausewright.checker.promises.written import ends_with_words
from pausewright.checker.result.items import Asked
from pausewright.script.declared import PatternPause
from pausewright.script.inlines import plain
from pausewright.script.model import (
    Dictation,
    Options,
    Passage,
    Prose,
    Sound,
    SubQuestion,
    Text,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.problems import Place
    from pausewright.script.model import (
        Again,
        Delivery,
        Inline,
        Question,
        QuestionContent,
    )


class ReadingWalk(MaterialWalk):
    """Notes readings of questions."""

    def question(self, question: Question) -> None:
        """Rule 4, with the readings and the look time of the arrangement."""
        track, delivery = self._track, question.delivery
        if question.printed:
            return
        base = Said("question", Asked(question.ref), 1, question.place, track.at)
        if question.withdrawn:
            shown = track.is_shown("instruction", track.policy(delivery.captions))
            voice = track.voice(delivery.speech.voice)
            line = replace(base, role="instruction", voice=voice, is_shown_whole=shown)
            track.say(replace(line, chunks=(Wild(),)))
            track.heard[track.at].append(delivery.readings.value)
            track.answer(delivery.answer_time, line, question.place, is_of_row=True)
        elif any(isinstance(one, SubQuestion) for one in question.content):
            self._with_parts(question, base)
        elif delivery.pattern.value is not None:
            self._by_pattern(question, base, delivery.pattern.value)
            self._close(delivery, base, question.place)
        else:
            label = str(question.number)
            self._read(question.content, delivery, base, label, question.part, question)

    def _close(self, delivery: Delivery, base: Said, place: Place) -> None:
        self._track.answer(
            delivery.answer_time, base, place,
            is_of_row=True, is_cued=delivery.time_cue.value is not None,
        )  # fmt: skip

    def _by_pattern(self, question: Question, base: Said, name: str) -> None:
        track = self._track
        pattern = track.settings.patterns.get(name)
        if pattern is None:
            return
        steps = list(pattern.steps)
        delivery = question.delivery
        more = (self._n_declared or 0) - delivery.readings.value
        if pattern.again_steps:
            for _ in range(max(0, more)):
                steps.append(PatternPause(between_s(delivery, 1), pattern.place))
                steps += pattern.again_steps
        label, n_readings = str(question.number), delivery.readings.value
        follows_words = False
        for nodes in track.templates.steps(
            steps, question.place, label, question.part, n_readings, question.content
        ):
            self.line(nodes, base, delivery.captions, delivery.speech, follows_words=follows_words)
            follows_words = ends_with_words(nodes)
        self._track.heard[track.at].append(0)

    def _look(self, question: Question, base: Said) -> None:
        looks = self._track.arrangement.look_time
        if looks is None or looks.before_questions_s is None:
            return
        self._track.wait("look-time", looks.before_questions_s, base, question.place)

    def _read(
        self,
        content: Sequence[QuestionContent],
        delivery: Delivery,
        base: Said,
        label: str,
        part: str,
        question: Question | None = None,
    ) -> None:
        """Note all readings of a question or sub-question, and its answer time."""
        track = self._track
        n_readings = n_read(delivery, content, self._n_declared)
        goes_inside = reads_what_is_inside(delivery, content)
        if question is not None:
            self._note(content, n_readings, goes_inside=goes_inside)
        answer = delivery.answer_time
        ends_itself = answer is None or answer.value is None
        for reading in range(1, n_readings + 1):
            now = replace(base, reading=reading)
            template = announced(delivery, reading, is_passage=False)
            looks = track.arrangement.look_time
            if reading == 1 and template is None and looks and question is not None:
                template = looks.words if looks.before_questions_s is not None else None
            nodes = (
                []
                if template is None
                else track.templates.filled(
                    template, base.place, label, part, n_readings, reading, content
                )
            )
            self._announce(template, now, delivery, nodes)
            if reading == 1 and question is not None:
                self._look(question, now)
            is_last = reading == n_readings
            self._content(
                content, delivery, now,
                is_of_row=is_last and ends_itself, goes_inside=goes_inside,
            )  # fmt: skip
            if not is_last:
                wait_s = between_s(delivery, reading)
                track.wait("between-readings", wait_s, now, base.place)
        self._close(delivery, replace(base, reading=n_readings), base.place)

    def _note(
        self, content: Sequence[QuestionContent], n_readings: int, *, goes_inside: bool
    ) -> None:
        """Keep how often the block is heard, for what instructions state."""
        heard = self._track.heard[self._track.at]
        if not goes_inside:
            heard.append(n_readings)
            return
        for one in content:
            if isinstance(one, Passage):
                heard.append(len(passage_order(one, self._n_declared)))
            elif isinstance(one, Dictation):
                order = dictation_order(one, self._n_declared)
                heard.append(sum(one.phrase_readings if o == "phrases" else 1 for o in order))

    def _with_parts(self, question: Question, base: Said) -> None:
        track, delivery = self._track, question.delivery
        label = str(question.number)
        template = announced(delivery, 1, is_passage=False)
        looks = track.arrangement.look_time
        if template is None and looks and looks.before_questions_s is not None:
            template = looks.words
        nodes = (
            []
            if template is None
            else track.templates.filled(
                template, base.place, label, question.part,
                self._n_declared or delivery.readings.value, 1, question.content,
            )
        )  # fmt: skip
        self._announce(template, base, delivery, nodes)
        self._look(question, base)
        for one in question.content:
            if isinstance(one, SubQuestion):
                item = Asked(question.ref.sub(one.letter))
                part_base = replace(base, item=item, place=one.place)
                self._read(one.content, one.delivery, part_base, f"{label}{one.letter}",
                           question.part)  # fmt: skip
            else:
                self._content([one], delivery, base, is_of_row=False, goes_inside=True)
        declared = self._n_declared or delivery.readings.value
        self._track.heard[track.at].append(declared)

    def again(self, again: Again, question: Question) -> None:
        """Note an earlier question once more."""
        track, delivery = self._track, question.delivery
        base = Said("question", Asked(question.ref, "again"), 1, again.place, track.at)
        name = again.delivery.pattern.value
        if name is not None or delivery.pattern.value is not None:
            if name is not None:
                self._plain_pattern(question, base, name)
            else:
                self._by_pattern(question, base, delivery.pattern.value or "")
        else:
            label = str(question.number)
            template = announced(delivery, 1, is_passage=False)
            looks = track.arrangement.look_time
            if template is None and looks and looks.before_questions_s is not None:
                template = looks.words
            n_readings = n_read(delivery, question.content, self._n_declared)
            nodes = (
                []
                if template is None
                else track.templates.filled(
                    template, base.place, label, question.part, n_readings, 1, question.content
                )
            )
            self._announce(template, base, delivery, nodes)
            for one in question.content:
                if isinstance(one, SubQuestion):
                    own = announced(one.delivery, 1, is_passage=False)
                    n_own = n_read(one.delivery, one.content, self._n_declared)
                    filled = (
                        []
                        if own is None
                        else track.templates.filled(
                            own, base.place, f"{label}{one.letter}", question.part, n_own, 1,
                            one.content,
                        )
                    )  # fmt: skip
                    self._announce(own, base, one.delivery, filled)
                    self._content(one.content, one.delivery, base, is_of_row=False,
                                  goes_inside=reads_what_is_inside(one.delivery, one.content),
                                  )  # fmt: skip
                else:
                    inside = reads_what_is_inside(delivery, question.content) or any(
                        isinstance(x, SubQuestion) for x in question.content
                    )
                    self._content([one], delivery, base, is_of_row=False, goes_inside=inside)
        track.answer(again.delivery.answer_time, base, again.place, is_of_row=True)

    def _plain_pattern(self, question: Question, base: Said, name: str) -> None:
        """Note a pattern as it stands: an `again` has its own."""
        kept, self._n_declared = self._n_declared, None
        self._by_pattern(question, base, name)
        self._n_declared = kept

    # ---- contents

    def _content(
        self,
        content: Sequence[QuestionContent],
        delivery: Delivery,
        base: Said,
        *,
        is_of_row: bool,
        goes_inside: bool,
    ) -> None:
        """Note one reading of a content; what is inside has the further ones if `goes_inside`."""
        kept = self._n_declared
        for one in content:
            if isinstance(one, Prose):
                self.prose(one, base, delivery.captions)
            elif isinstance(one, Options):
                for option in one.options:
                    nodes = _option(option.letter, option.prose)
                    self.prose(option.prose, base, delivery.captions, nodes)
            elif isinstance(one, Passage | Dictation):
                self._n_declared = kept if goes_inside else None
                if isinstance(one, Passage):
                    self.passage(one, base, is_inside=True, is_of_row=is_of_row)
                else:
                    self.dictation(one, base, is_inside=True, is_of_row=is_of_row)
                self._n_declared = kept


def _option(letter: str, prose: Prose) -> list[Inline]:
    """Return an answer to choose, its letter first; a picture's letter alone."""
    is_picture = all(isinstance(n, Sound) or not plain((n,)).strip() for n in prose.inlines)
    lead = Text(f"{letter}. ", prose.place)
    return [lead] if is_picture else [lead, *prose.inlines]
