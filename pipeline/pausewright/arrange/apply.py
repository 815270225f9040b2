"""A script as an arrangement has it: fewer parts, more readings, other voices; nothing computed.

What is changed here is declared, not worked out: no silence is stretched. Builder and checker
both start from the script that comes out; each of them adds extra time in its own way.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Final

from pausewright.arrange.arrangement import LookTimes
from pausewright.arrange.leave_out import without_parts
from pausewright.arrange.page_turns import insert_page_turns
from pausewright.arrange.readings import Readings
from pausewright.arrange.rest_breaks import insert_breaks
from pausewright.script.checks.all_checks import check_silences
from pausewright.script.model import (
    Again,
    Dictation,
    InForce,
    Option,
    Options,
    PageTurn,
    Passage,
    Prose,
    Question,
    Sound,
    Stop,
    SubQuestion,
)
from pausewright.script.recordings.given import refuse_without_rights
from pausewright.script.walk import inlines_of

if TYPE_CHECKING:
    from collections.abc import Sequence
    from fractions import Fraction

    from pausewright.arrange.arrangement import Arrangement, FieldName
    from pausewright.problems import Place, Problems
    from pausewright.script.declared import CaptionPolicy, Pattern, Settings
    from pausewright.script.model import (
        Block,
        Delivery,
        Group,
        Inline,
        QuestionContent,
        Script,
        Speech,
    )


ORIGIN: Final = "arrangement"


def apply_arrangement(script: Script, arrangement: Arrangement, problems: Problems) -> Script:
    """Return the script with everything but pauses, extra time and stated values as declared.

    The order is: parts left out; readings; look time; captions, voice, loudness and pace; rest
    breaks; page turns. `problems` takes what cannot be done, at the place of its declaration.
    """
    if not arrangement.changes:
        return script
    refuse_without_rights(script, arrangement.place_of("basis", script.path), problems)
    return _Arranger(script, arrangement, problems).script()


class _Arranger:
    def __init__(self, script: Script, arrangement: Arrangement, problems: Problems) -> None:
        self._script = script
        self._arrangement = arrangement
        self._problems = problems
        self._patterns: dict[str, Pattern] = dict(script.settings.patterns)
        self._looks = arrangement.look_time or LookTimes()
        self._n_look_times = 0
        self._without_look_time: list[Question] = []
        self._refused: set[str] = set()
        self._readings: Readings | None = None
        self._is_given = script.settings.given is not None
        if arrangement.readings is not None:
            self._readings = Readings(
                arrangement.readings,
                self._patterns,
                lambda message, hint: self._refuse("readings", message, hint),
            )

    def script(self) -> Script:
        titles = self._arrangement.leave_out
        kept = without_parts(self._script.parts, titles, partial(self._refuse, "leave-out"))
        parts = tuple(
            replace(part, groups=tuple(self._group(group) for group in part.groups))
            for part in kept
        )
        if self._looks.in_script_s is not None and not self._n_look_times:
            self._refuse(
                "look-time",
                "nothing here has a look time that could be longer",
                'give a paragraph or passage {look-time="…"}, or write look-time: '
                "{before-questions: 15 s}",
            )
        self._warn_of_orders()
        self._warn_of_patterns()
        _warn_of_recordings(self._script, self._arrangement, self._problems)
        script = replace(self._script, parts=parts, settings=self._settings())
        script = insert_breaks(script, self._arrangement, self._problems)
        script = insert_page_turns(script, self._arrangement, self._problems)
        if self._arrangement.leave_out or self._arrangement.rest_breaks is not None:
            check_silences(script, self._problems)
        return script

    def _place(self, name: FieldName) -> Place:
        return self._arrangement.place_of(name, self._script.path)

    def _refuse(self, name: FieldName, message: str, hint: str) -> None:
        """Add a problem; one is enough for what holds for many questions alike."""
        key = message if name == "leave-out" else name
        if key not in self._refused:
            self._refused.add(key)
            self._problems.error(self._place(name), message, hint, code="arrangement-impossible")

    def _warn_of_orders(self) -> None:
        """Name each passage and dictation whose readings stay as they are."""
        left = self._readings.left if self._readings is not None else []
        if left:
            names = "; ".join(name for name, _ in left)
            self._problems.warn(
                self._place("readings"),
                f"‘readings’ changes nothing in what is heard more often already: {names}",
                "an arrangement takes no reading away: nothing has to be done",
                code="arrangement-readings",
                also=tuple(place for _, place in left),
            )

    def _warn_of_patterns(self) -> None:
        """Name each question before which there is no look time, though one is declared."""
        without = self._without_look_time
        if without:
            labels = ", ".join(question.label for question in without)
            self._problems.warn(
                self._place("look-time"),
                f"no look time is before what a pattern says: question {labels}",
                "say the time in the pattern itself, or leave it as it is",
                code="arrangement-look-time",
                also=tuple(question.place for question in without),
            )

    # ---- settings

    def _settings(self) -> Settings:
        own, arrangement = self._script.settings, self._arrangement
        reason = own.captions_reason
        if arrangement.captions is not None:
            reason = reason or arrangement.basis
        return replace(
            own,
            patterns=self._patterns,
            loudness=arrangement.loudness or own.loudness,
            test_time_s=arrangement.test_time_s or own.test_time_s,
            captions=arrangement.captions or own.captions,
            captions_reason=reason,
            voice=arrangement.voice or own.voice,
        )

    def _captions(self, policy: CaptionPolicy) -> CaptionPolicy:
        return self._arrangement.captions or policy

    def _speech(self, speech: Speech) -> Speech:
        voice = speech.voice
        if voice == self._script.settings.voice:
            voice = self._arrangement.voice or voice
        return replace(speech, voice=voice)

    # ---- blocks

    def _group(self, group: Group) -> Group:
        return replace(group, blocks=tuple(self._block(block) for block in group.blocks))

    def _block(self, block: Block) -> Block:
        if isinstance(block, Prose):
            return self._prose(block)
        if isinstance(block, Question):
            return self._question(block)
        if isinstance(block, Passage):
            passage = self._passage(block)
            return passage if self._readings is None else self._readings.passage(passage)
        if isinstance(block, Dictation):
            dictation = self._dictation(block)
            return dictation if self._readings is None else self._readings.dictation(dictation)
        if isinstance(block, Stop | PageTurn):
            return replace(block, cue=self._proses(block.cue))
        if isinstance(block, Again):
            delivery = replace(block.delivery, speech=self._speech(block.delivery.speech))
            return replace(block, lead_in=self._proses(block.lead_in), delivery=delivery)
        return block

    def _proses(self, paragraphs: Sequence[Prose]) -> tuple[Prose, ...]:
        return tuple(self._prose(prose) for prose in paragraphs)

    def _prose(self, prose: Prose) -> Prose:
        return replace(
            prose,
            inlines=tuple(self._paced(node) for node in prose.inlines),
            speech=self._speech(prose.speech),
            captions=self._captions(prose.captions),
            look_time_s=self._look_time(prose.look_time_s),
        )

    def _paced(self, node: Inline) -> Inline:
        """Return a recording at the arrangement's pace; of a given one its words only."""
        if isinstance(node, Sound) and (node.words is not None or not self._is_given):
            return replace(node, arranged_pace=self._arrangement.arranged_pace)
        return node

    def _look_time(self, declared: InForce[Fraction] | None) -> InForce[Fraction] | None:
        if declared is None:
            return None
        self._n_look_times += 1
        asked_s = declared.value if self._looks.in_script_s is None else self._looks.in_script_s
        if asked_s < declared.value:
            self._refuse(
                "look-time",
                "a look time in the script is longer than the arrangement's",
                "an arrangement takes no time away: ask for more, or leave this out",
            )
        return replace(declared, value=asked_s)

    def _question(self, question: Question) -> Question:
        delivery = self._delivery(question.delivery)
        content = self._content(question.content)
        pattern = question.delivery.pattern.value
        if self._readings is not None and not question.withdrawn:
            if pattern is not None:
                delivery = self._readings.by_pattern(delivery, pattern)
            elif not question.printed:
                whose = f"question {question.label}"
                delivery, content = self._readings.asked(delivery, content, whose)
        return self._looked_at(replace(question, content=content, delivery=delivery))

    def _looked_at(self, question: Question) -> Question:
        """Return a question with its look time, if one before each question is declared.

        It stands after what is said before the first reading: two silences side by side would be
        one to the ear.
        """
        asked_s = self._looks.before_questions_s
        if asked_s is None or question.printed or question.withdrawn:
            return question
        if question.delivery.pattern.value is not None:
            self._without_look_time.append(question)
            return question
        place, delivery = self._place("look-time"), question.delivery
        if delivery.announce.value is None and self._looks.words is None:
            self._refuse(
                "look-time",
                f"nothing is said before question {question.label}, so its look time "
                "would be one silence with the one before",
                'add words: look-time: {before-questions: 15 s, words: "Question {number}."}',
            )
        elif delivery.announce.value is None:
            announce = InForce(self._looks.words, place, ORIGIN)
            delivery = replace(delivery, announce=announce)
        look_time_s = InForce(asked_s, place, ORIGIN)
        return replace(question, delivery=delivery, arranged_look_time_s=look_time_s)

    def _content(self, content: Sequence[QuestionContent]) -> tuple[QuestionContent, ...]:
        return tuple(self._item(item) for item in content)

    def _item(self, item: QuestionContent) -> QuestionContent:
        if isinstance(item, Prose):
            return self._prose(item)
        if isinstance(item, Options):
            options = tuple(Option(o.letter, self._prose(o.prose)) for o in item.options)
            return replace(item, options=options)
        if isinstance(item, SubQuestion):
            delivery, content = self._delivery(item.delivery), self._content(item.content)
            if self._readings is not None:
                delivery, content = self._readings.asked(
                    delivery, content, f"question {item.letter}"
                )
            return replace(item, content=content, delivery=delivery)
        if isinstance(item, Passage):
            return self._passage(item)
        return self._dictation(item)

    def _delivery(self, delivery: Delivery) -> Delivery:
        return replace(
            delivery,
            speech=self._speech(delivery.speech),
            captions=self._captions(delivery.captions),
        )

    def _passage(self, passage: Passage) -> Passage:
        return replace(
            passage,
            content=self._proses(passage.content),
            delivery=self._delivery(passage.delivery),
            look_time_s=self._look_time(passage.look_time_s),
        )

    def _dictation(self, dictation: Dictation) -> Dictation:
        phrases = tuple(replace(p, prose=self._prose(p.prose)) for p in dictation.phrases)
        return replace(
            dictation,
            phrases=phrases,
            speech=self._speech(dictation.speech),
            captions=self._captions(dictation.captions),
        )


def _warn_of_recordings(script: Script, arrangement: Arrangement, problems: Problems) -> None:
    """Name each recording without words that another pace stretches: it may be music."""
    if arrangement.arranged_pace == 1 or script.settings.given is not None:
        return
    places = {
        node.path: node.place
        for _, _, block in script.blocks()
        for node in inlines_of(block)
        if isinstance(node, Sound) and node.words is None
    }
    if places:
        problems.warn(
            arrangement.place_of("pace", script.path),
            "recordings without words are stretched too, music and effects among them: "
            + ", ".join(f"{path} (line {place.line})" for path, place in places.items()),
            "listen to them; leave a part out whose recording must keep its pace",
            code="arrangement-pace-recordings",
            also=tuple(places.values()),
        )
