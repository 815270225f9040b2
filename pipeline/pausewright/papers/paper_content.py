"""What an author wrote for paper, as data of templates, with the places that it came from."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Final, TypeAlias

from pausewright.formulas.latex import parsed
from pausewright.formulas.tree import FormulaError
from pausewright.formulas.typst import typst
from pausewright.intake.file_kinds import PICTURE
from pausewright.intake.plain_file import file_bytes
from pausewright.papers.typeset.typst_compiler import Sources
from pausewright.problems import PausewrightError, Place, Problems
from pausewright.script.attributes.values import is_picture
from pausewright.script.inlines import formula_text
from pausewright.script.model import AnswerPlace, Emphasis, Formula, Sound, Span, Text
from pausewright.script.sheet_content import PaperHeading, PaperList, PaperTable, blocks_of
from pausewright.script.source.markdown import formula_end

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pausewright.script.model import Inline, Note
    from pausewright.script.sheet_content import PaperBlock

Data: TypeAlias = dict[str, object]
"""One value of a template's data."""
WIDEST_MM: Final = 174
"""Between the margins of upright A4; on other paper pictures are as wide as the text at most."""
_BLOCKS: Final = {"box": "box", "staff-lines": "staff"}


@dataclass(slots=True)
class PaperContent:
    """Turns blocks into data, and notes where texts, formulas and pictures come from."""

    problems: Problems
    runs_on: bool = False
    """Whether lines of a paragraph run on, as on papers for staff; a sheet's lines stay apart."""
    texts: list[tuple[str, Place]] = field(default_factory=list)
    formulas: list[tuple[str, Place]] = field(default_factory=list)
    pictures: dict[str, bytes] = field(default_factory=dict)
    picture_places: dict[str, Place] = field(default_factory=dict)
    keys: dict[str, Place] = field(default_factory=dict)

    def sources(self, script: Place) -> Sources:
        """Return where the data come from."""
        return Sources(script, self.keys, self.texts, self.formulas, self.picture_places)

    def text(self, text: str, place: Place) -> str:
        """Return a text that is printed as it is."""
        self.texts.append((text, place))
        return text

    def note(self, note: Note) -> list[Data]:
        """Return the blocks of a sheet, key or staff note."""
        if note.content:
            return self.blocks(blocks_of(note))
        return [{"kind": "para", "pieces": self.plain_pieces(note.text, note.place)}]

    def blocks(self, blocks: Iterable[PaperBlock]) -> list[Data]:
        """Return blocks, in reading order."""
        found: list[Data] = []
        for block in blocks:
            if isinstance(block, PaperTable):
                found.append(
                    {
                        "kind": "table",
                        "head": [self.pieces(cell) for cell in block.head],
                        "rows": [[self.pieces(cell) for cell in row] for row in block.rows],
                    }
                )
            elif isinstance(block, PaperList):
                items = [self.blocks(item) for item in block.items]
                found.append({"kind": "list", "items": items, "start": block.start})
            elif isinstance(block, PaperHeading):
                found.append({"kind": "heading", "pieces": self.pieces(block.inlines)})
            else:
                found += self.paragraph(block.inlines)
        return found

    def paragraph(self, inlines: Iterable[Inline]) -> list[Data]:
        """Return a paragraph; a place to write, or a picture, alone in it is a block of its own."""
        nodes = [one for one in inlines if not (isinstance(one, Text) and not one.text.strip())]
        if len(nodes) == 1 and isinstance(nodes[0], AnswerPlace):
            return [_answer_block(nodes[0])]
        if len(nodes) == 1 and isinstance(nodes[0], Sound):
            picture = self._picture(nodes[0])
            return [] if picture is None else [picture]
        found: list[Data] = [{"kind": "para", "pieces": self.pieces(inlines)}]
        places = [one for one in nodes if isinstance(one, AnswerPlace) and one.kind == "lines"]
        more = sum(one.lines - 1 for one in places)
        if more:
            found.append({"kind": "lines", "n": more})
        return found

    def pieces(self, inlines: Iterable[Inline]) -> list[Data]:
        """Return the pieces of a paragraph or cell."""
        found: list[Data] = []
        for node in inlines:
            if isinstance(node, Formula):
                found.append(self._formula(node))
            elif isinstance(node, Text):
                found.append(self._words(node))
            elif isinstance(node, Emphasis):
                kind = "strong" if node.strong else "emph"
                found.append({"kind": kind, "pieces": self.pieces(node.children)})
            elif isinstance(node, Span):
                inner = self.pieces(node.children)
                found += [{"kind": "choice", "pieces": inner}] if node.choice else inner
            elif isinstance(node, AnswerPlace):
                found.append({**_answer_block(node), "kind": _BLOCKS.get(node.kind, "gap")})
            elif isinstance(node, Sound):
                picture = self._picture(node)
                found += [] if picture is None else [picture]
        return found

    def _words(self, node: Text) -> Data:
        if node.text != "\n":
            return {"kind": "text", "text": self.text(node.text, node.place)}
        return {"kind": "text", "text": " "} if self.runs_on else {"kind": "break"}

    def plain_pieces(self, text: str, place: Place) -> list[Data]:
        """Return the pieces of an attribute's value: words, and formulas between dollar signs."""
        found: list[Data] = []
        start = at = 0
        while at < len(text):
            end = formula_end(text, at, len(text)) if text[at] == "$" else None
            if end is None:
                at += 1
                continue
            found += [{"kind": "text", "text": text[start:at]}] if at > start else []
            found.append(self._formula(Formula(text[at:end], place)))
            start = at = end
        found += [{"kind": "text", "text": text[start:]}] if start < len(text) else []
        self.texts.append((text, place))
        return found

    def _formula(self, formula: Formula) -> Data:
        try:
            math = typst(parsed(formula.latex)).strip("$")
        except FormulaError:  # its own error is told when it is read
            return {"kind": "text", "text": formula.text}
        self.formulas.append((math, formula.place))
        return {"kind": "formula", "math": math, "alt": formula_text(formula)}

    def _picture(self, sound: Sound) -> Data | None:
        """Return a picture with its description; None for a sound, and for what cannot be read."""
        if not is_picture(sound.path):
            return None
        name = f"pictures/{len(self.pictures)}{PurePosixPath(sound.path).suffix.lower()}"
        known = [one for one, place in self.picture_places.items() if place == sound.place]
        if not sound.description.strip():
            self.problems.error(
                sound.place,
                f"the picture ‘{sound.path}’ has no description",
                "write what it shows, for those who cannot see it: ![a cup](cup.svg)",
                code="picture-undescribed",
            )
        try:
            content = file_bytes(sound.file, PICTURE, sound.folder)
        except PausewrightError as error:
            self.problems.error(sound.place, error.message, error.hint, code="picture-file")
            return None
        same = [one for one, held in self.pictures.items() if held == content]
        name = (known or same or [name])[0]
        self.pictures[name] = content
        self.picture_places.setdefault(name, sound.place)
        return {
            "kind": "picture",
            "name": name,
            "alt": sound.description.strip() or "?",
            "width": self._width(sound.width, sound.place),
        }

    def _width(self, width: str | None, place: Place) -> Data | None:
        mm, share = _width_mm(width), _width_share(width)
        if mm > WIDEST_MM or share > 1:
            self.problems.error(
                place,
                f"this picture is {width} wide, and the text {WIDEST_MM / 10:g} cm",
                f'write width="{WIDEST_MM / 10:g} cm" or less',
                code="picture-wide",
            )
        return width_data(width)


def width_data(width: str | None) -> Data | None:
    """Return a width on paper: millimetres, or a share of the text's width; None if not given."""
    mm, share = _width_mm(width), _width_share(width)
    return {"mm": mm, "share": share} if mm or share else None


def _width_mm(width: str | None) -> float:
    number, _, unit = (width or "").partition(" ")
    return float(number) * {"mm": 1, "cm": 10}[unit] if unit in {"mm", "cm"} else 0


def _width_share(width: str | None) -> float:
    number, _, unit = (width or "").partition(" ")
    return float(number) / 100 if unit == "%" else 0


def _answer_block(place: AnswerPlace) -> Data:
    kind = _BLOCKS.get(place.kind, "lines")
    return {"kind": kind, "n": place.lines, "width": width_data(place.width)}
