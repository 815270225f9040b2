"""Pages in HTML, as browsers show them: numbers of lists, tables, hidden parts left out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from bs4 import BeautifulSoup
from bs4.element import NavigableString, PreformattedString, Tag

from pausewright.documents.lines import Lines
from pausewright.documents.model import Paper
from pausewright.documents.number_forms import letters_in_turn, roman
from pausewright.documents.raised import fraction, lowered, raised
from pausewright.problems import FileError

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.documents.model import LineKind

_LEFT_OUT: Final = frozenset(
    [
        "script",
        "style",
        "template",
        "noscript",
        "head",
        "title",
        "meta",
        "link",
        "annotation",
        "annotation-xml",
    ]
)
_INLINE: Final = frozenset(
    [
        "a",
        "abbr",
        "b",
        "bdi",
        "bdo",
        "big",
        "cite",
        "code",
        "data",
        "del",
        "dfn",
        "em",
        "font",
        "i",
        "ins",
        "kbd",
        "label",
        "mark",
        "math",
        "mfrac",
        "mi",
        "mn",
        "mo",
        "mrow",
        "ms",
        "msqrt",
        "mstyle",
        "msub",
        "msup",
        "mtext",
        "q",
        "rp",
        "rt",
        "ruby",
        "s",
        "samp",
        "semantics",
        "small",
        "span",
        "strike",
        "strong",
        "sub",
        "sup",
        "time",
        "tt",
        "u",
        "var",
        "wbr",
        "br",
        "img",
    ]
)
_HEADINGS: Final = {f"h{n}": n - 1 for n in range(1, 7)}


def html_paper(path: Path, body: bytes) -> Paper:
    """Return the lines of a page.

    Raises
    ------
    FileError
        If it is nested too deeply to be read.
    """
    walk = _Walk()
    try:
        walk.block(BeautifulSoup(body, "lxml"), "paragraph", 0, -1)
    except RecursionError as why:
        raise FileError(
            f"the paper ‘{path.name}’ is nested too deeply", "save its text as .txt"
        ) from why
    walk.end_line()
    return Paper(tuple(walk.lines.found), walk.lines.cautions())


class _Walk:
    """A walk through a page; what stands inline is gathered until a block begins or ends."""

    def __init__(self) -> None:
        self.lines = Lines()
        self._text: list[str] = []
        self._as: tuple[LineKind, str, int, int] = ("paragraph", "", 0, -1)

    def end_line(self) -> None:
        """Let the line that is being gathered be one."""
        kind, number, level, row = self._as
        text = "".join(self._text)
        self._text = []
        if text.strip() or number:
            self.lines.add(text, kind, number, level, row)
            self._as = (kind, "", level, row)

    def _begin(self, kind: LineKind, level: int, row: int, number: str = "") -> None:
        self.end_line()
        self._as = (kind, number, level, row)

    def block(self, tag: Tag, kind: LineKind, level: int, row: int) -> None:
        """Walk through what a block holds."""
        counter = _Counter(tag) if tag.name in {"ol", "ul"} else None
        at_row = row
        for child in tag.children:
            if isinstance(child, NavigableString):
                if not isinstance(child, PreformattedString):
                    self._text.append(child.replace("\n", " ").replace("\r", " "))
                continue
            if not isinstance(child, Tag) or _is_hidden(child):
                continue
            if child.name in _INLINE:
                self._inline(child, kind, level, row)
                continue
            if child.name == "tr":
                at_row += 1
            inner, deeper, number = kind, level, ""
            if child.name in _HEADINGS:
                inner, deeper = "heading", _HEADINGS[child.name]
            elif child.name in {"td", "th", "caption"}:
                inner = "cell"
            elif child.name == "li":
                inner = "item"
                number = counter.number(child) if counter else "•"
            elif child.name in {"ol", "ul"}:
                deeper = level + 1 if tag.name == "li" else level
            elif child.name == "table":
                at_row = -1
            elif child.name in {"input", "textarea", "select"}:
                value = child.get("value")
                self._text.append(value if isinstance(value, str) else "")
            self._begin(inner, deeper, max(0, at_row) if inner == "cell" else row, number)
            self.block(child, inner, deeper, at_row if child.name != "table" else -1)
            self.end_line()
            self._as = (kind, "", level, row)
            if child.name in {"thead", "tbody", "tfoot"}:
                at_row += len(child.find_all("tr", recursive=False))

    def _inline(self, tag: Tag, kind: LineKind, level: int, row: int) -> None:
        if tag.name == "br":
            self._text.append("\n")
        elif tag.name == "img":
            self.lines.n_pictures += 1
            alt = tag.get("alt")
            if isinstance(alt, str) and alt:
                self._text.append(f" {alt} ")
        elif tag.name == "mfrac":
            parts = [one for one in tag.children if isinstance(one, Tag)]
            if len(parts) == 2:
                self._text.append(fraction(*(_all_text(one) for one in parts)))
        elif tag.name in {"msup", "msub"}:
            parts = [one for one in tag.children if isinstance(one, Tag)]
            sign = raised if tag.name == "msup" else lowered
            if len(parts) == 2:
                self._text.append(_all_text(parts[0]) + sign(_all_text(parts[1])))
        elif tag.name in {"sup", "sub"}:
            sign = raised if tag.name == "sup" else lowered
            self._text.append(sign(_all_text(tag)))
        elif tag.name in {"del", "s", "strike", "rp", "rt"}:
            return
        elif tag.name == "msqrt":
            self._text.append(f"√({_all_text(tag)})")
        else:
            self.block(tag, kind, level, row)


def _all_text(tag: Tag) -> str:
    return " ".join(tag.get_text().split())


def _is_hidden(tag: Tag) -> bool:
    style = tag.get("style")
    shown = style.replace(" ", "").lower() if isinstance(style, str) else ""
    return (
        tag.name in _LEFT_OUT
        or tag.has_attr("hidden")
        or "display:none" in shown
        or "visibility:hidden" in shown
    )


class _Counter:
    """The numbers of one list, after HTML's own rules (`start`, `reversed`, `value`, `type`)."""

    def __init__(self, tag: Tag) -> None:
        self._form = _attribute(tag, "type") if tag.name == "ol" else "bullet"
        self._step = -1 if tag.has_attr("reversed") else 1
        n_items = len(tag.find_all("li", recursive=False))
        usual = n_items if self._step < 0 else 1
        self._next = _whole(_attribute(tag, "start"), usual)

    def number(self, item: Tag) -> str:
        """Return the number of the next item, as it is shown."""
        if self._form == "bullet":
            return "•"
        n = _whole(_attribute(item, "value"), self._next)
        self._next = n + self._step
        forms = {"a": letters_in_turn(n), "i": roman(n)}
        shown = forms.get(self._form.lower(), str(n))
        return f"{shown.upper() if self._form.isupper() else shown}."


def _attribute(tag: Tag, name: str) -> str:
    value = tag.get(name)
    return value if isinstance(value, str) else ""


def _whole(text: str, otherwise: int) -> int:
    digits = text.strip().lstrip("+-")
    return int(text) if digits.isascii() and digits.isdigit() and len(digits) < 7 else otherwise
