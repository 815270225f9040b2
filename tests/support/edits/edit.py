"""Edits of a drawn script, one construct each, and what each must change."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from support.edits.draw import instruction, question
from support.edits.model import Block, Change, Group, Part, Test

if TYPE_CHECKING:
    import random
    from collections.abc import Callable

HEARD = frozenset({"sound", "words"})
SOUNDING = ("instruction", "stop", "page turn", "passage", "dictation", "again")


@dataclass
class Edit:
    """One edit on its way: what it touched, and how things were called before."""

    test: Test
    rng: random.Random
    touched: defaultdict[object, set[str]] = field(default_factory=lambda: defaultdict(set))
    added: list[Block] = field(default_factory=list)
    removed: list[str] = field(default_factory=list)
    moved: set[Block] = field(default_factory=set)
    was_announced: str = ""

    def __post_init__(self) -> None:
        """Note how all is called, and what is printed."""
        test = self.test
        self.names = {block: test.name(block) for block in test.blocks()}
        self.total = len(test.blocks("question"))
        self.printed = {one: printed(one) for one in self.titled()}
        self.answers = self.said_answers()

    def titled(self) -> list[Part | Group]:
        """Return parts and groups that have a title."""
        test = self.test
        return [*test.parts, *(group for group in test.groups() if group.title)]

    def said_answers(self) -> list[tuple[int, str]]:
        """Return the answers that are read aloud."""
        self.test.number()
        keyed = [q for q in self.test.blocks("question") if q.key and q.inner != "subs"]
        return [(q.number, q.key.split("|")[0].strip()) for q in keyed]

    def touch(self, what: object, *aspects: str) -> None:
        """Note in what something must have changed."""
        self.touched[what] |= set(aspects)

    def say(self, block: Block, *aspects: str) -> None:
        """Note that what a question says has changed; what says it again has too."""
        self.touch(block, *aspects)
        for again in self.test.blocks("again"):
            if block in again.refs:
                self.touch(again, *(HEARD & set(aspects)))

    def pick(self, wanted: Callable[[Block], bool], *kinds: str) -> Block | None:
        """Return a block of these kinds for which something holds."""
        found = [block for block in self.test.blocks(*kinds) if wanted(block)]
        return self.rng.choice(found) if found else None

    # ---- what must be told

    def truth(self) -> set[Change]:
        """Return all changes that must be told, worked out from the language's rules."""
        self._follow()
        found: set[Change] = set()
        for block, aspects in self._rows():
            if block in self.added:
                found.add(("added", self.test.name(block), "", frozenset(), False))
                continue
            name, was = self.test.name(block), self.names[block]
            other = was if block.is_question and was != name else ""
            is_moved = block in self.moved
            if aspects or other or is_moved:
                what = "changed" if aspects else "renumbered" if other else "moved"
                found.add((what, name, other, frozenset(aspects), is_moved))
        found |= {("removed", name, "", frozenset(), False) for name in self.removed}
        for one, aspects in self.touched.items():
            if isinstance(one, str) and aspects:
                found.add(("changed", one, "", frozenset(aspects), False))
        for at, one in enumerate(self.test.parts, 1):
            if self.touched[one]:
                found.add(("changed", f"part {at}", "", frozenset(self.touched[one]), False))
        groups = [group for group in self.test.groups() if group.title]
        for at, group in enumerate(groups, 1):
            if self.touched[group]:
                found.add(("changed", f"group {at}", "", frozenset(self.touched[group]), False))
        return found

    def _rows(self) -> list[tuple[Block, set[str]]]:
        return [(block, self.touched[block]) for block in self.test.blocks()]

    def _follow(self) -> None:
        """Add what follows from other numbers, another total, other titles on paper."""
        test = self.test
        total = len(test.blocks("question"))
        renumbered = {
            block
            for block in test.blocks("question", "practice question")
            if block in self.names and self.names[block] != test.name(block)
        }
        for block in test.blocks("question", "practice question"):
            if block in renumbered and says_number(test, block):
                self.touch(block, *HEARD)
            if total != self.total and says_total(test, block):
                self.touch(block, *HEARD)
        for again in test.blocks("again"):
            for ref in again.refs:
                if ref in renumbered:
                    self.touch(again, "words", *(HEARD if says_number(test, ref) else ()))
                if total != self.total and says_total(test, ref):
                    self.touch(again, *HEARD)
        for passage in test.blocks("passage"):
            if {*passage.refs[:1], *passage.refs[-1:]} & renumbered:
                self.touch(passage, "words")
        for block in test.blocks("instruction"):
            if total != self.total and "@total" in block.text:
                self.touch(block, *HEARD)
        if any(part.is_answers for part in test.parts) and self.said_answers() != self.answers:
            self.touch("answers read aloud", *HEARD)
        for one in self.titled():
            if self.printed.get(one) != printed(one):
                self.touch(one, "paper")


def printed(one: Part | Group) -> bool:
    """Say whether a title stands on the answer sheet."""
    groups = one.groups if isinstance(one, Part) else [one]
    kinds = {"question", "practice question"} | ({"sheet"} if isinstance(one, Part) else set())
    return any(block.kind in kinds for group in groups for block in group.blocks)


def is_announced(test: Test, block: Block) -> bool:
    """Say whether a question is announced: not one by a pattern, on paper, or withdrawn."""
    announce = block.attrs.get("announce", test.settings["announce"])
    return announce != "none" and block.is_heard and block.inner != "pattern"


def says_number(test: Test, block: Block) -> bool:
    """Say whether a question's number is heard."""
    return "withdrawn" in block.words or is_announced(test, block)


def says_total(test: Test, block: Block) -> bool:
    """Say whether the number of all questions is heard with it."""
    is_total = "{total}" in test.settings["announce"]
    return is_total and is_announced(test, block) and block.kind == "question"


def n_readings(test: Test, block: Block) -> int:
    """Return how often a question is read."""
    return int(block.attrs.get("readings", test.settings["readings"]))


def answer_s(test: Test, block: Block) -> int:
    """Return the answer time of a question in seconds."""
    return int(block.attrs.get("answer-time", test.settings["answer-time"]).split()[0])


def other(rng: random.Random, now: str, values: tuple[str, ...]) -> str:
    """Return another value."""
    return rng.choice([one for one in values if one != now])


SECONDS = tuple(f"{n} s" for n in range(2, 45))
ASKED = ("question", "practice question")


def changed_answer_time(edit: Edit, block: Block, new: str) -> None:
    """Note what another answer time changes: at times half of it is told."""
    test = edit.test
    before = answer_s(test, block)
    if block.inner == "none" or new == f"{before} s":
        return
    is_cued = test.settings["time-cue"] == "half" and "withdrawn" not in block.words
    crosses = (before > 30) != (int(new.removesuffix(" s")) > 30)
    if "printed" not in block.words:
        edit.touch(block, "sound", *(("words",) if is_cued and crosses else ()))


def content_aspects(block: Block) -> set[str]:
    """Return in what a question changes if its words do."""
    if "withdrawn" in block.words:
        return set()
    return {"paper"} if "printed" in block.words else set(HEARD)


def new_question(rng: random.Random, test: Test) -> tuple[Group, int, Block]:
    """Return a question, and a place for it that takes nothing from its neighbours."""
    parts = [p for p in test.parts[:-1] if not (p.is_practice or p.is_answers)]
    groups = [g for p in parts for g in p.groups]
    group = rng.choice(groups)
    n_notes = sum(block.kind in {"sheet", "staff note"} for block in group.blocks)
    return group, rng.randint(n_notes, len(group.blocks)), question(rng)


def new_instruction(rng: random.Random, test: Test) -> tuple[Group, int, Block]:
    """Return an instruction and a place for it: not between a question and its notes."""
    group = rng.choice(test.groups())
    n_notes = sum(block.kind in {"sheet", "staff note"} for block in group.blocks)
    return group, rng.randint(n_notes, len(group.blocks)), instruction(rng)
