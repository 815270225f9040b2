"""Random questions with everything that may belong to one."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from support.random_scripts.blocks import (
    AGAIN,
    ANNOUNCE,
    PATTERNS,
    Asked,
    Blocks,
    Env,
    Item,
    Words,
    indented,
    voicing,
    written_answer,
)
from support.random_scripts.lines import Written, attrs, chance, paragraph, pause, pick, sentence
from support.random_scripts.oracle import SPEECH

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from fractions import Fraction

    from support.random_scripts.oracle import Oracle

WORDS = ("harbour", "lantern", "signal", "*rope*", '[yacht]{shown="boat"}', "orchard")
KEYS = (
    ("oranges | an orange", 1), ("a map and bread", 1), ("56", 2), ("North", 2), ("twenty", 1),
)  # fmt: skip
PRACTICE = Words("Practice question {number}.")


@dataclass(frozen=True)
class Drawn:
    """A question: block, what must be known of it."""

    item: Item
    asked: Asked


@dataclass
class _Body:
    """What stands below the first line of a question, and is heard with it."""

    content: list[tuple[str, Item]]
    """Kind and block, the first line among them."""
    paragraphs: list[Written]
    rows: list[str] = field(default_factory=list)
    subs: list[Item] = field(default_factory=list)
    """Sub-questions, and what stands after them."""
    n_letters: int = 0

    def add(self, rows: Sequence[str], *, apart: bool = True) -> None:
        """Put rows below, indented, at times without a blank line between."""
        self.rows += [""] if apart else []
        self.rows += indented(rows)


class Questions(Blocks):
    """Draws questions."""

    def question(self, env: Env, number: int) -> Drawn:
        """Return question `number` in a group where `env` is in force."""
        dice = self.dice
        items, env = self._own(env)
        printed = env.printed
        if env.practice and env.announce is not None and env.announce.is_of_settings:
            env = replace(env, announce=PRACTICE)
        withdrawn = not printed and chance(dice, 5)
        items.append(".withdrawn" if withdrawn else "")
        kinds = ("plain", "plain", "text", "options", "subs", "passage", "dictation", "language")
        kind = "pattern" if env.pattern else pick(dice, kinds)
        if env.pattern and chance(dice, 20):
            kind = pick(dice, kinds)
            items.append('pattern="none"')
            env = replace(env, pattern="")
        if kind in {"passage", "dictation"} and chance(dice, 80):
            items = [i for i in items if not i.startswith(("readings", "between-readings"))]
            items.append('readings="1"')
            env = replace(env, readings=1, between=self._between(items, 1))
        if kind == "dictation" and chance(dice, 70):
            items = [i for i in items if not i.startswith("answer-time")]
            items.append('answer-time="none"')
            env = replace(env, answer=None)
        if kind == "language":
            items = [i for i in items if not i.startswith(("announce", "again", "voice"))]
            items += ["lang=es", 'announce="none"', 'again="none"']
            env = replace(env, announce=None, again=None)
            if withdrawn:
                items.remove(".withdrawn")
                withdrawn = False
        if env.answer == "" and not printed:
            written, answer = written_answer(dice)
            env = replace(env, answer=answer)
            items.append(f'answer-time="{written}"')
        asked_as = replace(env, pattern="") if printed else env
        return self._built(kind, asked_as, number, items, printed=printed, withdrawn=withdrawn)

    def _own(self, env: Env) -> tuple[list[str], Env]:
        """Return attributes of a question itself, and what is in force with them."""
        dice = self.dice
        items = [*voicing(dice, captions=True), 'marks="2"' if chance(dice, 10) else "",
                 'lines="3"' if chance(dice, 5) else ""]  # fmt: skip
        env, more = self.readings(env, percent=15)
        items += more
        if chance(dice, 10):
            env = replace(env, announce=pick(dice, ANNOUNCE))
            items.append(f'announce="{env.announce.template}"' if env.announce else "")
        elif env.announce and chance(dice, 5):
            env = replace(env, announce=None)
            items.append('announce="none"')
        if chance(dice, 8):
            env = replace(env, again=pick(dice, AGAIN))
            items.append(f'again="{env.again.template}"' if env.again else "")
        if chance(dice, 25) and not env.printed:
            written, answer = written_answer(dice)
            env = replace(env, answer=answer)
            items.append(f'answer-time="{written}"')
        if chance(dice, 10):
            written, apart_s = pause(dice)
            env = replace(env, paragraphs_s=apart_s)
            items.append(f'between-paragraphs="{written}"')
        if chance(dice, 10):
            written, apart_s = pause(dice)
            env = replace(env, options_s=apart_s)
            items.append(f'between-options="{written}"')
        if chance(dice, 8):
            env = replace(env, is_cued=not env.is_cued)
            items.append(f'time-cue="{"half" if env.is_cued else "none"}"')
        if env.printed and chance(dice, 10):
            env = replace(env, printed=False)
            items.append('printed="no"')
        elif not env.printed and chance(dice, 5):
            env = replace(env, printed=True)
            items.append(".printed")
        return items, env

    # ---- its contents

    def _built(
        self, kind: str, env: Env, number: int, items: list[str], *, printed: bool, withdrawn: bool
    ) -> Drawn:
        stem = self._stem(kind)
        body = self._body(kind, env, stem)
        key, notes = self._notes(kind, body.n_letters, items)
        stem_text = stem.text.replace("\n", "\n    ")
        first = f"{number}. {stem_text} {attrs(self.dice, items)}".rstrip()

        def read(o: Oracle) -> None:
            self._content(o, body.content, env)

        def once(o: Oracle) -> None:
            self.announce(o, env.announce)
            read(o)

        def play(o: Oracle) -> None:
            if printed:
                return
            if withdrawn:
                self.line(o, (SPEECH,) * self.rules.withdrawn)
            elif body.subs:
                once(o)
                o.default(self.rules.paragraph_s)
                for sub in body.subs:
                    sub.play(o)
                return
            elif env.pattern:
                self.pattern(o, env.pattern, tuple(body.paragraphs))
            else:
                self._readings(o, env, read)
            answer = None if env.answer == "" else env.answer
            self.answer(o, answer, is_cued=env.is_cued and not withdrawn)

        asked = Asked(
            once, env.pattern, tuple(body.paragraphs), bool(body.subs), printed, withdrawn,
            key or (1 if env.pattern and _says_first(env.pattern) else 0),
            env.readings, env.answer, kind == "language",
        )  # fmt: skip
        return Drawn(Item((first, *body.rows, *notes), play), asked)

    def _body(self, kind: str, env: Env, stem: Written) -> _Body:
        """Return what stands below the first line of a question."""
        dice = self.dice
        body = _Body([("prose", self._prose(stem, None))], [stem])
        if kind == "pattern":
            more = paragraph(dice)
            body.paragraphs.append(more)
            body.add((more.text,))
        elif kind in {"text", "options"}:
            n_more = dice.number(0 if kind == "options" else 1, 2)
            for at in range(n_more):
                self._add_prose(body, may_pause=at < n_more - 1 or kind == "options")
        if kind == "options":
            lines, body.n_letters = self.options()
            body.add(lines)
            body.content.append(("options", Item((), self._hear_options(body.n_letters, env))))
        elif kind in {"passage", "dictation"}:
            silent = replace(env, announce=None, again=None)
            inner = (
                self.passage(silent, is_inside=True)
                if kind == "passage"
                else self.dictation(env, is_inside=True)
            )
            body.add(inner.rows)
            body.content.append((kind, inner))
            if chance(dice, 50):
                self._add_prose(body, may_pause=False)
        elif kind == "subs":
            for letter in "abc"[: dice.number(1, 3)]:
                sub = self._sub(env, letter)
                body.add(sub.rows, apart=not body.subs or chance(dice, 50))
                body.subs.append(sub)
            if chance(dice, 25):
                _, item = self._indented_prose(may_pause=False)
                body.add(item.rows)
                body.subs.append(Item((), self._hear_after_subs(item)))
        return body

    def _add_prose(self, body: _Body, *, may_pause: bool) -> None:
        words, item = self._indented_prose(may_pause=may_pause)
        body.paragraphs.append(words)
        body.content.append(("prose", item))
        body.add(item.rows)

    def _hear_after_subs(self, item: Item) -> Callable[[Oracle], None]:
        def play(o: Oracle) -> None:
            item.play(o)
            o.default(self.rules.paragraph_s)

        return play

    def _stem(self, kind: str) -> Written:
        dice = self.dice
        if kind == "pattern":
            return Written(pick(dice, WORDS), (SPEECH,))
        if kind == "language":
            return Written(sentence(dice, plain=True, asks=True), (SPEECH,))
        return paragraph(dice, sounds=chance(dice, 50))

    def _prose(self, words: Written, pause_s: Fraction | None) -> Item:
        def play(o: Oracle) -> None:
            self.line(o, words.atoms)
            if pause_s is not None:
                o.declare("pause", pause_s)

        return Item((), play)

    def _indented_prose(self, *, may_pause: bool) -> tuple[Written, Item]:
        dice = self.dice
        items, pause_s = voicing(dice), None
        if may_pause and chance(dice, 30):
            written, pause_s = pause(dice)
            items.append(f'pause-after="{written}"')
        words = paragraph(dice, may_end_in_pause=may_pause and pause_s is None)
        item = self._prose(words, pause_s)
        return words, Item((f"{words.text} {attrs(dice, items)}".rstrip(),), item.play)

    def _hear_options(self, n: int, env: Env) -> Callable[[Oracle], None]:
        def play(o: Oracle) -> None:
            for _ in range(n):
                o.default(env.options_s)
                o.sound()

        return play

    def _content(self, o: Oracle, content: list[tuple[str, Item]], env: Env) -> None:
        for index, (kind, item) in enumerate(content):
            if index and kind != "options":
                o.default(env.paragraphs_s)
            item.play(o)

    def _readings(self, o: Oracle, env: Env, read: Callable[[Oracle], None]) -> None:
        for reading in range(1, env.readings + 1):
            self.announce(o, env.announce if reading == 1 else env.again)
            read(o)
            if reading < env.readings:
                o.declare("between-readings", env.between_s(reading))

    def _sub(self, env: Env, letter: str) -> Item:
        """Return a sub-question, at times with more text or answers to choose."""
        dice = self.dice
        items = [f'key="{pick(dice, KEYS)[0]}"' if chance(dice, 50) else "",
                 'marks="0"' if chance(dice, 10) else ""]  # fmt: skip
        if chance(dice, 40):
            written, answer = written_answer(dice)
            env = replace(env, answer=answer)
            items.append(f'answer-time="{written}"')
        stem = paragraph(dice, sounds=False)
        rows = [f"- {letter}. {stem.text.replace(chr(10), ' ')} {attrs(dice, items)}".rstrip()]
        content: list[tuple[str, Item]] = [("prose", self._prose(stem, None))]
        if chance(dice, 25):
            _, item = self._indented_prose(may_pause=False)
            rows += ["", *indented(item.rows)]
            content.append(("prose", item))
        if chance(dice, 15):
            lines, n = self.options()
            rows += ["", *indented(lines)]
            content.append(("options", Item((), self._hear_options(n, env))))
        if chance(dice, 15) and not items[0]:
            rows += ["", *indented(["::: key", "one kilo", ":::"])]

        def play(o: Oracle) -> None:
            self._readings(o, env, lambda oracle: self._content(oracle, content, env))
            self.answer(o, env.answer, is_cued=env.is_cued)

        return Item(tuple(rows), play)

    def _notes(self, kind: str, letters: int, items: list[str]) -> tuple[int, list[str]]:
        """Give key, sheet and staff note; return the sentences of "Number 1. (key)." and rows."""
        dice = self.dice
        rows: list[str] = []
        n_sentences = 0
        at_margin = chance(dice, 30)

        def block(*lines: str) -> list[str]:
            return ["", *(lines if at_margin else indented(lines))]

        if kind != "language" and chance(dice, 60):
            key, n_sentences = pick(dice, KEYS)
            if letters:
                key, n_sentences = pick(dice, (("A", 2), ("B", 2), ("A, B", 2), ("B | A", 2)))
            if chance(dice, 70):
                items.append(f'key="{key}"')
            else:
                rows += block("::: key", key, ":::")
        if chance(dice, 15):
            items.append('sheet="leaves at 8.15"')
        elif chance(dice, 10):
            rows += block(
                "::: sheet", '[______]{.answer lines="2"} or [ship]{.choice}', "",
                '![A map](pictures/map.png){width="16 cm"}', "",
                "| a | b |", "|---|---|", "| 1 | 2 |", ":::",
            )  # fmt: skip
        if chance(dice, 10):
            to = pick(dice, ("", ' {to="reader"}', ' {to="reader, marker"}'))
            rows += block(f"::: staff-note{to}", "Answer **exactly** as given.", ":::")
        return n_sentences, rows


def _says_first(name: str) -> bool:
    return any(isinstance(step, str) and "{1}" in step for step in PATTERNS[name].steps)
