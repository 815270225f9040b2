"""Numbered questions, answers to choose, groups and keys in a paper; nothing is dropped.

What is not sure is taken in the likelier way and marked; what is no part of a test by ear (heads
and feet of pages, notes) is listed as left.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.drafting.paper_items import (
    Answer,
    Left,
    PaperFound,
    PaperHeading,
    PaperQuestion,
    PaperText,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.documents.model import Line, Paper

_PRINTED: Final = re.compile(r"(?:question|number|no\.?|q)?\s*\(?(\d{1,3})\s*[.):]*", re.IGNORECASE)
_IN_TEXT: Final = re.compile(
    r"(?:(?:question|number|q)\s*(\d{1,3})\s*[.:)–—-]*|\(?(\d{1,3})[.)])\s+(?=\S)", re.IGNORECASE
)
_LETTER: Final = re.compile(r"\(?([A-Za-z])[.):]+\)?")
_LETTERED: Final = re.compile(r"(?:\(([A-Za-z])\)|([A-Za-z])[.)])\s+(?=\S)")
_ROMAN: Final = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x")
_ANSWERS: Final = re.compile(
    r"(?:the\s+)?(?:answers?(?:\s+(?:key|sheet))?|(?:marking\s+)?key|mark(?:ing)?\s+scheme|solutions?)"
    r"\s*[.:]?",
    re.IGNORECASE,
)
_KEY_LINE: Final = re.compile(r"(answer|ans|key)\s*[.:=]\s*(\S.*)", re.IGNORECASE)
_KEY_AT_END: Final = re.compile(
    r"\s*[(\[](answer|ans|key)\s*[.:=]?\s*([^()\[\]]+)[)\]]\s*$", re.IGNORECASE
)
_MARKS: Final = re.compile(r"\s*[(\[](\d{1,2})\s*(marks?|points?|pts?)[)\]]\s*$", re.IGNORECASE)
_RULE: Final = re.compile(r"\s*(?:_{2,}|\.{4,}|…{2,}|(?:\.\s){3,}\.?)\s*")
"""A line to write on."""
_PART: Final = re.compile(r"(?:part|section|group|unit)\s+\w+\b.{0,50}", re.IGNORECASE)
_SEVERAL_KEYS: Final = re.compile(r"(?:^|\s)(\d{1,3})[.):]\s+")
_IN_ROW: Final = re.compile(r"(?:^|\s)\(?([A-H])([.):]+|\s)\s*(?=\S)")
_HEAD_LENGTH: Final = 60
_TITLE_LENGTH: Final = 60
_LETTERS: Final = re.compile(r"\(?([A-H])\)?(?:\s*(?:[,;&/+]|and|\s)\s*([A-H]))*[.)]?")
"""A key of answers to choose: B, or A and C."""
_LETTER_AND_TEXT: Final = re.compile(r"([A-H])[.):]\s*(\S.*)")


def questions_of(paper: Paper) -> PaperFound:
    """Return what a paper holds."""
    walk = _Walk(paper)
    for line in _rows(paper, walk):
        walk.line(line)
    walk.finish()
    return walk.found


class _Walk:
    """A walk through the lines of a paper."""

    def __init__(self, paper: Paper) -> None:
        self.found = PaperFound()
        self._keys: dict[int, str] = {}
        self._in_answers = False
        ranks = [one.level for one in paper.lines if one.kind == "heading"]
        self._part_rank = min(ranks, default=0)
        self._has_part = False

    @property
    def _question(self) -> PaperQuestion | None:
        last = self.found.items[-1] if self.found.items else None
        return last if isinstance(last, PaperQuestion) else None

    def left(self, text: str, why: str) -> None:
        """List a text as left; the same once."""
        if Left(text, why) not in self.found.left:
            self.found.left.append(Left(text, why))

    # ---- lines

    def line(self, line: Line) -> None:
        """Take a line."""
        if _ANSWERS.fullmatch(line.whole.strip()):
            self._in_answers = True
            self.left(line.whole, "it says that the answers follow")
        elif line.kind == "heading":
            self._heading(line)
        elif self._in_answers:
            self._answer(line)
        else:
            self._asked(line)

    def _heading(self, line: Line) -> None:
        self._in_answers = False
        is_part = line.level <= self._part_rank or not self._has_part
        if line.number:
            self.left(line.number, "it is the number of a heading")
        self._add_heading(line.text, is_part=is_part, doubts=[])

    def _add_heading(self, title: str, *, is_part: bool, doubts: list[str]) -> None:
        self._has_part |= is_part
        practice = re.search(r"\b(?:practice|examples?|warm-?up)\b", title, re.IGNORECASE)
        if practice:
            doubts.append(
                "taken for practice: its questions have numbers of their own and no marks"
            )
        self.found.items.append(
            PaperHeading(title, "part" if is_part else "group", bool(practice), doubts)
        )

    def _asked(self, line: Line) -> None:
        printed = _PRINTED.fullmatch(line.number) if line.number else None
        stated = None if line.number else _IN_TEXT.match(line.text)
        question = self._question
        answer = None if question is None else self._lettered(line)
        if printed:
            self._new(int(printed[1]), line.text)
        elif stated:
            self._new(int(stated[1] or stated[2]), line.text[stated.end() :])
        elif question is not None and answer is not None:
            self._add_answer(question, answer)
        elif question is not None and self._in_a_row(question, line.whole):
            pass
        elif question is not None and (key := _KEY_LINE.fullmatch(line.whole)):
            self.left(f"{key[1]}:", "it says that a key follows")
            self._set_key(question, key[2])
        elif question is not None and (line.text[0].islower() or line.number == "•"):
            self._goes_on(question, line)
        elif _PART.fullmatch(line.whole) and not line.whole.endswith((".", "?", "!", ":")):
            doubts = ["taken for a heading, which is not spoken"]
            self._add_heading(line.whole, is_part=True, doubts=doubts)
        else:
            self._text(line, question)

    def _new(self, number: int, text: str) -> None:
        doubts: list[str] = []
        marks = _MARKS.search(text)
        n_marks = 1
        if marks:
            n_marks = int(marks[1])
            text = text[: marks.start()]
            self.left(marks[2], "it says how many marks there are")
        key = _KEY_AT_END.search(text)
        if key:
            text = text[: key.start()]
            self.left(key[1], "it says that a key follows")
            doubts.append("the answer stood beside the question: it is the key now, and not spoken")
        words = _without_rules(text)
        if not re.search(r"\w", words):
            words = f"{words} (question {number} has no words)".strip()
            doubts.append("the paper has no words for it: write what is asked")
        question = PaperQuestion([words], number, [], "", n_marks, doubts)
        if key:
            question.key = key[2].strip()
        self.found.items.append(question)

    def _lettered(self, line: Line) -> Answer | None:
        letter = _LETTER.fullmatch(line.number) if line.number else None
        if letter:
            return Answer(letter[1], line.text)
        roman = line.number.strip("(.):").lower()
        if line.number and roman in _ROMAN:
            return Answer(roman, line.text)
        found = None if line.number else _LETTERED.match(line.text)
        if found:
            return Answer(found[1] or found[2], line.text[found.end() :])
        return None

    def _add_answer(self, question: PaperQuestion, answer: Answer) -> None:
        """Add an answer that comes next in order; others stay words, and are marked."""
        own = question.answers
        is_small = answer.letter.islower()
        index = len(own)
        expected = chr(ord("a" if is_small else "A") + index)
        mixed = bool(own) and own[0].letter.islower() != is_small
        is_roman = is_small and index < len(_ROMAN) and answer.letter == _ROMAN[index]
        text = _without_rules(answer.text)
        is_empty = not re.search(r"\w", text)
        if mixed or is_empty or index > 25 or not (answer.letter == expected or is_roman):
            question.words.append(f"{answer.letter}. {text}")
            question.doubts.append(f"‘{answer.letter}.’ is not the letter that comes next")
            return
        if is_roman and answer.letter != expected:
            question.doubts.append(f"printed as {answer.letter}")
        own.append(Answer(expected, text))

    def _in_a_row(self, question: PaperQuestion, text: str) -> bool:
        """Take answers that stand on one line: A 7  B 12  C 16."""
        found = list(_IN_ROW.finditer(text))
        letters = "".join(one[1] for one in found)
        if question.answers or len(found) < 3 or not "ABCDEFGH".startswith(letters):
            return False
        if found[0].start() > 0:
            return False
        ends = [one.start() for one in found[1:]] + [len(text)]
        rows = [text[one.end() : end].strip() for one, end in zip(found, ends, strict=True)]
        if not all(re.search(r"\w", row) for row in rows):
            return False
        question.answers = [Answer(a, row) for a, row in zip(letters, rows, strict=True)]
        question.doubts.append("its answers stood on one line: look where each begins")
        return True

    def _goes_on(self, question: PaperQuestion, line: Line) -> None:
        text = _without_rules(line.text)
        if question.answers:
            question.answers[-1].text += f" {text}"
        elif line.number == "•":
            question.words.append(text)
        else:
            question.words[-1] += f" {text}"

    def _text(self, line: Line, question: PaperQuestion | None) -> None:
        text = _without_rules(line.whole)
        if not re.search(r"\w", text):
            if text:
                self.left(line.whole, "it holds no words")
            return
        if not self.found.items and len(text) <= _TITLE_LENGTH and text[-1].isalnum():
            doubts = ["taken for the heading of the test, which is not spoken"]
            self._add_heading(text, is_part=True, doubts=doubts)
            return
        doubts = []
        if question is not None:
            doubts.append(
                f"it stands after question {question.number}, and is taken for an instruction that "
                "everybody hears: if it belongs to the question, move it there"
            )
        self.found.items.append(PaperText(text, doubts))

    # ---- answers

    def _answer(self, line: Line) -> None:
        printed = _PRINTED.fullmatch(line.number) if line.number else None
        stated = None if line.number else _IN_TEXT.match(line.text)
        if printed:
            self._several(int(printed[1]), line.text)
        elif stated:
            self._several(int(stated[1] or stated[2]), line.text[stated.end() :])
        else:
            self.left(line.whole, "it stands among the answers without a number")

    def _several(self, number: int, text: str) -> None:
        """Take a key; further ones may stand on its line."""
        rest = text
        while True:
            found = next(
                (one for one in _SEVERAL_KEYS.finditer(rest) if int(one[1]) == number + 1), None
            )
            own = rest if found is None else rest[: found.start()]
            if number in self._keys:
                self.left(f"{number}. {own.strip()}", "there is an answer with this number already")
            elif own.strip():
                self._keys[number] = own.strip()
            if found is None:
                return
            number, rest = number + 1, rest[found.end() :]

    def _set_key(self, question: PaperQuestion, key: str) -> None:
        if question.key:
            self.left(key, f"question {question.number} has a key already")
        else:
            question.key = key.strip()

    def finish(self) -> None:
        """Give each question its key."""
        counts: dict[int, int] = {}
        for one in self.found.questions:
            counts[one.number] = counts.get(one.number, 0) + 1
        for number, key in self._keys.items():
            owner = next((one for one in self.found.questions if one.number == number), None)
            if owner is None or owner.key:
                why = "no question has" if owner is None else "the key stands beside it already:"
                self.left(f"{number}. {key}", f"{why} number {number}")
                continue
            owner.key = key
            if counts[number] > 1:
                owner.doubts.append(
                    f"the paper has {counts[number]} questions with the number {number}: is this "
                    "its key?"
                )
        for one in self.found.questions:
            if one.key and one.answers and one.answers[0].letter.isupper():
                _fit_key(one)


def _fit_key(question: PaperQuestion) -> None:
    """Make the key of answers to choose their letters; what fits none is marked and no key."""
    own = {one.letter for one in question.answers}
    key = question.key.strip()
    by_text = {one.text.strip(" .").casefold(): one.letter for one in question.answers}
    letter = by_text.get(key.strip(" .").casefold(), "")
    both = _LETTER_AND_TEXT.fullmatch(key)
    if both and by_text.get(both[2].strip(" .").casefold()) == both[1]:
        letter = both[1]
    if not letter and _LETTERS.fullmatch(key):
        found = dict.fromkeys(re.findall(r"[A-H]", key))
        letter = ", ".join(found) if set(found) <= own else ""
    if not letter:
        question.doubts.append(
            f"the paper says that the answer is ‘{key}’, which is none of the letters here: "
            "write the letter that is right"
        )
    question.key = letter


def _without_rules(text: str) -> str:
    """Return a text without lines to write on: the sheet has them."""
    return " ".join(_RULE.sub(" ", text).split())


# ---- tables -------------------------------------------------------------------------------


def _rows(paper: Paper, walk: _Walk) -> Iterator[Line]:
    """Give the lines to be walked; rows of tables as one, heads and feet of pages left."""
    kept: list[Line] = []
    roles: list[str] = []
    for line in (*paper.lines, None):
        if kept and (line is None or line.kind != "cell" or line.row != kept[-1].row):
            if kept[0].row == 0:
                roles = _roles(kept)
                if roles:
                    walk.left(" ".join(one.whole for one in kept), "it is the head of a table")
            if not (kept[0].row == 0 and roles):
                yield from _row(kept, roles)
            kept = []
        if line is None:
            return
        if line.kind == "cell":
            kept.append(line)
            continue
        roles = []
        if line.kind == "margin":
            walk.left(line.whole, "it stands at the head or foot of the pages")
        elif line.kind == "note":
            walk.left(line.whole, "it is a note")
        else:
            yield line


def _roles(cells: list[Line]) -> list[str]:
    """Return what the columns of a table hold, if its first row says so."""
    found = []
    for one in cells:
        text = one.whole.strip(" .:").lower()
        role = "number" if text in {"no", "number", "#", "nr", "q"} else ""
        role = role or ("key" if _ANSWERS.fullmatch(text) else "")
        role = role or ("words" if text in {"question", "questions", "words", "text"} else "")
        found.append(role)
    return found if any(found) and all(len(one.whole) < _HEAD_LENGTH for one in cells) else []


def _row(cells: list[Line], roles: list[str]) -> Iterator[Line]:
    if len(cells) == len(roles):
        by_role = {role: one for role, one in zip(roles, cells, strict=True) if role}
        others = [one for role, one in zip(roles, cells, strict=True) if not role]
        if "number" in by_role and "words" in by_role:
            number, words = by_role["number"].whole, by_role["words"].whole
            text = " ".join([words, *(one.whole for one in others)])
            yield replace(by_role["words"], text=text, number=number)
            if "key" in by_role:
                yield replace(by_role["key"], text=f"Answer: {by_role['key'].whole}", number="")
            return
    first, *rest = cells
    if rest and _PRINTED.fullmatch(first.whole):
        yield replace(rest[0], text=" ".join(one.whole for one in rest), number=first.whole)
    else:
        yield replace(first, text=" ".join([first.text, *(one.whole for one in rest)]))
