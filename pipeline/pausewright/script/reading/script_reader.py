"""From a prepared file to a `Script`: what stands where, and who owns it.

The Markdown library gives a tree of blocks; this module walks it once. What stands where, who
owns a sheet or a key, and which number a question has are decided here.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.intake.file_kinds import INCLUDE
from pausewright.intake.plain_file import resolved
from pausewright.problems import Problems, ScriptError
from pausewright.script.attributes.scope import Scope
from pausewright.script.inline.paragraph_content import read_inline
from pausewright.script.inlines import plain
from pausewright.script.limits import MOST_CHARACTERS, MOST_LINES
from pausewright.script.model import Emphasis, InForce, Question, Script, Text
from pausewright.script.reading.block_attributes import read_attributes, scope_below
from pausewright.script.reading.context import Context
from pausewright.script.reading.divs import open_div, refuse
from pausewright.script.reading.margin_blocks import read_margin_block
from pausewright.script.reading.notes import read_note, with_note
from pausewright.script.reading.open_parts import OpenParts
from pausewright.script.reading.paragraphs import read_prose
from pausewright.script.reading.question_blocks import read_question
from pausewright.script.references import QuestionRef
from pausewright.script.source.preparing import prepare, read_plain
from pausewright.script.source.tree import tree

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.script.declared import Settings
    from pausewright.script.inline.paragraph_content import Content
    from pausewright.script.reading.divs import Opened
    from pausewright.script.source.source_text import Source
    from pausewright.script.source.tree import Node

MOST_NESTED_INCLUDES: Final = 8
MOST_INCLUDES: Final = 1000
"""In all; the text of all of them together is no more than a script may hold."""


class ScriptReader:
    """Walks once over a script and its included files."""

    def __init__(
        self,
        source: Source,
        settings: Settings,
        in_force: dict[str, InForce[object]],
        problems: Problems,
    ) -> None:
        self._source = source
        self._settings = settings
        self._problems = problems
        self._sources: dict[Path, str] = {source.file: source.text}
        self._n_lines, self._n_characters = len(source.lines), len(source.text)
        self._test_scope = Scope(settings.language, in_force)
        self._open = OpenParts(settings, source.place(1), self._test_scope)
        self._including: list[Path] = [resolved(source.file)]
        self._n_includes = 0
        self._owner_open = False
        self._ctx = Context(source, settings, problems)

    def script(self) -> Script:
        """Return the script, with the text of every file that was read."""
        self._walk(self._source)
        return Script(self._source.file, self._settings, self._open.closed(), self._sources)

    def _walk(self, source: Source) -> None:
        self._source = source
        self._ctx.source = source
        for node in tree(source):
            self._block(node)

    # ---- blocks at the margin

    def _block(self, node: Node) -> None:
        kind = node.token.type
        lead = node.lead
        if kind == "div_open":
            self._div(node)
            return
        if lead and kind == "heading_open":
            hint = "start it at the margin"
            self._problems.error(node.place, "this heading begins with blanks", hint, code="indent")
        elif 0 < lead < 4 and kind in {"paragraph_open", "bullet_list_open"}:
            message = "this line begins with blanks but belongs to no question"
            hint = "indent by four, or not at all"
            self._problems.error(node.place, message, hint, code="indent")
        elif lead >= 4 and kind in {"paragraph_open", "bullet_list_open"}:
            message = "this indented line belongs to no question"
            hint = "start at the margin, or put it right below its question"
            self._problems.error(node.place, message, hint, code="indent")
        if kind == "heading_open":
            self._heading(node)
        elif kind == "paragraph_open":
            self._paragraph(node)
        elif kind == "ordered_list_open":
            for item in node.children:
                self._question(item)
        elif kind == "bullet_list_open":
            self._owner_open = False
            message = "a list stands here without a question"
            hint = "indent answers by four below their question; put phrases in ::: dictation"
            self._problems.error(node.place, message, hint, code="list-misplaced")
        else:
            self._owner_open = False
            refuse(self._ctx, node)

    def _heading(self, node: Node) -> None:
        self._owner_open = False
        level = int(node.token.tag[1:])
        if level > 2:
            message = "a script has headings of two levels only"
            hint = "write # for a part or ## for a group"
            self._problems.error(node.place, message, hint, code="heading-level")
            level = 2
        kind = "part" if level == 1 else "group"
        content = read_inline(node.children[0].token, self._source, self._problems, kind)
        title = plain(content.inlines).strip()
        if not title:
            message = "this heading has no title"
            self._problems.error(node.place, message, "write a title", code="heading-empty")
        if not all(isinstance(node, Text | Emphasis) for node in content.inlines):
            message = "a heading holds plain words only"
            hint = "it is never spoken: move spoken things into a paragraph"
            self._problems.error(content.place, message, hint, code="heading-content")
        above = self._test_scope if level == 1 else self._open.part_scope
        attrs = read_attributes(self._ctx, content, kind)
        origin = f"{kind} ‘{title}’"
        scope = scope_below(self._ctx, above, attrs, origin)
        if level == 1:
            if len(self._including) > 1 and self._open.inside_group:
                message = "an included file cannot open a part inside a group"
                hint = "use ## in it, or include it before the first ##"
                self._problems.error(node.place, message, hint, code="include-part")
            self._open.open_part(title, content.place, scope, answers=attrs.yes("answers"))
        else:
            self._open.open_group(title, content.place, scope)

    def _paragraph(self, node: Node) -> None:
        self._owner_open = False
        content = read_inline(node.children[0].token, self._source, self._problems, "paragraph")
        if content.include is not None:
            self._include(content, content.include)
            return
        prose = read_prose(self._ctx, content, self._open.group.scope, "paragraph")
        if prose is not None:
            self._open.add(prose)

    def _question(self, item: Node) -> None:
        scope = self._open.group.scope
        number, width = self._source.numbers.get(item.line, (0, 1))
        place = self._source.place(item.line, 1, width + 1)
        expected = self._open.numbers.next(number, practice=scope.practice)
        if number != expected and item.line not in self._source.joined:
            again = " again" if number == expected - 1 else ""
            message = f"question {number}{again}, where {expected} is expected"
            hint = f"write {expected}. — or, if this is no question, join it with the line above"
            self._problems.error(place, message, hint, code="question-number")
        label = str(QuestionRef(number, practice=scope.practice))
        opened = read_question(self._ctx, item, scope, number, label, self._open.title, place)
        if opened is not None:
            self._open.add(opened)
        self._owner_open = opened is not None

    # ---- `:::`

    def _div(self, node: Node) -> None:
        opened = open_div(self._ctx, node)
        if opened is None:
            return
        if opened.name in {"sheet", "key", "staff-note"}:
            self._note(opened)
            return
        self._owner_open = False
        if node.lead:
            message = "this block begins with blanks but belongs to no question"
            hint = "indent by four below its question, or not at all"
            self._problems.error(node.place, message, hint, code="indent")
        block = read_margin_block(self._ctx, opened, self._open.group.scope)
        if block is not None:
            self._open.add(block)

    def _note(self, opened: Opened) -> None:
        note = read_note(self._ctx, opened)
        if note is None:
            return
        blocks = self._open.group.blocks
        if self._owner_open and blocks and isinstance(blocks[-1], Question):
            blocks[-1] = with_note(self._ctx, blocks[-1], note)
        elif note.kind == "key":
            message = "this key belongs to no question"
            hint = "put it right below its question"
            self._problems.error(note.place, message, hint, code="key-ownerless")
        else:
            if note.kind == "sheet" and any(isinstance(b, Question) for b in blocks):
                message = "this sheet belongs to no question"
                hint = "put it right below its question, or before the first question of its group"
                self._problems.error(note.place, message, hint, code="sheet-ownerless")
            self._open.add(note)

    # ---- includes

    def _include(self, content: Content, path: str) -> None:
        place = content.place
        file = self._source.file.parent / path
        root = self._including[0].parent
        real = resolved(file)
        if not real.is_relative_to(root):
            message = f"‘{path}’ lies outside the script's folder"
            self._problems.error(place, message, "move it in", code="path-outside")
            return
        if real in self._including or len(self._including) > MOST_NESTED_INCLUDES:
            hint = "take out one of the includes"
            self._problems.error(place, f"‘{path}’ includes itself", hint, code="include-loop")
            return
        outer, found = self._source, Problems()
        try:
            text = read_plain(file, INCLUDE, root)
        except ScriptError as error:
            message = f"‘{path}’ cannot be included: {error.message}"
            self._problems.error(place, message, error.problems[0].hint, code="include-unreadable")
            return
        source = prepare(file, text, found, settings=False)
        self._n_includes += 1
        self._n_lines += len(source.lines)
        self._n_characters += len(source.text)
        too_long = self._n_lines > MOST_LINES or self._n_characters > MOST_CHARACTERS
        if too_long or self._n_includes > MOST_INCLUDES:
            message = f"with ‘{path}’ the script is longer than {MOST_LINES:,} lines or "
            message += (
                f"{MOST_CHARACTERS:,} characters, or includes more than {MOST_INCLUDES:,} times"
            )
            self._problems.error(place, message, "make several scripts of it", code="too-long")
            return
        if source.lines and source.lines[0].rstrip() == "---":
            message = "an included file has no settings of its own"
            hint = "move them into the script"
            found.error(source.place(1, 1, 3), message, hint, code="include-settings")
            return_text = "\n".join([""] * len(source.lines))
            source = prepare(file, return_text, found, settings=False)
        self._sources[file] = source.text
        kept, self._problems = self._problems, found
        self._ctx.problems = found
        self._including.append(real)
        self._walk(source)
        self._including.pop()
        self._problems, self._source = kept, outer
        self._ctx.problems, self._ctx.source = kept, outer
        self._problems.extend(replace(p, also=(*p.also, place)) for p in found.all)
