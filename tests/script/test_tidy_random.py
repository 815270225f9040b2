"""Scripts in other clothes come to one text; damaged ones that can be read keep their meaning."""

from __future__ import annotations

import random
import re
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pausewright.problems import ScriptError
from pausewright.script.attributes.braces import Item, escaped, read_braces
from pausewright.script.tidying.attribute_form import TIMES
from pausewright.script.tidying.tidy_text import tidied
from support.damage.slips import damages
from support.scripts.script_cases import HEAD, TAIL, cases

ROOT = Path(__file__).parents[2]
FILES = [*sorted((ROOT / "demo_scripts").glob("*.md")), ROOT / "tests" / "cases" / "wide.md"]
PAIRS = [
    case.expected if case.expected.startswith("---") else HEAD + "\n" + case.expected + TAIL
    for case in cases("tidy.md")
]
TEXTS = [(f, tidied(f, f.read_text(encoding="utf-8")).text) for f in FILES]
TEXTS += [(Path("test.md"), text.rstrip("\n") + "\n") for text in PAIRS]

_NOTE = re.compile(r" *::: (?:sheet|key|staff-note)\b")
_BARE = re.compile(r"[^\s\"“”'‘’{}=\\]+")


@dataclass
class Clothes:
    """Writes a script that has its one form in another way that means the same."""

    dice: random.Random

    def worn(self, text: str) -> str:
        """Return the script written otherwise."""
        rows = text.split("\n")
        head = rows.index("---", 1) + 1
        out = [self._setting(row) for row in rows[:head]]
        body = self._body(rows[head:-1])
        new = "\n".join(out + body) + "\n" * self.dice.choice([0, 1, 3])
        new = new.replace("\n", self.dice.choice(["\n", "\r\n", "\r"]))
        return self.dice.choice(["", "\ufeff"]) + new

    def _setting(self, row: str) -> str:
        if row[:1] in {"", " "}:  # it may be a part of a value of several lines
            return row
        name = row.split(":", maxsplit=1)[0]
        return self._blanks_at_end(self._glued(row) if name in TIMES else row)

    def _body(self, rows: list[str]) -> list[str]:
        out: list[str] = []
        in_note = False
        for index, row in enumerate(rows):
            following = rows[index + 1] if index + 1 < len(rows) else ""
            closes = row.strip() == ":::"
            if not row:
                out += self._empty(above=out[-1] if out else "", below=following, exact=in_note)
            elif in_note and not closes:
                out.append(self._blanks_at_end(row))
            elif "<!--" in row or "-->" in row:
                out.append(row)
            else:
                out += [""] * self._some(closes and not in_note)
                out.append(self._blanks_at_end(self._row(row)))
                out += [""] * self._some(row.lstrip().startswith("::: "))
            in_note = (in_note or bool(_NOTE.match(row))) and not closes
        return out

    def _empty(self, *, above: str, below: str, exact: bool) -> list[str]:
        """Return a blank line as several, or as none where a heading or block needs none."""
        comment = "-->" in above or "<!--" in below
        if not exact and not comment and self._maybe():
            if above.startswith("#") or below.lstrip().startswith("::: "):
                return []
            return [""] * self.dice.randint(1, 3)
        return [""]

    def _row(self, row: str) -> str:
        row = self._braces(row)
        lead, text = re.match(r"( *)(.*)", row).groups()  # type: ignore[union-attr]
        if text.startswith(":::"):
            text = self._block_line(text)
        for mark in (r"(#{1,2}) ", r"(\d+\.) ", r"(-) "):
            if self._maybe() and not (lead and "#" in mark):
                text = re.sub(rf"^{mark}", rf"\1{' ' * self.dice.randint(1, 3)}", text)
        if text.startswith("#") and not lead and self._maybe():
            text += " ##"
        return lead + text

    def _block_line(self, text: str) -> str:
        found = re.match(r"::: ([a-z-]+)\s*(.*)", text)
        if not found:
            return ":" * self.dice.randint(3, 6)
        name, attrs = found.groups()
        if self._maybe():
            return "::: {." + name + (" " + attrs[1:] if attrs else "}")
        return ":" * self.dice.randint(3, 5) + self.dice.choice(["", " "]) + f"{name} {attrs}"

    def _braces(self, row: str) -> str:
        out, pos = "", 0
        for found in re.finditer(r"(?<!\\)\{", row):
            if found.start() < pos:
                continue
            braces = read_braces(row, found.start())
            assert not braces.problems, row
            items = list(braces.items)
            self.dice.shuffle(items)
            blank = self.dice.choice(["", " ", "\u00a0"])
            inside = self.dice.choice([" ", "  "]).join(self._item(one) for one in items)
            before = row[pos : braces.start]
            if before.endswith(" ") and before.rstrip()[-1:] not in {"]", ")", "", ":"}:
                before = before.rstrip() + self.dice.choice(["", " ", "  "])
            out += before + "{" + blank + inside + blank + "}"
            pos = braces.end
        return out + row[pos:]

    def _item(self, item: Item) -> str:
        if item.value is None:
            return f".{item.name}"
        value = self._glued(item.value) if item.name in TIMES else item.value
        equals = self.dice.choice(["=", " = ", "= "])
        if _BARE.fullmatch(value) and self._maybe():
            return f"{item.name}{equals}{value}"
        if not re.search(r'["“”{}\\]', value) and self._maybe():
            return f"{item.name}{equals}“{value}”"
        return f'{item.name}{equals}"{escaped(value)}"'

    def _glued(self, text: str) -> str:
        return re.sub(r"(\d) (ms|s|min|h)\b", r"\1\2", text) if self._maybe() else text

    def _blanks_at_end(self, row: str) -> str:
        return row + self.dice.choice(["", "", " ", "  ", "\t"])

    def _some(self, may_be: bool) -> int:  # noqa: FBT001  read as a sentence at the call
        return self.dice.randint(1, 2) if may_be and self._maybe() else 0

    def _maybe(self) -> bool:
        return self.dice.random() < 0.5


@pytest.mark.parametrize(("file", "text"), TEXTS, ids=range(len(TEXTS)))
def test_the_texts_have_their_one_form(file: Path, text: str) -> None:
    """What the other tests start from needs no tidying."""
    assert tidied(file, text).text == text


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(TEXTS), st.integers(0, 2**32))
def test_all_clothes_come_to_one_form(one: tuple[Path, str], seed: int) -> None:
    """Line ends, blanks, blank lines, orders, quotation marks, forms of blocks: one text of all."""
    file, text = one

    assert tidied(file, Clothes(random.Random(seed)).worn(text)).text == text  # noqa: S311  no secret


def test_the_clothes_differ() -> None:
    """The other ways to write are other ways: most differ from the one form in most lines."""
    file, text = TEXTS[len(FILES) - 1]
    worn = {Clothes(random.Random(seed)).worn(text) for seed in range(20)}  # noqa: S311  no secret
    kept = [len(set(text.split("\n")) & set(w.split("\n"))) for w in worn]

    assert len(worn) == 20
    assert text not in worn
    assert min(kept) < 0.5 * len(set(text.split("\n"))), file


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_damaged_scripts_keep_their_meaning(file: Path) -> None:
    """What can still be read is tidied and means the same; the rest is refused, nothing crashes.

    `tidied` itself reads its text again and compares; a difference would be a `MeaningError`.
    """
    n_tidied = n_refused = 0
    for _, damaged in damages(file.read_text(encoding="utf-8"), seed=41, n=100):
        try:
            tidied(file, damaged)
            n_tidied += 1
        except ScriptError:
            n_refused += 1

    assert n_tidied > 20
    assert n_refused > 20
