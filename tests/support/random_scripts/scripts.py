"""Random scripts with every construct of the language, and what their tracks must hold.

`scripts()` is the strategy for Hypothesis; `drawn_by_seed` gives the same scripts to long runs.
The writer goes by the documented rules alone. With `careful` a block that would put two declared
silences side by side is drawn anew; without, the script tells by `clashes` that it must be refused.
"""

from __future__ import annotations

import base64
import copy
import random
import re
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from hypothesis import strategies as st

from support.random_scripts.blocks import (
    AGAIN,
    ANNOUNCE,
    PATTERNS,
    Asked,
    Env,
    Item,
    Rules,
    seconds,
)
from support.random_scripts.lines import (
    SeededDice,
    attrs,
    chance,
    pause,
    pick,
    sentence,
    time,
    write_sounds,
)
from support.random_scripts.oracle import SPEECH, Oracle
from support.random_scripts.questions import Questions

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from support.random_scripts.lines import Dice

COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
          "eleven", "twelve")  # fmt: skip
SPEAKERS = """speakers:
  Mila: {voice: iris}
  Otto:
    voice: joe
  Ana: {voice: iris, language: es-ES}"""
TIMES = {1: "once", 2: "twice", 3: "three times"}
ORDINALS = {1: "first", 2: "second", 3: "third"}


SMALL_PICTURE = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR42mNoAAAAggCB2kUIOwAAAABJRU5ErkJggg=="
)
"""A grey picture of one dot, as PNG."""


@dataclass(frozen=True)
class RandomScript:
    """A script, the files that it names, and what its track must hold."""

    settings: tuple[str, ...]
    """The settings, each with its key."""
    blocks: tuple[str, ...]
    includes: tuple[tuple[str, str], ...]
    """File names from the script's folder, and text."""
    oracle: Oracle
    n_questions: int

    @property
    def text(self) -> str:
        """The script as it is drawn."""
        return self.written(self.settings, "")

    def written(self, settings: tuple[str, ...], between: str) -> str:
        """Return the script with its settings in this order and a text between all its blocks."""
        joint = f"\n\n{between}\n\n" if between else "\n\n"
        return "---\n" + "\n".join(settings) + "\n---\n\n" + joint.join(self.blocks) + "\n"

    def write(self, folder: Path, name: str = "drawn.md", text: str | None = None) -> Path:
        """Write the script and what it names into a folder, and return its path."""
        if not (folder / "audio").is_dir():
            write_sounds(folder)
            write_sounds(folder / "standard")
        for picture in re.findall(r"\(([\w/]+\.png)\)", self.text + str(self.includes)):
            for beside in (folder, folder / "standard"):
                (beside / picture).parent.mkdir(parents=True, exist_ok=True)
                (beside / picture).write_bytes(SMALL_PICTURE)
        for path, included in self.includes:
            (folder / path).write_text(included, encoding="utf-8")
        (folder / name).write_text(self.text if text is None else text, encoding="utf-8")
        return folder / name


@dataclass
class _Fact:
    """What a question or passage is to the statements around it."""

    part: int
    group: int
    is_question: bool
    practice: bool = False
    readings: int | None = None
    answer: Fraction | str | None = ""
    """"" where nothing is stated by it."""
    is_read_apart: bool = False
    """Whether it holds, or is, what may have readings of its own: none are stated then."""


@dataclass
class _Writer:
    """Writes one script."""

    dice: Dice
    careful: bool
    blocks: list[str] = field(default_factory=list)
    includes: list[tuple[str, str]] = field(default_factory=list)
    facts: list[_Fact] = field(default_factory=list)
    asked: dict[int, Asked] = field(default_factory=dict)
    keyed: list[int] = field(default_factory=list)
    """Sentences of each answer, in order."""
    stated: list[tuple[str, str, int, int, bool]] = field(default_factory=list)
    """Mark, kind, part, group, whether the part is for practice."""
    numbers: dict[bool, int] = field(default_factory=lambda: {False: 1, True: 1})
    oracle: Oracle = field(default_factory=Oracle)
    part: int = -1
    group: int = 0
    part_is_practice: bool = False

    def script(self) -> RandomScript:
        settings, env, rules, options = self._settings()
        self.draw = Questions(self.dice, rules)
        self.by_part = "numbering: by-part" in settings
        if chance(self.dice, 30):
            self._add(self.draw.margin)
        for at in range(self.dice.number(1, 3)):
            self._part(env, at)
        self._end(options, rules)
        self.oracle.finish()
        blocks = tuple(self._resolved(block) for block in self.blocks)
        includes = tuple((path, self._resolved(text)) for path, text in self.includes)
        n_questions = sum(f.is_question and not f.practice for f in self.facts)
        return RandomScript(tuple(settings), blocks, includes, self.oracle, n_questions)

    # ---- settings

    def _settings(self) -> tuple[list[str], Env, Rules, dict[str, bool]]:
        dice = self.dice
        use_practice = chance(dice, 20)
        found = [
            'title: "Random: harbour"', "language: en-GB",
            'accept-voice-language: "invented for tests"',
            SPEAKERS,
            "tones:\n  chime: {frequency: 660 Hz, length: 0.6 s}",
            "patterns:\n" + "\n".join(f"  {n}:\n{p.yaml}" for n, p in PATTERNS.items()),
        ]  # fmt: skip
        if use_practice:
            found.append("use: practice")
        optional = (
            "voice: iris", "channels: 2", "loudness: loudspeaker", "loudness: -20.5 LUFS",
            "numbering: by-part", "pace: 130 words/min", "zero: oh", "test-time: 40 min",
            "writing-rate: 30 words/min", 'extra-time: not-permitted\nextra-time-reason: "no"',
            'captions: everything\ncaptions-reason: "practice only"', "captions: nothing",
            "numbering: whole",
        )  # fmt: skip
        taken: set[str] = set()
        for setting in optional:
            name = setting.partition(":")[0]
            if chance(dice, 12) and name not in taken:
                taken.add(name)
                found.append(setting)
        rules = Rules()
        for name, key in (("paragraph_s", "paragraph-pause"), ("sentence_s", "sentence-pause"),
                          ("announcement_s", "announcement-pause")):  # fmt: skip
            if chance(dice, 20):
                written, wait_s = pause(dice)
                rules = replace(rules, **_field(name, wait_s))
                found.append(f"{key}: {written}")
        for name, key, words in (
            ("continues", "continues-wording", "Now we go on. Listen well."),
            ("cue", "time-cue-wording", "Half is gone. Go on."),
            ("withdrawn", "withdrawn-wording", "Skip number {number}. Go on."),
        ):
            if chance(dice, 15):
                rules = replace(rules, **_field(name, 2))
                found.append(f'{key}: "{words}"')
        items, env = self._inherited(Env(), percent=35)
        if chance(dice, 4):
            env = replace(env, pattern="word-only")
            found.append("pattern: word-only")
        if env.announce is not None:
            env = replace(env, announce=replace(env.announce, is_of_settings=True))
        for item in items:
            name, _, value = item.partition("=")
            found.append(f"{name}: {value}")
        options = {"answers": use_practice, "test-time": "test-time" in taken}
        return found, env, rules, options

    def _inherited(self, env: Env, percent: int) -> tuple[list[str], Env]:
        """Return values that are handed down from here, as attributes, and what is in force."""
        dice = self.dice
        items: list[str] = []

        def give(name: str, value: str) -> None:
            items.append(f'{name}="{value}"')

        if chance(dice, percent):
            env = replace(env, readings=pick(dice, (1, 2, 3)))
            give("readings", str(env.readings))
        if chance(dice, percent):
            drawn = [time(dice) for _ in range(pick(dice, (1, 1, 2)))]
            env = replace(env, between=tuple(wait_s for _, wait_s in drawn))
            give("between-readings", ", ".join(written for written, _ in drawn))
        if chance(dice, percent):
            env = replace(env, announce=pick(dice, ANNOUNCE))
            give("announce", env.announce.template if env.announce else "none")
        elif env.announce and chance(dice, 15):
            env = replace(env, announce=None)
            give("announce", "none")
        if chance(dice, percent // 2):
            env = replace(env, again=pick(dice, AGAIN))
            give("again", env.again.template if env.again else "none")
        if chance(dice, percent):
            written, answer = time(dice)
            env = replace(env, answer=answer)
            give("answer-time", written)
        for name, key in (("paragraphs_s", "between-paragraphs"), ("options_s", "between-options"),
                          ("turn_s", "turn-pause")):  # fmt: skip
            if chance(dice, percent // 3):
                written, wait_s = pause(dice)
                env = replace(env, **_field(name, wait_s))
                give(key, written)
        if chance(dice, percent // 3):
            env = replace(env, is_cued=not env.is_cued)
            give("time-cue", "half" if env.is_cued else "none")
        return items, env

    # ---- parts and groups

    def _part(self, test: Env, at: int) -> None:
        dice = self.dice
        self.part, self.group = at, 0
        self.part_is_practice = False
        items, env = self._inherited(test, percent=15)
        items += self._voiced()
        if self.by_part:
            self.numbers = {False: 1, True: 1}
            self.asked.clear()
        if chance(dice, 15):
            items.append(".practice")
            env = replace(env, practice=True)
            self.part_is_practice = True
        self.blocks.append(f"# Part {['one', 'two', 'three'][at]} {attrs(dice, items)}".rstrip())
        if chance(dice, 60):
            self._group(env)
        for number in range(1, dice.number(0, 2) + 1):
            self.group = number
            items, inner = self._inherited(env, percent=12)
            items += self._voiced()
            if inner.practice and chance(dice, 30):
                items.append('practice="no"')
                inner = replace(inner, practice=False)
            elif chance(dice, 6):
                items.append(".practice")
                inner = replace(inner, practice=True)
            if chance(dice, 15):
                inner = replace(inner, pattern=pick(dice, tuple(PATTERNS)))
                items.append(f'pattern="{inner.pattern}"')
            if chance(dice, 15):
                items.append(".printed")
                inner = replace(inner, printed=True)
            self.blocks.append(f"## Group {number} {attrs(dice, items)}".rstrip())
            self._group(inner)

    def _voiced(self) -> list[str]:
        if not chance(self.dice, 15):
            return []
        return list(pick(self.dice, (
            ('pace="90 %"',), ("voice=iris",), ("take=3",), ('captions="nothing"',),
            ('captions="everything"', 'captions-reason="agreed"'),
        )))  # fmt: skip

    def _group(self, env: Env) -> None:
        dice = self.dice
        if chance(dice, 20):
            self.blocks.append("::: sheet\nAll times are in the **morning**.\n:::")
        if chance(dice, 40):
            self._statement()
        opening = len(self.blocks)
        for _ in range(dice.number(1, 3)):
            self._block(env)
        if chance(dice, 12):
            path = f"{pick(dice, ('', 'standard/'))}more{len(self.includes)}.md"
            self.includes.append((path, "\n\n".join(self.blocks[opening:]) + "\n"))
            self.blocks[opening:] = [f"[More of it]({path}){{.include}}"]

    def _statement(self) -> None:
        """Write a sentence that states something; its words follow when all is known."""
        kind = pick(self.dice, ("questions", "readings", "last-reading", "answer-time"))
        mark = f"@@{len(self.stated)}@@"
        self.stated.append((mark, kind, self.part, self.group, self.part_is_practice))

        def play(o: Oracle) -> None:
            o.line((SPEECH,), self.draw.rules.sentence_s)
            o.default(self.draw.rules.paragraph_s)

        self._add(lambda: Item((mark,), play))

    def _block(self, env: Env) -> None:
        dice = self.dice
        kind = pick(dice, (
            "question", "question", "question", "question", "question", "margin", "stop", "turn",
            "passage", "dictation", "again", "note", "comment",
        ))  # fmt: skip
        if kind == "question":
            for _ in range(dice.number(1, 2)):
                self._question(env)
        elif kind == "margin":
            self._add(self.draw.margin)
        elif kind == "stop":
            self._add(self.draw.stop)
        elif kind == "turn":
            self._add(self.draw.page_turn)
        elif kind == "passage":
            self._margin_passage(env)
        elif kind == "dictation":
            self._add(lambda: self.draw.dictation(env))
            fact = _Fact(self.part, self.group, is_question=False, practice=env.practice)
            self.facts.append(replace(fact, is_read_apart=True))
        elif kind == "again":
            again_env = replace(env)
            self._add(lambda: self.draw.again(again_env, self.asked))
        elif kind == "note":
            self.blocks.append('::: staff-note {to="invigilator"}\nWatch the *clock*.\n:::')
        else:
            self.blocks.append("<!-- ask the\nstaff about this -->")

    def _question(self, env: Env) -> None:
        number = self.numbers[env.practice]
        found = []

        def make() -> Item:
            drawn = self.draw.question(env, number)
            found.append(drawn)
            return drawn.item

        if not self._add(make):
            return
        self.numbers[env.practice] += 1
        asked = found[-1].asked
        fact = _Fact(self.part, self.group, is_question=True, practice=env.practice)
        if not asked.printed:
            fact.readings = None if asked.pattern else asked.readings
            fact.answer = asked.answer
            fact.is_read_apart = any(
                f"::: {name}" in row
                for name in ("passage", "dictation")
                for row in found[-1].item.rows
            )
        self.facts.append(fact)
        if not env.practice:
            self.asked[number] = asked
            if asked.key_sentences:
                self.keyed.append(asked.key_sentences)

    def _margin_passage(self, env: Env) -> None:
        for_questions = ""
        if not env.practice and env.printed:
            number = self.numbers[False]
            for_questions = f"{number}-{number + 1}"
        elif self.asked and chance(self.dice, 30):
            for_questions = str(pick(self.dice, tuple(self.asked)))
        if not self._add(lambda: self.draw.passage(env, for_questions=for_questions)):
            for_questions = ""
        self.facts.append(_Fact(self.part, self.group, is_question=False, answer="unknown"))
        if "-" in for_questions:
            self._question(env)
            self._question(env)

    def _add(self, make: Callable[[], Item]) -> bool:
        """Add a block; if care is taken, one that puts no two declared silences together."""
        for _ in range(8):
            item = make()
            trial = copy.copy(self.oracle)
            trial.events = list(self.oracle.events[-1:])
            item.play(trial)
            if not self.careful or trial.clashes == self.oracle.clashes:
                item.play(self.oracle)
                self.blocks.append("\n".join(item.rows))
                return True
        return False

    def _end(self, options: dict[str, bool], rules: Rules) -> None:
        dice = self.dice
        self.part, self.group = 9, 0
        if options["answers"] and chance(dice, 70):
            self.blocks.append("# Answers {.answers}")
            self._add(lambda: self.draw.margin(is_last=True))
            for n_sentences in self.keyed:
                self.oracle.line((SPEECH,) * n_sentences, rules.sentence_s)
                self.oracle.default(rules.paragraph_s)
            if chance(dice, 50):
                return
        self.blocks.append("# Close")
        if options["test-time"]:
            words = pick(dice, ("forty minutes", "40 minutes"))

            def play(o: Oracle) -> None:
                o.line((SPEECH,), rules.sentence_s)
                o.default(rules.paragraph_s)

            text = f'The test took [{words}]{{states="test-time"}}.'
            self._add(lambda: Item((text,), play))
        self._add(lambda: self.draw.margin(is_last=True))

    # ---- statements

    def _resolved(self, text: str) -> str:
        for mark, kind, part, group, is_practice in self.stated:
            if mark in text:
                text = text.replace(mark, self._words(kind, part, group, is_practice=is_practice))
        return text

    def _words(self, kind: str, part: int, group: int, *, is_practice: bool) -> str:
        facts = [f for f in self.facts if is_practice or not f.practice]
        scopes = [[f for f in facts if f.part == part], facts]
        if group:
            scopes.insert(0, [f for f in scopes[0] if f.group == group])
        plain = sentence(self.dice)
        if kind == "questions":
            n = next((n for n in (sum(f.is_question for f in s) for s in scopes) if n), 0)
            if not n:
                return plain
            word = COUNTS[n] if n < len(COUNTS) and chance(self.dice, 50) else str(n)
            return f'You will hear [{word}]{{states="questions"}} of them.'
        for scope in scopes:
            values = {self._value(f, kind) for f in scope} - {""}
            if len(values) > 1 or "unknown" in values or None in values:
                return plain
            if values:
                return self._stated(kind, values.pop())
        return plain

    @staticmethod
    def _value(fact: _Fact, kind: str) -> object:
        if fact.answer == "unknown":
            return "unknown"
        if kind == "answer-time":
            return "" if fact.answer == "by hand" else fact.answer
        if fact.is_read_apart:
            return "unknown"
        return "" if fact.readings is None else fact.readings

    def _stated(self, kind: str, value: object) -> str:
        if isinstance(value, Fraction):
            return f'You have [{seconds(value)}]{{states="answer-time"}} for it.'
        assert isinstance(value, int)
        if kind == "readings":
            return f'You will hear it [{TIMES[value]}]{{states="readings"}}.'
        return f'Write after the [{ORDINALS[value]}]{{states="last-reading"}} reading.'


def _field(name: str, value: object) -> dict[str, Any]:
    """Return a field by its name, for `replace`."""
    return {name: value}


def drawn_by(dice: Dice, *, careful: bool = True) -> RandomScript:
    """Return a script by these dice."""
    return _Writer(dice, careful).script()


def drawn_by_seed(seed: int, *, careful: bool = True) -> RandomScript:
    """Return the script of a seed: always the same."""
    return drawn_by(SeededDice(random.Random(seed)), careful=careful)  # noqa: S311  no secret


@dataclass(frozen=True)
class _DrawnDice:
    """Dice thrown by Hypothesis."""

    draw: st.DrawFn

    def number(self, least: int, most: int) -> int:
        """Return a whole number from `least` to `most`."""
        return self.draw(st.integers(least, most))


@st.composite
def scripts(draw: st.DrawFn, *, careful: bool = True) -> RandomScript:
    """Return random scripts."""
    return drawn_by(_DrawnDice(draw), careful=careful)
