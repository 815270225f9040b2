"""Words of a paragraph as a card shows them, each sign with its place; and as they were changed.

Brackets with attributes are shown by the words in them; a pause, a tone and a sound by a mark such
as ‹pause 2 s›, which can be moved or taken out. Where words change, only these signs of the
text do: what stands around them keeps its brackets, comments and line ends.
"""

from __future__ import annotations

import re
from difflib import SequenceMatcher
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from pausewright.desk.cards.spots import Edit, Spot
from pausewright.frozen import frozen
from pausewright.script.source.markdown import MarkdownToken, inline_tokens
from pausewright.script.source.paragraph_places import Places
from pausewright.script.written_words import one_blank, written

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.script.attributes.braces import Braces
    from pausewright.script.source.source_text import Source

_ALONE: Final = frozenset({"pause", "tone", "answer", "box", "staff-lines"})
_FOR_THESE_WORDS: Final = frozenset({"say", "shown", "ipa"})
"""Attributes that speak of these very words: they go when the words change."""
_MARK: Final = re.compile(r"‹[^‹›\n]*›")
_TYPED_PAUSE: Final = re.compile(r"‹pause ([0-9.]+ (?:ms|s|min))›")
_TOKEN: Final = re.compile(r"‹[^‹›\n]*›|\$[^$\n]+\$|\w+|\s|.", re.DOTALL)
_COMMENT: Final = re.compile(r"<!--.*?-->", re.DOTALL)
_STARS: Final = frozenset({"*", "**"})
_MOST_COMPARED: Final = 4_000_000
"""Words before times words after; beyond that what lies between the same ends is one change."""


@frozen
class _Unit:
    """A stretch of the paragraph's text, and what is shown for it."""

    start: int
    end: int
    shown: str
    mark: str = ""
    """ "[" and "]" for the ends of brackets, which are not shown."""
    bracket: int = -1


@frozen
class _Bracket:
    """Brackets with attributes around words."""

    first: int
    """Unit that opens them."""
    last: int
    names: frozenset[str]


@frozen
class Words:
    """The words of one paragraph."""

    shown: str
    units: tuple[_Unit, ...]
    brackets: tuple[_Bracket, ...]
    places: Places
    source: Source
    rows: Sequence[str]
    """The lines of the file as they stand on the disk."""
    lead: int
    """Blanks before a further line of it."""

    def spot(self, offset: int) -> Spot:
        """Return where an offset of the paragraph's text stands."""
        return spot_of(self.source, self.places, offset)

    @property
    def has_marks(self) -> bool:
        """Whether more than plain words stands in it."""
        return bool(self.brackets) or any(_MARK.fullmatch(one.shown) for one in self.units)

    def edits(self, new: str) -> list[Edit]:
        """Return the edits after which these words are shown as `new`."""
        old, new = self.shown, plain_words(new)
        if old == new:
            return []
        return _edits(self, _changes(old, new))

    def whole(self, new: str) -> list[Edit]:
        """Return one edit that writes all words anew; for words without brackets or marks."""
        start, end = self.spot(self.units[0].start), self.spot_after(self.units[-1].end)
        return [Edit(start, end, self._indented(written(plain_words(new))))]

    def spot_after(self, offset: int) -> Spot:
        """Return the spot after the sign before an offset: at the end of its line."""
        line, column = self.spot(offset - 1) if offset else self.spot(0)
        return Spot(line, column + 1)

    def at(self, spot: Spot) -> int | None:
        """Return which sign of `shown` stands at a spot; None if none does."""
        count = 0
        for one in self.units:
            if one.shown and self.spot(one.start) == spot:
                return count
            count += len(one.shown)
        return None

    def _indented(self, text: str) -> str:
        return text.replace("\n", "\n" + " " * self.lead)

    def edit(self, start: int, end: int, text: str) -> Edit:
        """Return an edit between two offsets; comments between them stay."""
        first = self.spot(start) if start < self.units[-1].end else self.spot_after(start)
        last = first
        if end > start:
            is_break = any(one.end == end and one.shown == "\n" for one in self.units)
            last = self.spot(end) if is_break else self.spot_after(end)
        rows = list(self.rows[first.line : last.line + 1])
        rows[-1] = rows[-1][: last.column]
        rows[0] = rows[0][first.column :]
        comments = "".join(f" {one}" for one in _COMMENT.findall("\n".join(rows)))
        return Edit(first, last, self._indented(text) + comments)


def spot_of(source: Source, places: Places, offset: int) -> Spot:
    """Return where an offset of a paragraph's text stands in the file."""
    line, column = places.spot(offset)
    return Spot(line - 1, max(0, column - 1 - source.tabs.get(line, 0)))


def plain_words(text: str) -> str:
    """Return words as a card takes them: one paragraph, blanks in a row as one."""
    return one_blank(text)


def words_of(
    source: Source, rows: Sequence[str], token: MarkdownToken, start: int, end: int, lead: int
) -> Words | None:
    """Return the words between two offsets of an `inline` token; None if there are none."""
    if token.meta.get("excess") is not None:
        return None
    content = token.content
    start += len(content[start:end]) - len(content[start:end].lstrip())
    end = start + len(content[start:end].rstrip())
    if end <= start:
        return None
    shown, units, brackets = _cut(content, start, end)
    places = Places(source, content, (token.map or [0])[0] + 1)
    return Words(shown, units, brackets, places, source, rows, lead)


@lru_cache(maxsize=1024)
def _cut(content: str, start: int, end: int) -> tuple[str, tuple[_Unit, ...], tuple[_Bracket, ...]]:
    """Return what is shown of a paragraph's text, and its units; kept for equal texts."""
    walk = _Walk(content, start, end)
    walk.walk(inline_tokens(content))
    return "".join(one.shown for one in walk.units), tuple(walk.units), tuple(walk.brackets)


class _Walk:
    """Cuts a paragraph into units that tile it."""

    def __init__(self, content: str, start: int, end: int) -> None:
        self._content = content
        self._at = start
        self._end = end
        self.units: list[_Unit] = []
        self.brackets: list[_Bracket] = []
        self._open: list[tuple[int, int, MarkdownToken]] = []

    def walk(self, tokens: Sequence[MarkdownToken]) -> None:
        skip_to = -1
        for token in tokens:
            pos = int(token.meta.get("pos") or 0)
            if pos < skip_to or pos >= self._end:
                continue
            found: Braces | None = token.meta.get("braces")
            names = frozenset(item.name for item in found.items) if found else frozenset()
            if token.type in {"sound_open", "link_open"} or names & _ALONE:
                self._between(pos)
                skip_to = int(token.meta["end"])
                self._add(skip_to, _name_of(token, names))
            elif token.type == "span_open" and found is not None and not found.problems:
                self._between(pos)
                self._open.append((len(self.brackets), len(self.units), token))
                self.brackets.append(_Bracket(len(self.units), -1, names))
                self._add(pos + 1, "", "[", self._open[-1][0])
            elif token.type == "span_close" and self._open and self._closes(pos):
                self._between(pos)
                index, first, opening = self._open.pop()
                self.brackets[index] = _Bracket(first, len(self.units), self.brackets[index].names)
                self._add(int(opening.meta["end"]), "", "]", index)
            elif token.type in {"softbreak", "hardbreak"}:
                self._between(pos)
                self._add(self._content.index("\n", pos) + 1, "\n")
            elif token.type == "text_special":
                self._between(pos)
                self._add(pos + len(token.markup), token.content)
            elif token.type == "formula":
                self._between(pos)
                self._add(pos + len(token.content), token.content)
        self._between(self._end)

    def _closes(self, pos: int) -> bool:
        opening = self._open[-1][2]
        end = int(opening.meta["end"])
        return pos < end and self._content[pos] == "]"

    def _between(self, until: int) -> None:
        """Add text, and marks that are shown as they stand, sign by sign."""
        after_break = not self.units or self.units[-1].shown == "\n"
        while self._at < min(until, self._end):
            sign = self._content[self._at]
            is_blank = sign.isspace()
            seen = next((u.shown for u in reversed(self.units) if u.shown), "")
            is_seen = not is_blank or not (after_break or seen[-1:] in {" ", "\n"})
            if is_blank and is_seen and self._ends_line():
                is_seen = False
            self._add(self._at + 1, ("\n" if sign == "\n" else " ") if is_blank else sign)
            if not is_seen:
                last = self.units.pop()
                self.units.append(_Unit(last.start, last.end, ""))
            else:
                after_break = False

    def _ends_line(self) -> bool:
        rest = self._content[self._at : self._end].lstrip(" \t\u00a0")
        return rest[:1] in {"", "\n"} or rest.startswith("\\\n")

    def _add(self, end: int, shown: str, mark: str = "", bracket: int = -1) -> None:
        end = min(end, self._end)
        if end > self._at or mark:
            self.units.append(_Unit(self._at, max(end, self._at), shown, mark, bracket))
            self._at = max(end, self._at)


def _name_of(token: MarkdownToken, names: frozenset[str]) -> str:
    label = one_blank(str(token.meta.get("label"))).replace("\n", " ")
    label = label.replace("‹", "(").replace("›", ")")
    kind = "sound" if token.type == "sound_open" else "file" if token.type == "link_open" else ""
    kind = kind or next(iter(sorted(names & _ALONE)))
    return f"‹{kind} {label}›"


# ---- changes ------------------------------------------------------------------------------


def _changes(old: str, new: str) -> list[tuple[int, int, str]]:
    """Return what changed, as stretches of `old` and what stands there now; whole words."""
    one, other = _TOKEN.findall(old), _TOKEN.findall(new)
    head = 0
    while head < min(len(one), len(other)) and one[head] == other[head]:
        head += 1
    tail = 0
    while tail < min(len(one), len(other)) - head and one[-1 - tail] == other[-1 - tail]:
        tail += 1
    before = len("".join(one[:head]))
    a, b = one[head : len(one) - tail], other[head : len(other) - tail]
    if len(a) * len(b) > _MOST_COMPARED:
        return [(before, before + len("".join(a)), "".join(b))]
    found: list[tuple[int, int, str]] = []
    for tag, a1, a2, b1, b2 in SequenceMatcher(None, a, b, autojunk=False).get_opcodes():
        if tag != "equal":
            start = before + len("".join(a[:a1]))
            found.append((start, start + len("".join(a[a1:a2])), "".join(b[b1:b2])))
    return found


def _edits(words: Words, changes: list[tuple[int, int, str]]) -> list[Edit]:
    units = words.units
    offsets = [0]
    for one in units:
        offsets.append(offsets[-1] + len(one.shown))
    gone = _gone_brackets(words, offsets, changes)
    new_text: dict[int, str] = {}
    """Unit → what is written in place of it, or before it where it stays."""
    out: set[int] = set()
    for start, end, text in changes:
        inside = [n for n, one in enumerate(units) if one.shown and _meets(offsets, n, start, end)]
        if inside:
            first, last = inside[0], inside[-1]
            whole = units[first].shown[: max(0, start - offsets[first])] + text
            whole += units[last].shown[len(units[last].shown) - max(0, offsets[last + 1] - end) :]
            out |= {n for n in range(first, last + 1) if not units[n].mark}
            new_text[first] = new_text.get(first, "") + whole
        else:
            at = _insertion(units, offsets, start)
            new_text[at] = new_text.get(at, "") + text
    out |= {n for n, one in enumerate(units) if one.mark and one.bracket in gone}
    is_bold = _sets_stars(changes)
    edits: list[Edit] = []
    n = 0
    while n <= len(units):
        if n in new_text or n in out:
            last = n
            texts: list[str] = []
            while last in out or last in new_text:
                if last in new_text:
                    begins = last == 0 or (not texts and units[last - 1].shown == "\n")
                    is_mark = is_bold and new_text[last] in _STARS
                    new = new_text[last]
                    texts.append(new if is_mark else _typed(new, begins_line=begins))
                if last not in out:
                    break
                last += 1
            start = units[n].start if n < len(units) else units[-1].end
            end = units[last - 1].end if last > n else start
            edits.append(words.edit(start, end, "".join(texts)))
            n = max(last, n + 1)
        else:
            n += 1
    return edits


def _sets_stars(changes: list[tuple[int, int, str]]) -> bool:
    """Return whether stars were set around words that stay, for bold print."""
    new = [text for start, end, text in changes if start == end and text in _STARS]
    return len(new) == 2 and new[0] == new[1]


def _typed(text: str, *, begins_line: bool) -> str:
    """Return what was typed as a script writes it; a pause that was typed is one."""
    out, at = [], 0
    for found in _TYPED_PAUSE.finditer(text):
        out.append(written(text[at : found.start()], begins_line=begins_line and not at))
        out.append(f"[{found[1]}]{{.pause}}")
        at = found.end()
    out.append(written(text[at:], begins_line=begins_line and not at))
    return "".join(out)


def _meets(offsets: list[int], n: int, start: int, end: int) -> bool:
    return offsets[n] < end and offsets[n + 1] > start


def _insertion(units: Sequence[_Unit], offsets: list[int], at: int) -> int:
    """Return the unit before which something new goes: after brackets that close there."""
    for n, one in enumerate(units):
        if offsets[n] == at and (one.shown or one.mark == "["):
            return n
    return len(units)


def _gone_brackets(
    words: Words, offsets: list[int], changes: list[tuple[int, int, str]]
) -> set[int]:
    """Return the brackets that go: their words are gone, or are no longer what they speak of."""
    gone = set()
    for index, one in enumerate(words.brackets):
        first, last = offsets[one.first + 1], offsets[one.last]
        for start, end, text in changes:
            if (end <= first and start < first) or start >= last:
                continue
            if start == end and (start <= first or start >= last):
                continue
            is_inside = first <= start and end <= last
            is_empty = start == first and end == last and not text.strip()
            if not is_inside or is_empty or one.names & _FOR_THESE_WORDS:
                gone.add(index)
    return gone
