"""From a file to a `Script`: every problem found in one pass, inheritance resolved.

The Markdown library gives a tree of blocks; this module walks it once. What stands where, who
owns a sheet or a key, and which number a question has are decided here; what a paragraph holds
is read in `inline`, what notes and divs hold in `blocks`.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from pausewright.problems import Place, Problems, ScriptError
from pausewright.script import checks, support
from pausewright.script.blocks import BlockReader, Opened
from pausewright.script.inline import Content, plain, read_inline
from pausewright.script.model import Group, InForce, Part, Question, Script
from pausewright.script.scope import Scope
from pausewright.script.settings import read_settings
from pausewright.script.source import Source, prepare, read_source
from pausewright.script.tree import Node, tree

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from pausewright.script.model import Block, Settings

MOST_NESTED_INCLUDES = 8


@dataclass(frozen=True, slots=True)
class Reading:
    """What came out of reading: the script, all problems, and its declared arrangements."""

    script: Script
    problems: tuple[Any, ...]
    arrangements: Mapping[str, Any]


def read_script(path: Path) -> Script:
    """Read a script; warnings are left out.

    Raises
    ------
    ScriptError
        With all problems, if one of them is an error.
    """
    reading = read(path)
    if any(p.severity == "error" for p in reading.problems):
        raise ScriptError(reading.problems)
    return reading.script


def read(path: Path, text: str | None = None) -> Reading:
    """Read a script and return it with all problems, errors and warnings, in file order.

    `text` is read in place of the file's own text, for a file that is still being written.

    Raises
    ------
    ScriptError
        If the file itself cannot be read.
    """
    problems = Problems()
    if text is None:
        source = read_source(path, problems, settings=True)
    else:
        source = prepare(path, text, problems, settings=True)
    settings, in_force, arrangements = read_settings(source, problems)
    reader = _ScriptReader(source, settings, in_force, problems)
    script = reader.script()
    checks.check(script, problems)
    support.check(script, problems)
    return Reading(script, problems.all, arrangements)


@dataclass(slots=True)
class _OpenGroup:
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
    groups: list[_OpenGroup] = field(default_factory=list)


class _ScriptReader:
    def __init__(
        self,
        source: Source,
        settings: Settings,
        in_force: dict[str, InForce[Any]],
        problems: Problems,
    ) -> None:
        self._source = source
        self._settings = settings
        self._problems = problems
        self._sources: dict[Path, str] = {source.file: source.text}
        self._test_scope = Scope(settings.language, in_force)
        self._parts: list[_OpenPart] = []
        self._including: list[Path] = [source.file.resolve()]
        self._owner_open = False
        self._numbers = {"test": 0, "practice": 0}
        self._blocks = BlockReader(source, settings, problems)

    def script(self) -> Script:
        self._walk(self._source)
        parts = tuple(
            Part(
                part.title,
                tuple(Group(g.title, tuple(g.blocks), g.place) for g in part.groups),
                part.place,
                practice=part.scope.practice,
                answers=part.answers,
            )
            for part in self._parts
        )
        return Script(self._source.file, self._settings, parts, self._sources)

    def _walk(self, source: Source) -> None:
        self._source = source
        self._blocks.source = source
        for node in tree(source):
            self._block(node)

    # ---- where we are

    def _part(self) -> _OpenPart:
        if not self._parts:
            self._open_part("", self._source.place(1), self._test_scope, answers=False)
        return self._parts[-1]

    def _open_part(self, title: str, place: Place, scope: Scope, *, answers: bool) -> None:
        part = _OpenPart(title, place, scope, answers)
        part.groups.append(_OpenGroup("", place, scope))
        self._parts.append(part)
        if self._settings.numbering == "by-part":
            self._numbers = {"test": 0, "practice": 0}

    def _group(self) -> _OpenGroup:
        return self._part().groups[-1]

    def _add(self, block: Block) -> None:
        self._group().blocks.append(block)

    # ---- blocks at the margin

    def _block(self, node: Node) -> None:
        kind = node.token.type
        lead = node.lead
        if kind == "div_open":
            self._div(node)
            return
        if 0 < lead < 4 and kind in {"paragraph_open", "heading_open", "bullet_list_open"}:
            self._problems.error(
                node.place,
                "this line begins with blanks but belongs to no question",
                "indent by four, or not at all",
                code="indent",
            )
        elif lead >= 4 and kind in {"paragraph_open", "bullet_list_open"}:
            self._problems.error(
                node.place,
                "this indented line belongs to no question",
                "start at the margin, or put it right below its question",
                code="indent",
            )
        if kind == "heading_open":
            self._heading(node)
        elif kind == "paragraph_open":
            self._paragraph(node)
        elif kind == "ordered_list_open":
            for item in node.children:
                self._question(item)
        elif kind == "bullet_list_open":
            self._owner_open = False
            self._problems.error(
                node.place,
                "a list stands here without a question",
                "indent answers by four below their question; put phrases in ::: dictation",
                code="list-misplaced",
            )
        else:
            self._owner_open = False
            self._blocks.refuse(node)

    def _heading(self, node: Node) -> None:
        self._owner_open = False
        level = int(node.token.tag[1:])
        if level > 2:
            self._problems.error(
                node.place,
                "a script has headings of two levels only",
                "write # for a part or ## for a group",
                code="heading-level",
            )
            level = 2
        kind = "part" if level == 1 else "group"
        content = read_inline(node.children[0].token, self._source, self._problems, kind)
        title = plain(content.inlines).strip()
        if not title:
            self._problems.error(
                node.place, "this heading has no title", "write a title", code="heading-empty"
            )
        if any(not _is_plain(n) for n in content.inlines):
            self._problems.error(
                content.place,
                "a heading holds plain words only",
                "it is never spoken: move spoken things into a paragraph",
                code="heading-content",
            )
        above = self._test_scope if level == 1 else self._part().scope
        attrs = self._blocks.attributes(content, kind)
        origin = f"{kind} ‘{title}’"
        scope = self._blocks.scoped(above, attrs, origin)
        if level == 1:
            if len(self._including) > 1 and self._inside_group:
                self._problems.error(
                    node.place,
                    "an included file cannot open a part inside a group",
                    "use ## in it, or include it before the first ##",
                    code="include-part",
                )
            self._open_part(title, content.place, scope, answers=attrs.yes("answers"))
        else:
            self._part().groups.append(_OpenGroup(title, content.place, scope))

    @property
    def _inside_group(self) -> bool:
        return bool(self._parts and self._parts[-1].groups[-1].title)

    def _paragraph(self, node: Node) -> None:
        self._owner_open = False
        content = read_inline(node.children[0].token, self._source, self._problems, "paragraph")
        if content.include is not None:
            self._include(content, content.include)
            return
        prose = self._blocks.prose(content, self._group().scope, "paragraph")
        if prose is not None:
            self._add(prose)

    def _question(self, item: Node) -> None:
        scope = self._group().scope
        number, width = self._source.numbers.get(item.line, (0, 1))
        place = self._source.place(item.line, 1, width + 1)
        kind = "practice" if scope.practice else "test"
        expected = self._numbers[kind] + 1
        if number != expected:
            again = " again" if number == expected - 1 else ""
            self._problems.error(
                place,
                f"question {number}{again}, where {expected} is expected",
                f"write {expected}. — or, if this is no question, join it with the line above",
                code="question-number",
            )
        self._numbers[kind] = number
        label = f"Practice {number}" if scope.practice else str(number)
        opened = self._blocks.question(item, scope, number, label, self._part().title, place)
        if opened is not None:
            self._add(opened)
        self._owner_open = opened is not None

    # ---- `:::`

    def _div(self, node: Node) -> None:
        opened = self._blocks.open_div(node)
        if opened is None:
            return
        if opened.name in {"sheet", "key", "staff-note"}:
            self._note(opened)
            return
        self._owner_open = False
        if node.lead:
            self._problems.error(
                node.place,
                "this block begins with blanks but belongs to no question",
                "indent by four below its question, or not at all",
                code="indent",
            )
        block = self._blocks.margin_block(opened, self._group().scope)
        if block is not None:
            self._add(block)

    def _note(self, opened: Opened) -> None:
        note = self._blocks.note(opened)
        if note is None:
            return
        blocks = self._group().blocks
        if self._owner_open and blocks and isinstance(blocks[-1], Question):
            blocks[-1] = self._blocks.owned(blocks[-1], note)
        elif note.kind == "key":
            self._problems.error(
                note.place,
                "this key belongs to no question",
                "put it right below its question",
                code="key-ownerless",
            )
        else:
            if note.kind == "sheet" and any(isinstance(b, Question) for b in blocks):
                self._problems.error(
                    note.place,
                    "this sheet belongs to no question",
                    "put it right below its question, or before the first question of its group",
                    code="sheet-ownerless",
                )
            self._add(note)

    # ---- includes

    def _include(self, content: Content, path: str) -> None:
        place = content.place
        file = self._source.file.parent / path
        root = self._including[0].parent
        resolved = file.resolve()
        if not resolved.is_relative_to(root):
            self._problems.error(
                place,
                f"‘{path}’ lies outside the script's folder",
                "move it in",
                code="path-outside",
            )
            return
        if resolved in self._including or len(self._including) > MOST_NESTED_INCLUDES:
            self._problems.error(
                place,
                f"‘{path}’ includes itself",
                "take out one of the includes",
                code="include-loop",
            )
            return
        outer, found = self._source, Problems()
        try:
            source = read_source(file, found, settings=False)
        except ScriptError as error:
            self._problems.error(
                place,
                f"‘{path}’ cannot be included: {error.message}",
                "check the file's name, from the script's own folder",
                code="include-unreadable",
            )
            return
        if source.lines and source.lines[0].rstrip() == "---":
            found.error(
                source.place(1, 1, 3),
                "an included file has no settings of its own",
                "move them into the script",
                code="include-settings",
            )
            return_text = "\n".join([""] * len(source.lines))
            source = prepare(file, return_text, found, settings=False)
        self._sources[file] = source.text
        kept, self._problems = self._problems, found
        self._blocks.problems = found
        self._including.append(resolved)
        self._walk(source)
        self._including.pop()
        self._problems, self._source = kept, outer
        self._blocks.problems, self._blocks.source = kept, outer
        self._problems.extend(replace(p, also=(*p.also, place)) for p in found.all)


def _is_plain(node: object) -> bool:
    return type(node).__name__ in {"Text", "Emphasis"}
