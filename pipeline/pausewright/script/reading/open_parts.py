"""Parts and groups while a script is read: where the next block goes, which number comes next."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from pausewright.script.declared import PatternSay
from pausewright.script.inlines import plain
from pausewright.script.model import Group, Note, Part, Prose, Question

if TYPE_CHECKING:
    from pausewright.problems import Place
    from pausewright.script.attributes.scope import Scope
    from pausewright.script.declared import Settings
    from pausewright.script.model import Block


class Numbers:
    """The running numbers of the test's and the practice's questions.

    After a wrong number both ways of going on are accepted, so that one mistake is one problem.
    """

    def __init__(self) -> None:
        """Begin at 1 with both."""
        self._accepted: dict[bool, tuple[int, ...]] = {False: (1,), True: (1,)}

    def next(self, number: int, *, practice: bool) -> int:
        """Return the number that is expected where `number` is written, and go on."""
        accepted = self._accepted[practice]
        expected = number if number in accepted else accepted[0]
        more = () if number == expected else (expected, number + 1)
        self._accepted[practice] = (expected + 1, *more)
        return expected


@dataclass(slots=True)
class OpenGroup:
    """A group that still takes blocks."""

    title: str
    place: Place
    scope: Scope
    blocks: list[Block] = field(default_factory=list)


@dataclass(slots=True)
class _OpenPart:
    title: str
    place: Place
    scope: Scope
    answers: bool
    groups: list[OpenGroup] = field(default_factory=list)


class OpenParts:
    """The parts read so far; the last group of the last part is open."""

    def __init__(self, settings: Settings, first: Place, scope: Scope) -> None:
        """`first` and `scope` are those of a part without a heading, should there be one."""
        self._settings = settings
        self._first = first
        self._scope = scope
        self._parts: list[_OpenPart] = []
        self.numbers = Numbers()

    def open_part(self, title: str, place: Place, scope: Scope, *, answers: bool) -> None:
        """Open a part, and in it a group without a title."""
        part = _OpenPart(title, place, scope, answers)
        part.groups.append(OpenGroup("", place, scope))
        self._parts.append(part)
        if self._settings.numbering == "by-part":
            self.numbers = Numbers()

    def open_group(self, title: str, place: Place, scope: Scope) -> None:
        """Open a group in the open part."""
        self._part().groups.append(OpenGroup(title, place, scope))

    @property
    def title(self) -> str:
        """The title of the open part."""
        return self._part().title

    @property
    def part_scope(self) -> Scope:
        """What is in force in the open part."""
        return self._part().scope

    @property
    def group(self) -> OpenGroup:
        """The open group."""
        return self._part().groups[-1]

    @property
    def inside_group(self) -> bool:
        """Whether the open group has a heading."""
        return bool(self._parts and self._parts[-1].groups[-1].title)

    def add(self, block: Block) -> None:
        """Put a block into the open group."""
        self.group.blocks.append(block)

    def closed(self) -> tuple[Part, ...]:
        """Return all parts, each question with its key."""
        return tuple(
            Part(
                part.title,
                tuple(
                    Group(g.title, tuple(map(self._with_key, g.blocks)), g.place)
                    for g in part.groups
                ),
                part.place,
                practice=part.scope.practice,
                answers=part.answers,
            )
            for part in self._parts
        )

    def _part(self) -> _OpenPart:
        if not self._parts:
            self.open_part("", self._first, self._scope, answers=False)
        return self._parts[-1]

    def _with_key(self, block: Block) -> Block:
        """Give a question whose pattern says `{1}` that word as its key, unless it has one."""
        if not isinstance(block, Question) or block.key is not None or block.printed:
            return block
        pattern = self._settings.patterns.get(block.delivery.pattern.value or "")
        first = block.content[0] if block.content else None
        if pattern is None or not isinstance(first, Prose):
            return block
        says_it = any(isinstance(s, PatternSay) and "{1}" in s.template for s in pattern.steps)
        word = " ".join(plain(first.inlines).split()).rstrip(".")
        if not says_it or not word:
            return block
        return replace(block, key=Note("key", word, first.place))
