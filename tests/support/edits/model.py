"""A script as values that can be edited one by one, and how they are written.

Wide enough that each construct of the language can be edited; drawn plainly, so that what an edit
must change can be told from the language's text alone.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    import random

NOUNS = (
    "harbour", "lantern", "orchard", "kettle", "basket", "ladder", "river", "bridge", "window",
    "garden", "market", "station", "pencil", "button", "saddle", "barrel", "candle", "meadow",
    "pigeon", "rocket", "tunnel", "mirror", "blanket", "hammer", "feather", "island", "cottage",
)  # fmt: skip
VERBS = ("holds", "carries", "paints", "counts", "repairs", "borrows", "watches", "follows")
NUMBERS = ("two", "three", "four", "five", "seven", "nine", "eleven", "twelve", "thirty")


def sentence(rng: random.Random, *, asks: bool = False) -> str:
    """Return a sentence that hardly any other is."""
    noun, other = rng.sample(NOUNS, 2)
    start = "Which" if asks else "The"
    end = "?" if asks else "."
    what = f"{rng.choice(VERBS)} {rng.choice(NUMBERS)} {other}s"
    return f"{start} {noun} {what} near the {rng.choice(NOUNS)}{end}"


@dataclass(eq=False)
class Block:
    """A block: its kind, and what is declared of it by name."""

    kind: str
    text: str = ""
    attrs: dict[str, str] = field(default_factory=dict)
    more: list[str] = field(default_factory=list)
    """Further paragraphs, turns, phrases, options, as the kind has them."""
    key: str = ""
    sheet: str = ""
    notes: list[tuple[str, str]] = field(default_factory=list)
    """Whom a staff note is for, and its text."""
    words: set[str] = field(default_factory=set)
    """Yes words: printed, withdrawn, rest."""
    inner: str = ""
    """Of a question: options, passage, dictation, subs, pattern, spans; "" for plain."""
    refs: list[Block] = field(default_factory=list)
    """Questions that it names."""
    number: int = 0
    """Given when it is written."""

    @property
    def is_question(self) -> bool:
        """Whether it is a question, practice or not."""
        return self.kind in {"question", "practice question"}

    @property
    def is_heard(self) -> bool:
        """Whether a question's own words are heard."""
        return not self.words & {"printed", "withdrawn"}


@dataclass(eq=False)
class Group:
    """A group with its title; "" for the blocks before the first."""

    title: str
    blocks: list[Block]
    attrs: dict[str, str] = field(default_factory=dict)


@dataclass(eq=False)
class Part:
    """A part."""

    title: str
    groups: list[Group]
    is_practice: bool = False
    is_answers: bool = False
    attrs: dict[str, str] = field(default_factory=dict)


Change: TypeAlias = tuple[str, str, str, frozenset[str], bool]
"""What, name now, name before if a question has another, in what, whether in another place."""


@dataclass
class Test:
    """A whole script."""

    __test__ = False

    settings: dict[str, str]
    parts: list[Part]
    lexicon: dict[str, str] = field(default_factory=dict)
    filler: str = ""
    """A comment between blocks."""

    def groups(self) -> list[Group]:
        """Return all groups."""
        return [group for part in self.parts for group in part.groups]

    def blocks(self, *kinds: str) -> list[Block]:
        """Return all blocks of these kinds, in order."""
        found = [block for group in self.groups() for block in group.blocks]
        return [block for block in found if not kinds or block.kind in kinds]

    def part_of(self, block: Block) -> Part:
        """Return the part that a block stands in."""
        return next(p for p in self.parts for g in p.groups if block in g.blocks)

    def group_of(self, block: Block) -> Group:
        """Return the group that a block stands in."""
        return next(g for g in self.groups() if block in g.blocks)

    def number(self) -> None:
        """Give each question its number."""
        for kind in ("question", "practice question"):
            for number, block in enumerate(self.blocks(kind), 1):
                block.number = number

    def name(self, block: Block) -> str:
        """Return what a block is called."""
        self.number()
        if block.is_question:
            return f"{block.kind} {block.number}"
        return f"{block.kind} {self.blocks(block.kind).index(block) + 1}"

    def written(self) -> str:
        """Return the script's text."""
        self.number()
        rows = ["---"]
        for name, value in self.settings.items():
            rows.append(f"{name}: {value}")
        if self.lexicon:
            rows += ["words:", *(f"  {word}: {say}" for word, say in self.lexicon.items())]
        rows += ["---", ""]
        for part in self.parts:
            words = [".practice"] * part.is_practice + [".answers"] * part.is_answers
            rows += [f"# {part.title} {braces(part.attrs, words)}".rstrip(), ""]
            for group in part.groups:
                if group.title:
                    rows += [f"## {group.title} {braces(group.attrs)}".rstrip(), ""]
                for block in group.blocks:
                    rows += [*_rows(block), "", *([self.filler, ""] if self.filler else [])]
        text = "\n".join(rows) + "\n"
        return text.replace("@total", str(len(self.blocks("question"))))


def braces(attrs: dict[str, str], words: list[str] | None = None) -> str:
    """Return attributes in braces."""
    items = [*(words or ()), *(f'{name}="{value}"' for name, value in attrs.items() if value)]
    return "{" + " ".join(items) + "}" if items else ""


def _rows(block: Block) -> list[str]:
    words = [f".{word}" for word in sorted(block.words)]
    if block.is_question:
        return _question(block, words)
    end = braces(block.attrs, words)
    if block.kind == "instruction":
        return [f"{block.text} {end}".rstrip()]
    if block.kind in {"sheet", "staff note"}:
        return [f"::: {block.kind.replace(' ', '-')} {end}".rstrip(), block.text, ":::"]
    opening = block.kind.replace(" ", "-")
    if block.kind == "again":
        end = braces({**block.attrs, "questions": ", ".join(str(q.number) for q in block.refs)})
    if block.kind == "passage":
        named = [q.number for q in block.refs]
        end = braces(
            {**block.attrs, "for-questions": f"{named[0]}-{named[-1]}" if named else ""}, words
        )
        turns = [row for turn in block.more for row in (f"**{turn[:4]}:** {turn[4:]}", "")]
        return [f"::: passage {end}".rstrip(), *turns[:-1], ":::"]
    if block.kind == "dictation":
        return [f"::: dictation {end}".rstrip(), *(f"- {p}" for p in block.more), ":::"]
    cue = [row for text in (block.text, *block.more) for row in (text, "")] if block.text else [""]
    return [f"::: {opening} {end}".rstrip(), *cue[:-1], ":::"]


def _question(block: Block, words: list[str]) -> list[str]:
    attrs = dict(block.attrs)
    if block.key and block.inner != "subs":
        attrs["key"] = block.key
    if block.sheet:
        attrs["sheet"] = block.sheet
    rows = [f"{block.number}. {block.text} {braces(attrs, words)}".rstrip()]
    if block.inner == "options":
        rows += [
            "",
            *(f"    - {letter}. {text}" for letter, text in zip("ABC", block.more, strict=True)),
        ]
    elif block.inner == "subs":
        rows.append("")
        for letter, text in zip("abc", block.more, strict=False):
            rows.append(f'    - {letter}. {text} {{key="{block.key} {letter}"}}')
    elif block.inner == "dictation":
        rows += ["", '    ::: dictation {phrase-time="2 s"}', *(f"    - {p}" for p in block.more)]
        rows.append("    :::")
    elif block.inner == "passage":
        rows += ["", '    ::: passage {readings="1"}', *(f"    {t}" for t in block.more), "    :::"]
    else:
        for text in block.more:
            rows += ["", f"    {text}"]
    for to, text in block.notes:
        rows += ["", f"    ::: staff-note {braces({'to': to})}".rstrip(), f"    {text}", "    :::"]
    return rows
