"""Random blocks of the script language: passages, dictations, questions, stops and the rest.

Every block comes as rows of Markdown and as what must be heard of it; a block that would put two
declared silences side by side is known by its oracle, not avoided here.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from support.random_scripts.lines import (
    OPTIONS,
    Dice,
    Written,
    attrs,
    chance,
    paragraph,
    pause,
    pick,
    sentence,
    time,
)
from support.random_scripts.oracle import SPEECH, TONE, Atom, Oracle

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

HAND = "by hand"
HOLD_BY_HAND_S = Fraction(20)
CUED_FROM_S = Fraction(30)


@dataclass(frozen=True)
class Words:
    """An announcement: its template, and how many sentences it is."""

    template: str
    n_sentences: int = 1
    is_of_settings: bool = False

    @property
    def atoms(self) -> tuple[Atom, ...]:
        """What is heard."""
        return (SPEECH,) * self.n_sentences


ANNOUNCE = (
    Words("Number {number}."), Words("Question {number} of {total}. Listen.", 2),
    Words("Number {number}"), Words("Now."), Words("{number} of {total}, read {readings} times."),
)  # fmt: skip
AGAIN = (
    Words("Once more."), Words("Again, reading {reading} of {readings}."),
    Words("The {reading-th} time. Number {number} once more.", 2),
)  # fmt: skip
PASSAGE_ANNOUNCE = (
    Words("Listen."), Words("Reading {reading} of {readings}. Listen.", 2),
    Words("The {reading-th} reading."), Words("There are {total} questions."),
)  # fmt: skip


PLANS = (
    ("whole", "pieces", "whole"), ("pieces",), ("pieces", "whole"), ("whole",),
    ("whole", "pieces"), ("whole", "whole", "pieces"),
)  # fmt: skip


@dataclass(frozen=True)
class Pattern:
    """A pattern: steps of `say` or seconds, and those of `again`."""

    yaml: str
    steps: tuple[str | Fraction, ...]


PATTERNS = {
    "word-sentence-word": Pattern(
        '    - say: "Number {number}: {1}."\n    - pause: 1.5 s\n    - say: "{2}"\n'
        '    - pause: 0.7 s\n    - say: "Again: {1}."',
        ("Number: {1}.", Fraction(3, 2), "{2}", Fraction(7, 10), "Again: {1}."),
    ),
    "word-only": Pattern(
        '    steps:\n      - say: "{1}."\n    again:\n      - say: "Again: {1}."\n'
        '      - pause: 2 s\n      - say: "{1}."',
        ("{1}.",),
    ),
    "listen-word": Pattern(
        '    - say: "Listen."\n    - say: "{1}"\n    - pause: 333 ms\n    - say: "{1}!"',
        ("Listen.", "{1}", Fraction(333, 1000), "{1}"),
    ),
}  # fmt: skip


@dataclass(frozen=True)
class Rules:
    """The pauses and wordings of the settings."""

    paragraph_s: Fraction = Fraction(4, 5)
    sentence_s: Fraction = Fraction(2, 5)
    announcement_s: Fraction = Fraction(4, 5)
    continues: int = 1
    """Sentences of what is said after a stop."""
    cue: int = 1
    withdrawn: int = 1


@dataclass(frozen=True)
class Env:
    """What is in force."""

    readings: int = 1
    between: tuple[Fraction, ...] = (Fraction(3),)
    announce: Words | None = None
    again: Words | None = None
    answer: Fraction | str | None = ""
    """"" if none is given."""
    paragraphs_s: Fraction = Fraction(4, 5)
    options_s: Fraction = Fraction(1)
    turn_s: Fraction = Fraction(3, 5)
    pattern: str = ""
    is_cued: bool = False
    practice: bool = False
    printed: bool = False

    def between_s(self, reading: int) -> Fraction:
        """Return the silence after a reading."""
        return self.between[0] if len(self.between) == 1 else self.between[reading - 1]


@dataclass(frozen=True)
class Item:
    """A block: its rows, and what is heard of it."""

    rows: tuple[str, ...]
    play: Callable[[Oracle], None]


@dataclass(frozen=True)
class Asked:
    """What `again` and the totals need to know of a question."""

    read_once: Callable[[Oracle], None]
    pattern: str
    paragraphs: tuple[Written, ...]
    has_subs: bool
    printed: bool
    withdrawn: bool
    key_sentences: int
    """Sentences of number and answer; 0 without a key."""
    readings: int
    answer: Fraction | str | None
    is_foreign: bool
    """Said in another language, which has no figures."""


@dataclass
class Player:
    """Says and waits as the language has it."""

    rules: Rules = field(default_factory=Rules)

    def line(self, o: Oracle, atoms: Sequence[Atom]) -> None:
        """Hear a paragraph."""
        o.line(tuple(atoms), self.rules.sentence_s)

    def hold(self, o: Oracle, hold_s: Fraction) -> None:
        """Hear the end of a stop."""
        o.declare("hold", hold_s)
        o.sound(TONE)
        o.default(self.rules.paragraph_s)
        self.line(o, (SPEECH,) * self.rules.continues)
        o.default(self.rules.paragraph_s)

    def answer(self, o: Oracle, answer: Fraction | str | None, *, is_cued: bool = False) -> None:
        """Wait for answers; a default pause follows, which gives way to what was waited."""
        if answer == HAND:
            self.hold(o, HOLD_BY_HAND_S)
        elif isinstance(answer, Fraction) and is_cued and answer > CUED_FROM_S:
            o.declare("answer-time", answer / 2)
            self.line(o, (SPEECH,) * self.rules.cue)
            o.declare("answer-time", answer / 2)
        elif isinstance(answer, Fraction):
            o.declare("answer-time", answer)
        o.default(self.rules.paragraph_s)

    def announce(self, o: Oracle, words: Words | None) -> None:
        """Hear an announcement."""
        if words is not None:
            self.line(o, words.atoms)
            o.default(self.rules.announcement_s)

    def pattern(self, o: Oracle, name: str, paragraphs: tuple[Written, ...]) -> None:
        """Hear a pattern."""
        atoms: list[Atom] = []
        for step in PATTERNS[name].steps:
            if isinstance(step, Fraction):
                atoms.append(step)
            elif "{2}" in step:
                atoms += paragraphs[1].atoms
            elif step in {"{1}", "{1}."}:
                atoms += paragraphs[0].atoms
            elif "{1}" in step:
                atoms += (SPEECH, *paragraphs[0].atoms[1:])
            else:
                atoms.append(SPEECH)
        self.line(o, atoms)


def indented(rows: Sequence[str], by: int = 4) -> list[str]:
    """Return rows indented, empty ones left empty."""
    lines = "\n".join(rows).split("\n")
    return [" " * by + line if line else "" for line in lines]


def written_answer(dice: Dice) -> tuple[str, Fraction | str | None]:
    """Return an answer time as written, and its value."""
    roll = dice.number(1, 20)
    if roll == 20:
        return HAND, HAND
    if roll == 19:
        return "none", None
    if roll == 18:
        return "30.25 s", Fraction(121, 4)
    return time(dice)


def voicing(dice: Dice, *, voice: bool = True, captions: bool = False) -> list[str]:
    """Return attributes of how words are voiced, and shown where that is allowed."""
    if not chance(dice, 15):
        return []
    found = [pick(dice, ('take="2"', 'pace="85 %"', 'voice="iris"' if voice else 'pace="110 %"'))]
    return found + (['captions="nothing"'] if captions and chance(dice, 30) else [])


class Blocks(Player):
    """Draws blocks."""

    def __init__(self, dice: Dice, rules: Rules) -> None:
        """Draw by these dice, with these settings in force."""
        super().__init__(rules)
        self.dice = dice

    # ---- margin paragraphs, stops, page turns

    def margin(self, *, is_last: bool = False) -> Item:
        """Return a paragraph at the margin; `is_last` ends the script with a sentence."""
        dice = self.dice
        items = voicing(dice)
        plain = chance(dice, 6)
        if plain:
            items.append("lang=es")
        kind, wait_s, written = "", Fraction(0), ""
        answer: Fraction | str | None = None
        if not is_last and chance(dice, 45):
            kind = pick(dice, ("look-time", "pause", "answer-time"))
            if kind == "answer-time":
                written, answer = written_answer(dice)
            else:
                written, wait_s = time(dice) if kind == "look-time" else pause(dice)
            items.append(f'{"pause-after" if kind == "pause" else kind}="{written}"')
        heard = paragraph(dice, plain=plain, sounds=not is_last, may_end_in_pause=not kind)
        if kind == "look-time" and chance(dice, 40) and not plain and not heard.ends_in_pause:
            heard = Written(f'You have [{seconds(wait_s)}]{{states="look-time"}}.', (SPEECH,))

        def play(o: Oracle) -> None:
            self.line(o, heard.atoms)
            if kind in {"look-time", "pause"}:
                o.declare(kind, wait_s)
            self.answer(o, answer)

        return Item((f"{heard.text} {attrs(dice, items)}".rstrip(),), play)

    def cue(self, n_most: int = 2, *, may_end_in_pause: bool = False) -> Item:
        """Return the words of a stop, page turn or `again`."""
        dice = self.dice
        rows: list[str] = []
        heard: list[tuple[Written, Fraction | None]] = []
        n = dice.number(1, n_most)
        for at in range(n):
            free = at < n - 1 or may_end_in_pause
            paused = free and chance(dice, 25)
            items = voicing(dice)
            wait_s = None
            if paused:
                written, wait_s = pause(dice)
                items.append(f'pause-after="{written}"')
            words = paragraph(dice, may_end_in_pause=free and not paused)
            heard.append((words, wait_s))
            rows += ["", f"{words.text} {attrs(dice, items)}".rstrip()]

        def play(o: Oracle) -> None:
            for at, (words, wait_s) in enumerate(heard):
                if at:
                    o.default(self.rules.paragraph_s)
                self.line(o, words.atoms)
                if wait_s is not None:
                    o.declare("pause", wait_s)

        return Item(tuple(rows[1:]), play)

    def stop(self) -> Item:
        """Return a stop."""
        dice = self.dice
        written, hold_s = pick(dice, (("", Fraction(20)), ("2.5 s", Fraction(5, 2)), time(dice)))
        items = [f'for="{written}"' if written else "", ".rest" if chance(dice, 25) else ""]
        cue = self.cue()

        def play(o: Oracle) -> None:
            cue.play(o)
            self.hold(o, hold_s)

        if chance(dice, 20):
            opening = (
                "::: " + attrs(dice, items).replace("{", "{.stop ", 1)
                if any(items)
                else ("::: {.stop}")
            )
        else:
            opening = f"::: stop {attrs(dice, items)}".rstrip()
        return Item((opening, *cue.rows, ":::"), play)

    def page_turn(self) -> Item:
        """Return a page turn."""
        written, wait_s = time(self.dice)
        is_default = chance(self.dice, 20)
        cue = self.cue()
        opening = "::: page-turn" if is_default else f'::: page-turn {{for="{written}"}}'

        def play(o: Oracle) -> None:
            cue.play(o)
            o.declare("page-turn-time", Fraction(5) if is_default else wait_s)

        return Item((opening, *cue.rows, ":::"), play)

    def again(self, env: Env, asked: dict[int, Asked]) -> Item:
        """Return `again` over earlier questions; a paragraph if there are none."""
        dice = self.dice
        fit = [n for n, q in asked.items() if not q.has_subs and not q.printed]
        if not fit:
            return self.margin()
        first = dice.number(0, len(fit) - 1)
        chosen = fit[first : first + 2]
        listed = ", ".join(map(str, chosen))
        if len(chosen) == 2 and chosen[1] == chosen[0] + 1 and chance(dice, 50):
            listed = f"{chosen[0]}-{chosen[1]}"
        items = [f'questions="{listed}"']
        name = env.pattern
        possible = [
            name
            for name in PATTERNS
            if all(_suits(name, asked[n]) for n in chosen if not asked[n].withdrawn)
        ]
        if chance(dice, 40) and possible:
            name = pick(dice, possible)
            items.append(f'pattern="{name}"')
        elif name not in possible:
            name = ""
            items.append('pattern="none"')
        answer: Fraction | str | None = None
        if chance(dice, 50):
            written, answer = written_answer(dice)
            items.append(f'answer-time="{written}"')
        lead_in = self.cue(may_end_in_pause=True) if chance(dice, 70) else None

        def play(o: Oracle) -> None:
            if lead_in:
                lead_in.play(o)
                o.default(self.rules.paragraph_s)
            for number in chosen:
                question = asked[number]
                if question.withdrawn:
                    continue
                if name or question.pattern:
                    self.pattern(o, name or question.pattern, question.paragraphs)
                else:
                    question.read_once(o)
                self.answer(o, answer)

        rows = lead_in.rows if lead_in else ()
        return Item((f"::: again {attrs(dice, items)}", *rows, ":::"), play)

    # ---- passages and dictations

    def passage(self, env: Env, *, for_questions: str = "", is_inside: bool = False) -> Item:
        """Return a passage with turns, sounds, readings of its own or a reading plan."""
        dice = self.dice
        items = [f'for-questions="{for_questions}"' if for_questions else ""]
        items += voicing(dice, captions=True)
        env, more = self._passage_env(replace(env, announce=None, again=None))
        items += more
        order: tuple[str, ...] = ()
        if chance(dice, 15) and len(env.between) == 1:
            order = pick(dice, PLANS)
            items.append(f'order="{", ".join(order)}"')
        look_s = ending_s = None
        answer: Fraction | str | None = None
        if chance(dice, 25):
            written, look_s = time(dice)
            items.append(f'look-time="{written}"')
        if chance(dice, 60 if not is_inside else 15):
            written, answer = written_answer(dice)
            items.append(f'answer-time="{written}"')
        elif chance(dice, 25):
            written, ending_s = pause(dice)
            items.append(f'pause-after="{written}"')
        may_end = answer is None and not any(i.startswith("answer-time") for i in items)
        may_end = may_end and ending_s is None and not order and env.readings == 1
        turns, rows = self._turns(may_end=may_end and not is_inside, may_pause=not order)
        plan = order or ("whole",) * env.readings

        def play(o: Oracle) -> None:
            n_whole = 0
            for at, item in enumerate(plan, 1):
                again = env.again if at > 1 and env.again else env.announce
                self.announce(o, again)
                if at == 1 and look_s is not None:
                    o.declare("look-time", look_s)
                if item == "pieces":
                    for _, atoms, _ in turns:
                        self.line(o, atoms)
                        self.hold(o, HOLD_BY_HAND_S)
                    continue
                n_whole += 1
                self._hear(o, turns, env)
                if at < len(plan):
                    o.declare("between-readings", env.between_s(n_whole))
            if ending_s is not None:
                o.declare("pause", ending_s)
            elif isinstance(answer, Fraction) or answer == HAND:
                self.answer(o, answer)
            if not is_inside:
                o.default(self.rules.paragraph_s)

        return Item((f"::: passage {attrs(dice, items)}".rstrip(), *rows, ":::"), play)

    def _passage_env(self, env: Env) -> tuple[Env, list[str]]:
        """Return what is in force in a passage, and the attributes that make it so."""
        dice = self.dice
        env, items = self.readings(env, percent=60)
        if chance(dice, 35):
            words = pick(dice, PASSAGE_ANNOUNCE)
            env = replace(env, announce=words)
            items.append(f'announce="{words.template}"')
            if chance(dice, 40):
                env = replace(env, again=AGAIN[1])
                items.append(f'again="{AGAIN[1].template}"')
        if chance(dice, 20):
            written, turn_s = pause(dice)
            env = replace(env, turn_s=turn_s)
            items.append(f'turn-pause="{written}"')
        if chance(dice, 20):
            written, apart_s = pause(dice)
            env = replace(env, paragraphs_s=apart_s)
            items.append(f'between-paragraphs="{written}"')
        return env, items

    def _hear(
        self, o: Oracle, turns: Sequence[tuple[str, tuple[Atom, ...], Fraction | None]], env: Env
    ) -> None:
        before = None
        for speaker, atoms, pause_s in turns:
            if before is not None:
                o.default(env.turn_s if before and speaker else env.paragraphs_s)
            self.line(o, atoms)
            if pause_s is not None:
                o.declare("pause", pause_s)
            before = speaker

    def _turns(
        self, *, may_end: bool, may_pause: bool
    ) -> tuple[list[tuple[str, tuple[Atom, ...], Fraction | None]], list[str]]:
        dice = self.dice
        n = dice.number(1, 3)
        turns: list[tuple[str, tuple[Atom, ...], Fraction | None]] = []
        rows: list[str] = []
        for at in range(n):
            speaker = pick(dice, ("", "", "Mila", "Otto", "Ana"))
            free = may_pause and (at < n - 1 or may_end)
            items = voicing(dice, voice=False)
            plain = speaker == "Ana" or (not speaker and chance(dice, 8))
            if plain and not speaker:
                items.append("lang=es-ES")
            if speaker and chance(dice, 30) and not items:
                first = sentence(dice, plain=speaker == "Ana")
                rows += ["", f"**{speaker}:** {first}"]
                turns.append((speaker, (SPEECH,), None))
            else:
                rows.append("")
            pause_s = None
            if free and chance(dice, 25):
                written, pause_s = pause(dice)
                items.append(f'pause-after="{written}"')
            words = paragraph(dice, plain=plain, may_end_in_pause=free and pause_s is None)
            lead = f"**{speaker}:** " if speaker else ""
            rows.append(f"{lead}{words.text} {attrs(dice, items)}".rstrip())
            turns.append((speaker, words.atoms, pause_s))
        return turns, rows[1:]

    def dictation(self, env: Env, *, is_inside: bool = False) -> Item:
        """Return a dictation in any order, its phrase time constant or growing."""
        dice = self.dice
        phrases, rows, whole = self._phrases()
        items = voicing(dice, captions=True)
        order: tuple[str, ...] = ("whole", "phrases", "whole")
        if chance(dice, 60):
            order = pick(
                dice, (("phrases",), ("whole", "phrases"), ("phrases", "whole"), ("whole",),
                       ("whole", "phrases", "phrases", "whole"), order),
            )  # fmt: skip
            items.append(f'order="{", ".join(order)}"')
        first, first_s = time(dice)
        last, last_s = time(dice)
        grows = chance(dice, 50)
        items.append(f'phrase-time="{f"{first} to {last}" if grows else first}"')
        n_said, apart_s = 1, Fraction(2)
        if chance(dice, 30):
            n_said = 2
            items.append('phrase-readings="2"')
            if chance(dice, 60):
                written, apart_s = time(dice)
                items.append(f'between-phrase-readings="{written}"')
        between = env.between
        if chance(dice, 40) or len(between) not in {1, len(order) - 1}:
            between = self._between(items, len(order))
        answer: Fraction | str | None = None
        if chance(dice, 40):
            written, answer = written_answer(dice)
            items.append(f'answer-time="{written}"')
        times_s = _grown(phrases, first_s, last_s if grows else first_s)
        ends_itself = answer is None

        def play(o: Oracle) -> None:
            for at, item in enumerate(order, 1):
                if item == "whole":
                    for index, atoms in enumerate(whole):
                        if index:
                            o.default(self.rules.paragraph_s)
                        self.line(o, atoms)
                else:
                    for index, (atoms, _) in enumerate(phrases):
                        for said in range(n_said):
                            if said:
                                o.declare("between-phrase-readings", apart_s)
                            self.line(o, atoms)
                        if index < len(phrases) - 1 or (at == len(order) and ends_itself):
                            o.declare("phrase-time", times_s[index])
                if at < len(order):
                    o.declare("between-readings", between[0] if len(between) == 1
                              else between[at - 1])  # fmt: skip
            if answer is not None:
                self.answer(o, answer)
            if not is_inside:
                o.default(self.rules.paragraph_s)

        return Item((f"::: dictation {attrs(dice, items)}", *rows, ":::"), play)

    def _phrases(
        self,
    ) -> tuple[list[tuple[tuple[Atom, ...], Fraction | None]], list[str], list[tuple[Atom, ...]]]:
        dice = self.dice
        phrases: list[tuple[tuple[Atom, ...], Fraction | None]] = []
        rows: list[str] = []
        whole: list[tuple[Atom, ...]] = []
        for at in range(dice.number(1, 2)):
            rows += [""] if at else []
            n_sentences = 0
            for _ in range(dice.number(1, 2)):
                own = ""
                own_s: Fraction | None = None
                if chance(dice, 25):
                    written, own_s = time(dice)
                    own = f' {{phrase-time="{written}"}}'
                if chance(dice, 40):
                    rows.append(f"- The ferry left{own}")
                    rows.append(f"- {pick(dice, ('a little after ten.', 'without us.'))}")
                    phrases += [((SPEECH,), own_s), ((SPEECH,), None)]
                    n_sentences += 1
                elif chance(dice, 15):
                    rows.append(f"- {sentence(dice)} Nobody spoke.{own}")
                    phrases.append(((SPEECH, SPEECH), own_s))
                    n_sentences += 2
                else:
                    rows.append(f"- {sentence(dice)}{own}")
                    phrases.append(((SPEECH,), own_s))
                    n_sentences += 1
            whole.append((SPEECH,) * n_sentences)
        return phrases, rows, whole

    # ---- readings

    def _between(self, items: list[str], n_readings: int) -> tuple[Fraction, ...]:
        """Give silences between readings: one, or one fewer than the readings."""
        n = n_readings - 1 if n_readings > 2 and chance(self.dice, 50) else 1
        drawn = [time(self.dice) for _ in range(n)]
        items.append(f'between-readings="{", ".join(written for written, _ in drawn)}"')
        return tuple(wait_s for _, wait_s in drawn)

    def readings(self, env: Env, percent: int) -> tuple[Env, list[str]]:
        """Return readings and the silences between them, given here at times; they always fit."""
        items: list[str] = []
        if chance(self.dice, percent):
            env = replace(env, readings=pick(self.dice, (1, 2, 2, 3)))
            items.append(f'readings="{env.readings}"')
        fits = len(env.between) in {1, env.readings - 1}
        if not fits or chance(self.dice, percent):
            env = replace(env, between=self._between(items, env.readings))
        return env, items

    # ---- options

    def options(self) -> tuple[list[str], int]:
        """Return answers to choose, and how many."""
        n = self.dice.number(2, 4)
        if chance(self.dice, 10):
            return [f"- {'ABCD'[i]}. ![A boat](pictures/boat{i}.png)" for i in range(n)], n
        return [f"- {'ABCD'[i]}. {pick(self.dice, OPTIONS)}" for i in range(n)], n


def _suits(name: str, question: Asked) -> bool:
    """Say whether a question can be said by a pattern: its paragraphs are there, and are words."""
    wanted = 2 if any(isinstance(s, str) and "{2}" in s for s in PATTERNS[name].steps) else 1
    if len(question.paragraphs) < wanted or question.is_foreign:
        return False
    atoms = question.paragraphs[0].atoms
    return all(atom == SPEECH for atom in atoms) and len(atoms) == 1


def _grown(
    phrases: Sequence[tuple[tuple[Atom, ...], Fraction | None]], first_s: Fraction, last_s: Fraction
) -> list[Fraction]:
    """Return the time of each phrase: its own, or one that grows evenly over the others."""
    n = sum(own_s is None for _, own_s in phrases)
    grown = [first_s + (last_s - first_s) * Fraction(i, max(1, n - 1)) for i in range(n)]
    return [grown.pop(0) if own_s is None else own_s for _, own_s in phrases]


def seconds(wait_s: Fraction) -> str:
    """Return seconds in figures or words, as an instruction states them."""
    words = {1: "one second", 2: "two seconds", 3: "three seconds"}
    if wait_s.denominator == 1 and int(wait_s) in words:
        return words[int(wait_s)]
    return f"{float(wait_s):.4f}".rstrip("0").rstrip(".") + " seconds"
