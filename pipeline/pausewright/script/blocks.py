"""What blocks hold: questions, passages, stops, page turns, dictations, notes.

One `BlockReader` serves a whole script; the script reader tells it which file is being read.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final, Literal, cast

from pausewright.problems import Place, Problems, nearest
from pausewright.script import values
from pausewright.script.attributes import Item, misplaced, read_braces
from pausewright.script.inline import Content, plain, read_inline
from pausewright.script.markdown import DIV_NAMES, meta
from pausewright.script.model import (
    Again,
    Dictation,
    Emphasis,
    InForce,
    Note,
    Option,
    Options,
    PageTurn,
    Passage,
    Phrase,
    Prose,
    Question,
    QuestionContent,
    Stop,
    SubQuestion,
    Text,
)
from pausewright.script.scope import SCOPED, Scope, pause_s, silence_s
from pausewright.script.values import ValueProblem

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.script.model import Block, Inline, Settings
    from pausewright.script.source import Source
    from pausewright.script.tree import Node

_LETTER: Final = re.compile(r"([A-Za-z])\.(?:\s+|$)")
_STAFF: Final = ("reader", "invigilator", "marker")
_DEFAULT_HOLD_S: Final = Fraction(20)
_DEFAULT_PAGE_TURN_S: Final = Fraction(5)
_MARGIN_ONLY: Final = frozenset({"stop", "page-turn", "again"})
_REFUSED: Final = {
    "hr": ("a line of hyphens or stars", "for a place to write, put [______]{.answer} in a sheet"),
    "blockquote_open": ("a quotation mark ‘>’ at the start of a line", r"write \> for the sign"),
    "fence": ("a block of code", "take out the backquotes or tildes"),
    "code_block": ("a block of code", "indent by four, not more"),
    "table_open": ("a table outside a sheet", "put it into ::: sheet … :::"),
    "heading_open": ("a heading inside a block", "move it to the margin"),
    "bullet_list_open": ("a list", "lists stand in questions, dictations and sheets"),
    "ordered_list_open": ("a numbered list", "questions start at the margin, outside blocks"),
}


@dataclass(frozen=True, slots=True)
class Attributes:
    """Attributes of one block, each allowed where it stands."""

    items: dict[str, Item]
    content: Content | None
    places: dict[str, Place]

    def yes(self, name: str) -> bool:
        """Say whether `.name` is given."""
        return name in self.items and self.items[name].value is None


@dataclass(frozen=True, slots=True)
class Opened:
    """A `:::` block whose opening line was understood."""

    name: str
    attrs: Attributes
    node: Node
    place: Place


class BlockReader:
    """Reads the contents of blocks; `source` and `problems` follow the file being read."""

    def __init__(self, source: Source, settings: Settings, problems: Problems) -> None:
        """Start with the script itself."""
        self.source = source
        self.problems = problems
        self._settings = settings

    # ---- attributes

    def attributes(self, content: Content, kind: str) -> Attributes:
        """Return the attributes at the end of a paragraph, those allowed on `kind`."""
        places = {item.name: content.item_place(item) for item in content.attrs}
        return Attributes(self._allowed(content.attrs, places, kind), content, places)

    def _allowed(
        self, items: Sequence[Item], places: dict[str, Place], kind: str
    ) -> dict[str, Item]:
        found: dict[str, Item] = {}
        for item in items:
            trouble = misplaced(item, kind)
            if trouble:
                self.problems.error(places[item.name], *trouble, code="attribute-unknown")
                continue
            if (
                item.value is not None
                and "{" in item.value
                and item.name not in {"announce", "again"}
            ):
                self.problems.error(
                    places[item.name], f"‘{item.name}’ holds braces",
                    "fields in braces stand in announce and again only", code="value-unreadable",
                )  # fmt: skip
                continue
            found[item.name] = item
        return found

    def scoped(self, above: Scope, attrs: Attributes, origin: str) -> Scope:
        """Return the scope below a heading or question with these attributes."""
        found: dict[str, InForce[Any]] = {}
        for name, item in attrs.items.items():
            if name in SCOPED and item.value is not None:
                value = self._read(item, attrs, SCOPED[name].read)
                if value is not _UNREAD:
                    found[name] = InForce(value, attrs.places[name], origin)
        scope = above.with_values(found)
        scope = replace(
            scope,
            practice=attrs.yes("practice") or (scope.practice and "practice" not in attrs.items),
            printed=attrs.yes("printed") or (scope.printed and "printed" not in attrs.items),
        )
        self._check_captions(attrs)
        return scope

    def _check_captions(self, attrs: Attributes) -> None:
        item = attrs.items.get("captions")
        if item is None or item.value != "everything":
            return
        if "captions-reason" not in attrs.items and not self._settings.captions_reason:
            self.problems.error(
                attrs.places["captions"], "captions that show everything need a reason",
                'add captions-reason="…": a test by ear that is shown is another test',
                code="captions-reason",
            )  # fmt: skip

    def _read(self, item: Item, attrs: Attributes, read: Callable[[str], Any]) -> Any:  # noqa: ANN401
        try:
            return read(item.value or "")
        except ValueProblem as problem:
            self.problems.error(
                attrs.places[item.name], f"{item.name}: {problem.message}", problem.hint,
                code="value-unreadable",
            )  # fmt: skip
            return _UNREAD

    def _own(
        self, attrs: Attributes, name: str, read: Callable[[str], Any], origin: str
    ) -> InForce[Any] | None:
        item = attrs.items.get(name)
        if item is None or item.value is None:
            return None
        value = self._read(item, attrs, read)
        return None if value is _UNREAD else InForce(value, attrs.places[name], origin)

    # ---- paragraphs

    def prose(
        self, content: Content, scope: Scope, kind: str, *, origin: str = "this paragraph"
    ) -> Prose | None:
        """Return one spoken paragraph; None if nothing is in it."""
        attrs = self.attributes(content, kind)
        if not content.inlines:
            return None
        inner = self.scoped(
            scope, replace(attrs, items={n: i for n, i in attrs.items.items() if n in _VOICED}),
            origin,
        )  # fmt: skip
        look = self._own(attrs, "look-time", silence_s, origin)
        answer = self._own(attrs, "answer-time", SCOPED["answer-time"].read, origin)
        after = self._own(attrs, "pause-after", pause_s, origin)
        both = [name for name in ("look-time", "answer-time", "pause-after") if name in attrs.items]
        if len(both) > 1:
            self.problems.error(
                attrs.places[both[1]], f"‘{both[0]}’ and ‘{both[1]}’ stand on one paragraph",
                "two silences side by side cannot be told apart: keep one",
                code="silences-adjacent",
            )  # fmt: skip
        return Prose(
            content.inlines, inner.speech(), inner.get("captions").value, content.place,
            look_time_s=look, answer_time=answer, pause_after_s=after,
        )  # fmt: skip

    def _paragraphs(self, nodes: Sequence[Node], scope: Scope, kind: str) -> tuple[Prose, ...]:
        found: list[Prose] = []
        for node in nodes:
            if node.token.type != "paragraph_open":
                self.refuse(node)
                continue
            content = self._content(node, kind)
            prose = self.prose(content, scope, kind) if content else None
            if prose is not None:
                found.append(prose)
        return tuple(found)

    def _content(self, node: Node, kind: str) -> Content | None:
        content = read_inline(node.children[0].token, self.source, self.problems, kind)
        if content.include is not None:
            self.problems.error(
                content.place, "an include cannot stand inside a block or question",
                "put it at the margin, in a paragraph of its own", code="include-form",
            )  # fmt: skip
            return None
        return content

    def refuse(self, node: Node) -> None:
        """Report a construct that is not part of the language."""
        if node.token.type == "div_open":
            opened = self.open_div(node)
            if opened is not None:
                self.problems.error(
                    opened.place, f"‘::: {opened.name}’ cannot stand here",
                    "close the block around it first, or move it to the margin",
                    code="block-misplaced",
                )  # fmt: skip
            return
        what, hint = _REFUSED.get(node.token.type, (node.token.type, "write it as a paragraph"))
        self.problems.error(
            node.place, f"{what} is not part of a script here", hint, code="markup-unknown"
        )

    # ---- `:::`

    def open_div(self, node: Node) -> Opened | None:
        """Read the opening line of a block; None if it cannot be understood."""
        name, trouble = str(meta(node.token, "name")), str(meta(node.token, "problem"))
        place = node.place
        if trouble == "stray":
            self.problems.error(
                place, "this ::: closes nothing", "take it out, or open a block above it",
                code="block-stray",
            )  # fmt: skip
            return None
        if trouble == "open":
            self.problems.error(
                place, f"this block ‘{name or '…'}’ is never closed", "close it with a line :::",
                code="block-open",
            )  # fmt: skip
        elif trouble == "close-indent":
            last = int(meta(node.token, "body")[1]) + 1
            self.problems.error(
                self.source.whole_line(last),
                f"this ::: is indented less than the block ‘{name}’ that it closes",
                f"indent it by {node.lead} blanks", code="block-indent",
            )  # fmt: skip
        if name not in DIV_NAMES:
            close = nearest(name, DIV_NAMES)
            self.problems.error(
                place, f"‘{name or node.token.info}’ is not a block",
                f"did you mean ::: {close}?" if close else "known blocks: " + ", ".join(DIV_NAMES),
                code="block-unknown",
            )  # fmt: skip
            return None
        attrs = self._div_attributes(node, name)
        return Opened(name, attrs, node, place)

    def _div_attributes(self, node: Node, name: str) -> Attributes:
        text = str(meta(node.token, "attrs")).strip()
        row = self.source.lines[node.line - 1]
        if not text:
            return Attributes({}, None, {})
        inner = text[1:].lstrip() if text.startswith("{") else text
        start = row.rfind(inner)
        opening = row.rfind("{", 0, start + 1) if text.startswith("{") else -1
        if opening < 0 or not text.startswith("{"):
            self.problems.error(
                self.source.place(node.line, max(1, start + 1), len(text)),
                f"‘{text}’ after the block's name is not an attribute",
                f'write ::: {name} {{name="value"}}', code="attribute-unreadable",
            )  # fmt: skip
            return Attributes({}, None, {})
        braces = read_braces(row, opening)
        for problem in braces.problems:
            if problem.message == "these braces are empty" and text != "{}":
                continue
            self.problems.error(
                self.source.place(node.line, problem.start + 1, problem.end - problem.start),
                problem.message, problem.hint, code="attribute-unreadable",
            )  # fmt: skip
        if row[braces.end :].strip():
            self.problems.error(
                self.source.place(node.line, braces.end + 1, len(row) - braces.end),
                "words stand after the block's attributes", "put them on the next line",
                code="block-text",
            )  # fmt: skip
        items = [i for i in braces.items if not (i.value is None and i.name == name)]
        places = {i.name: self.source.place(node.line, i.start + 1, i.end - i.start) for i in items}
        return Attributes(self._allowed(items, places, name), None, places)

    def margin_block(self, opened: Opened, scope: Scope) -> Block | None:
        """Return a block that stands at the margin."""
        if opened.name == "passage":
            return self.passage(opened, scope)
        if opened.name == "dictation":
            return self.dictation(opened, scope)
        if opened.name == "again":
            return self._again(opened, scope)
        cue = self._paragraphs(opened.node.children, scope, "indented paragraph")
        if not cue:
            self.problems.error(
                opened.place, f"this {opened.name} says nothing", "write what is said at it",
                code="block-empty",
            )  # fmt: skip
        for prose in cue:
            if prose.pause_after_s is not None and prose is cue[-1]:
                self.problems.error(
                    prose.pause_after_s.place or prose.place,
                    f"a pause stands beside the silence of the {opened.name}",
                    'use for="…" on the block', code="silences-adjacent",
                )  # fmt: skip
        default_s = _DEFAULT_HOLD_S if opened.name == "stop" else _DEFAULT_PAGE_TURN_S
        time_s = self._own(opened.attrs, "for", silence_s, f"this {opened.name}")
        time_s = time_s or InForce(default_s, None, "default")
        if opened.name == "stop":
            return Stop(cue, time_s, opened.attrs.yes("rest"), opened.place)
        return PageTurn(cue, time_s, opened.place)

    def _again(self, opened: Opened, scope: Scope) -> Again:
        lead_in = self._paragraphs(opened.node.children, scope, "indented paragraph")
        questions = self._own(opened.attrs, "questions", values.question_numbers, "this block")
        if questions is None and "questions" not in opened.attrs.items:
            self.problems.error(
                opened.place, "‘again’ does not say which questions", 'write {questions="1-5"}',
                code="again-questions",
            )  # fmt: skip
        inner = self.scoped(scope, opened.attrs, "this block")
        numbers = questions.value if questions else ()
        return Again(lead_in, numbers, inner.delivery(), opened.place)

    # ---- passages

    def passage(self, opened: Opened, scope: Scope) -> Passage:
        """Return a passage; turns may follow each other on lines of one paragraph."""
        inner = self.scoped(scope.for_passage(), opened.attrs, "this passage")
        content: list[Prose] = []
        for node in opened.node.children:
            if node.token.type != "paragraph_open":
                self.refuse(node)
                continue
            found = self._content(node, "turn")
            if found is not None:
                content += self._turns(found, inner)
        if not content:
            self.problems.error(
                opened.place, "this passage is empty", "write what is heard in it",
                code="block-empty",
            )  # fmt: skip
        for_questions = self._own(
            opened.attrs, "for-questions", values.question_numbers, "this passage"
        )
        delivery = inner.delivery()
        if delivery.pattern.value is not None:
            delivery = replace(delivery, pattern=InForce(None, None, "default"))
        return Passage(
            tuple(content), delivery, opened.place,
            look_time_s=self._own(opened.attrs, "look-time", silence_s, "this passage"),
            pause_after_s=self._own(opened.attrs, "pause-after", pause_s, "this passage"),
            for_questions=for_questions.value if for_questions else (),
        )  # fmt: skip

    def _turns(self, content: Content, scope: Scope) -> list[Prose]:
        attrs = self.attributes(content, "turn")
        starts = [
            index
            for index, node in enumerate(content.inlines)
            if _speaker(node) and (index == 0 or _is_break(content.inlines[index - 1]))
        ]
        bounds = sorted({0, *starts, len(content.inlines)})
        found: list[Prose] = []
        for start, end in pairwise(bounds):
            inlines = content.inlines[start:end]
            name = _speaker(inlines[0]) if inlines else None
            place = inlines[0].place if inlines else content.place
            speech_scope = self.scoped(
                scope, replace(attrs, items={n: i for n, i in attrs.items.items() if n in _VOICED}),
                "this turn",
            )  # fmt: skip
            speech = speech_scope.speech()
            if name is not None:
                inlines = inlines[1:]
                speaker = self._settings.speakers.get(name)
                if speaker is None:
                    close = nearest(name, self._settings.speakers)
                    self.problems.error(
                        place, f"the speaker ‘{name}’ is not declared",
                        f"did you mean {close}?" if close
                        else f"add to the settings: speakers: {{{name}: {{voice: joe}}}}",
                        code="speaker-unknown",
                    )  # fmt: skip
                else:
                    speech = speech_scope.speech(
                        voice=speaker.voice, language=speaker.language or None
                    )
            if not any(plain((n,)).strip() or not isinstance(n, Text) for n in inlines):
                self.problems.error(
                    place, "this turn says nothing", "write its words on the same line",
                    code="turn-empty",
                )  # fmt: skip
                continue
            after = self._own(attrs, "pause-after", pause_s, "this turn")
            found.append(
                Prose(
                    _stripped(inlines), speech, speech_scope.get("captions").value, place, name,
                    pause_after_s=after if end == len(content.inlines) else None,
                )
            )  # fmt: skip
        return found

    # ---- dictations

    def dictation(self, opened: Opened, scope: Scope) -> Dictation:
        """Return a dictation: bullets only, a blank line between them opens a paragraph."""
        attrs = opened.attrs
        inner = self.scoped(scope.for_passage(), replace(attrs, items={
            n: i for n, i in attrs.items.items() if n in _VOICED or n == "between-readings"
        }), "this dictation")  # fmt: skip
        phrases: list[Phrase] = []
        for node in opened.node.children:
            if node.token.type != "bullet_list_open":
                self.refuse(node)
                continue
            for item in node.children:
                phrases += self._phrase(item, inner, first=not phrases)
        if not phrases:
            self.problems.error(
                opened.place, "this dictation has no phrases", "write one phrase a line: - …",
                code="block-empty",
            )  # fmt: skip
        order = self._own(attrs, "order", _order, "this dictation")
        time_s = self._own(attrs, "phrase-time", values.growing_s, "this dictation")
        if time_s is None and "phrase-time" not in attrs.items:
            self.problems.error(
                opened.place, "this dictation gives no phrase time",
                'write {phrase-time="8 s"} or {phrase-time="4 s to 11 s"}', code="phrase-time",
            )  # fmt: skip
        readings = self._own(attrs, "phrase-readings", values.count, "this dictation")
        between = self._own(attrs, "between-phrase-readings", silence_s, "this dictation")
        return Dictation(
            tuple(phrases),
            order.value if order else ("whole", "phrases", "whole"),
            inner.get("between-readings"),
            time_s.value if time_s else (Fraction(8), Fraction(8)),
            readings.value if readings else 1,
            between.value if between else Fraction(2),
            self._own(attrs, "answer-time", SCOPED["answer-time"].read, "this dictation"),
            inner.speech(),
            inner.get("captions").value,
            opened.place,
        )

    def _phrase(self, item: Node, scope: Scope, *, first: bool) -> list[Phrase]:
        self._check_bullet(item)
        found: list[Phrase] = []
        for node in item.children:
            if node.token.type != "paragraph_open" or found:
                self.refuse(node)
                continue
            content = self._content(node, "phrase")
            if content is None or not content.inlines:
                continue
            attrs = self.attributes(content, "phrase")
            own = self._own(attrs, "phrase-time", silence_s, "this phrase")
            prose = Prose(
                content.inlines, scope.speech(), scope.get("captions").value, content.place
            )
            above = self.source.lines[item.line - 2] if item.line > 1 else ""
            found.append(Phrase(prose, own, first or not above.strip()))
        return found

    # ---- questions

    def question(
        self, item: Node, scope: Scope, number: int, label: str, part: str, place: Place
    ) -> Question | None:
        """Return one question with its contents."""
        first = item.children[0] if item.children else None
        if first is None or first.token.type != "paragraph_open":
            self.problems.error(
                place, "a question begins with text on the line of its number", "write it there",
                code="question-empty",
            )  # fmt: skip
            return None
        content = self._content(first, "question")
        if content is None:
            return None
        attrs = self.attributes(content, "question")
        origin = f"question {label}"
        inner = self.scoped(scope, attrs, origin)
        self._check_lines(first, label)
        if not content.inlines:
            self.problems.error(
                place, "this question has no text", "write it after the number",
                code="question-empty",
            )  # fmt: skip
        stem = Prose(content.inlines, inner.speech(), inner.get("captions").value, content.place)
        rest, notes = self._contents(item.children[1:], inner, origin, indent=4)
        delivery = inner.delivery()
        if scope.practice:
            delivery = replace(delivery, announce=_practice_announce(delivery.announce))
        question = Question(
            number, label, (stem, *rest), delivery, place, part,
            practice=inner.practice, printed=inner.printed, withdrawn=attrs.yes("withdrawn"),
            marks=self._count(attrs, "marks"), lines=self._count(attrs, "lines"),
            sheet=self._value_note(attrs, "sheet"), key=self._value_note(attrs, "key"),
        )  # fmt: skip
        for note in notes:
            question = self.owned(question, note)
        return question

    def _count(self, attrs: Attributes, name: str) -> int:
        own = self._own(attrs, name, lambda text: values.count(text, least=0, most=200), "")
        return own.value if own else 1

    def _value_note(self, attrs: Attributes, name: Literal["sheet", "key"]) -> Note | None:
        item = attrs.items.get(name)
        if item is None or item.value is None:
            return None
        empty = not item.value.strip() or (
            name == "key" and any(not p.strip() for p in re.split(r"(?<!\\)\|", item.value))
        )
        if empty:
            self.problems.error(
                attrs.places[name], f"this {name} is empty", f'write {name}="…", or take it out',
                code="note-empty",
            )  # fmt: skip
            return None
        return Note(name, item.value, attrs.places[name])

    def _contents(
        self, nodes: Sequence[Node], scope: Scope, origin: str, *, indent: int
    ) -> tuple[tuple[QuestionContent, ...], list[Note]]:
        content: list[QuestionContent] = []
        notes: list[Note] = []
        for node in nodes:
            kind = node.token.type
            if kind == "paragraph_open":
                self._check_indent(node, indent)
                found = self._content(node, "indented paragraph")
                prose = self.prose(found, scope, "indented paragraph") if found else None
                content += [prose] if prose is not None else []
            elif kind == "bullet_list_open":
                content += self._bullets(node, scope, origin)
            elif kind == "div_open":
                self._question_div(node, scope, content, notes)
            else:
                self.refuse(node)
        return tuple(content), notes

    def _question_div(
        self, node: Node, scope: Scope, content: list[QuestionContent], notes: list[Note]
    ) -> None:
        opened = self.open_div(node)
        if opened is None:
            return
        if opened.name in _MARGIN_ONLY:
            self.problems.error(
                opened.place, f"‘::: {opened.name}’ cannot stand inside a question",
                "start it at the margin, between questions", code="block-misplaced",
            )  # fmt: skip
        elif opened.name == "passage":
            content.append(self.passage(opened, scope))
        elif opened.name == "dictation":
            content.append(self.dictation(opened, scope))
        else:
            note = self.note(opened)
            notes += [note] if note is not None else []

    def _check_indent(self, node: Node, indent: int) -> None:
        if node.lead != indent:
            self.problems.error(
                node.place, f"this line is indented by {node.lead} blanks",
                f"indent what belongs to a question by {indent}", code="indent",
            )  # fmt: skip

    def _check_lines(self, node: Node, label: str) -> None:
        for line in range(node.line + 1, node.end_line):
            row = self.source.lines[line - 1]
            if row.strip() and not row.startswith(" "):
                self.problems.error(
                    self.source.whole_line(line),
                    f"this line continues question {label} although it starts at the margin",
                    "indent it by four, or put a blank line before it", code="question-lazy",
                )  # fmt: skip

    def _check_bullet(self, item: Node) -> None:
        if item.token.markup != "-":
            self.problems.error(
                item.place, f"a list begins with ‘{item.token.markup}’", "write a hyphen: - …",
                code="list-form",
            )  # fmt: skip

    def _bullets(self, node: Node, scope: Scope, origin: str) -> list[QuestionContent]:
        options: list[Option] = []
        parts: list[QuestionContent] = []
        for item in node.children:
            self._check_bullet(item)
            first = item.children[0] if item.children else None
            if first is None or first.token.type != "paragraph_open":
                self.problems.error(
                    item.place, "this answer is empty", "write - A. …", code="list-form"
                )
                continue
            row = first.children[0].token.content
            letter = _LETTER.match(row)
            if not letter:
                self.problems.error(
                    item.place, "an answer to choose begins with its letter",
                    "write - A. … (or - a. … for a sub-question)", code="list-form",
                )  # fmt: skip
                continue
            if letter[1].isupper():
                options += self._option(item, first, letter[1], len(options), scope)
            else:
                parts += self._sub_question(item, first, letter[1], len(parts), scope, origin)
        if options and parts:
            self.problems.error(
                node.place, "answers (A.) and sub-questions (a.) stand in one list",
                "make two lists", code="list-form",
            )  # fmt: skip
        return [Options(tuple(options), node.place), *parts] if options else parts

    def _expect_letter(self, item: Node, letter: str, index: int, first: str) -> None:
        expected = chr(ord(first) + index)
        if letter != expected:
            self.problems.error(
                item.place, f"‘{letter}.’ stands where ‘{expected}.’ is expected",
                f"write - {expected}. …", code="list-letter",
            )  # fmt: skip

    def _option(
        self, item: Node, first: Node, letter: str, index: int, scope: Scope
    ) -> list[Option]:
        self._expect_letter(item, letter, index, "A")
        for extra in item.children[1:]:
            self.refuse(extra)
        content = self._content(first, "option")
        if content is None:
            return []
        self.attributes(content, "option")
        inlines = _without_letter(content.inlines)
        prose = Prose(inlines, scope.speech(), scope.get("captions").value, content.place)
        return [Option(letter, prose)]

    def _sub_question(
        self, item: Node, first: Node, letter: str, index: int, scope: Scope, origin: str
    ) -> list[QuestionContent]:
        self._expect_letter(item, letter, index, "a")
        content = self._content(first, "sub-question")
        if content is None:
            return []
        attrs = self.attributes(content, "sub-question")
        label = f"{origin}{letter}"
        inner = self.scoped(scope, attrs, label)
        stem = Prose(
            _without_letter(content.inlines), inner.speech(), inner.get("captions").value,
            content.place,
        )  # fmt: skip
        rest, notes = self._contents(item.children[1:], inner, label, indent=8)
        sub = SubQuestion(
            letter, (stem, *rest), inner.delivery(), content.place, self._count(attrs, "marks"),
            self._value_note(attrs, "sheet"), self._value_note(attrs, "key"), (),
        )  # fmt: skip
        for note in notes:
            sub = self._sub_owned(sub, note)
        return [sub]

    # ---- sheet, key, staff note

    def note(self, opened: Opened) -> Note | None:
        """Return a block that stands on papers only, its contents checked."""
        first, last = meta(opened.node.token, "body")
        rows = self.source.prepared[first:last]
        lead = min((len(r) - len(r.lstrip()) for r in rows if r.strip()), default=0)
        text = "\n".join(row[lead:].rstrip() for row in rows).strip("\n")
        if not text.strip():
            self.problems.error(
                opened.place, f"this {opened.name} is empty", "write something in it",
                code="note-empty",
            )  # fmt: skip
            return None
        self._check_note(opened.node, opened.name)
        to: tuple[str, ...] = ()
        item = opened.attrs.items.get("to")
        if item is not None:
            to = tuple(part.strip() for part in (item.value or "").split(","))
            for name in to:
                if name not in _STAFF:
                    self.problems.error(
                        opened.attrs.places["to"], f"‘{name}’ is not known",
                        "write reader, invigilator or marker", code="value-unknown",
                    )  # fmt: skip
        kind = cast('Literal["sheet", "key", "staff-note"]', opened.name)
        return Note(kind, text, opened.place, to)

    def _check_note(self, node: Node, kind: str) -> None:
        for child in node.children:
            if child.token.type == "inline":
                content = read_inline(child.token, self.source, self.problems, kind)
                self.attributes(content, kind)
            elif child.token.type in {"hr", "fence", "code_block", "blockquote_open", "div_open"}:
                self.refuse(child)
            else:
                self._check_note(child, kind)

    def owned(self, question: Question, note: Note) -> Question:
        """Return the question with a note of its own; both forms for one question: a problem."""
        if note.kind == "staff-note":
            return replace(question, notes=(*question.notes, note))
        taken = question.sheet if note.kind == "sheet" else question.key
        if taken is not None:
            self._twice(note, taken)
            return question
        if note.kind == "sheet":
            return replace(question, sheet=note)
        return replace(question, key=note)

    def _sub_owned(self, sub: SubQuestion, note: Note) -> SubQuestion:
        if note.kind == "staff-note":
            return replace(sub, notes=(*sub.notes, note))
        taken = sub.sheet if note.kind == "sheet" else sub.key
        if taken is not None:
            self._twice(note, taken)
            return sub
        return replace(sub, sheet=note) if note.kind == "sheet" else replace(sub, key=note)

    def _twice(self, note: Note, taken: Note) -> None:
        self.problems.error(
            note.place, f"this question has a {note.kind} already", "keep one of them",
            code="note-twice", also=(taken.place,),
        )  # fmt: skip


_UNREAD: Final = object()
_VOICED: Final = frozenset({"voice", "lang", "take", "pace", "captions"})


def _order(text: str) -> tuple[str, ...]:
    steps = tuple(part.strip() for part in text.split(","))
    if not steps or any(step not in {"whole", "phrases"} for step in steps):
        raise ValueProblem(f"‘{text}’ is not an order of readings", "write whole, phrases, whole")
    return steps


def _practice_announce(announce: InForce[str | None]) -> InForce[str | None]:
    """Practice questions are announced as such, unless their own part says how."""
    if announce.value is None or announce.origin != "settings":
        return announce
    return replace(announce, value="Practice question {number}.")


def _speaker(node: Inline) -> str | None:
    if isinstance(node, Emphasis) and node.strong:
        words = plain(node.children).strip()
        if words.endswith(":") and len(words) > 1:
            return words[:-1].strip()
    return None


def _is_break(node: Inline) -> bool:
    return isinstance(node, Text) and node.text == "\n"


def _stripped(inlines: tuple[Inline, ...]) -> tuple[Inline, ...]:
    out = list(inlines)
    while out and isinstance(out[0], Text) and not out[0].text.strip():
        out.pop(0)
    while out and isinstance(out[-1], Text) and not out[-1].text.strip():
        out.pop()
    if out and isinstance(out[0], Text):
        text = out[0].text
        lead = len(text) - len(text.lstrip())
        place = out[0].place
        out[0] = Text(
            text.lstrip(),
            replace(place, column=place.column + lead, length=max(1, place.length - lead)),
        )
    return tuple(out)


def _without_letter(inlines: tuple[Inline, ...]) -> tuple[Inline, ...]:
    first = inlines[0] if inlines else None
    if not isinstance(first, Text):
        return inlines
    found = _LETTER.match(first.text)
    if not found:
        return inlines
    place = replace(
        first.place,
        column=first.place.column + found.end(),
        length=max(1, first.place.length - found.end()),
    )
    return _stripped((Text(first.text[found.end() :], place), *inlines[1:]))
