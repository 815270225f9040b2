"""YAML 1.2, read strictly: text that stands there stays text, every problem has its place.

The library gives nodes with line and column; what a value means is decided by whoever asks for
it, so `10:15` stays a time, `no` stays a word and `010` is not eight. Duplicates, references and
type tags are refused.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import AliasEvent
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from pausewright.script.limits import (
    MOST_YAML_BRACKETS,
    MOST_YAML_CHARACTERS,
    MOST_YAML_LINES,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from pausewright.problems import Place, Problems

__all__ = ["Node", "YamlReader", "is_empty", "is_mapping", "is_sequence"]


def is_mapping(node: Node) -> bool:
    """Say whether a node is a list of `name: value`."""
    return isinstance(node, MappingNode)


def is_empty(node: Node) -> bool:
    """Say whether nothing stands after a name."""
    return isinstance(node, ScalarNode) and node.value in {"", "~", "null"}


def is_sequence(node: Node) -> bool:
    """Say whether a node is a list of values."""
    return isinstance(node, SequenceNode)


class YamlReader:
    """Reads one YAML text that stands in a file below line `line_above`."""

    def __init__(
        self,
        rows: Sequence[str],
        line_above: int,
        where: Callable[[int, int, int], Place],
        problems: Problems,
    ) -> None:
        """`rows` are all lines of the file; `where` gives the place of line, column, length."""
        self._rows = rows
        self._line_above = line_above
        self._where = where
        self.problems = problems

    @classmethod
    def like(cls, other: YamlReader, problems: Problems) -> YamlReader:
        """Return a reader of the same text whose problems go elsewhere."""
        return cls(other._rows, other._line_above, other._where, problems)

    def compose(self, text: str, example: str) -> Node | None:
        """Return the mapping that `text` is; None, and a problem, if it is none."""
        if not text.strip():
            return None
        if not self._is_bounded(text):
            return None
        try:
            node = silent_yaml().compose(text)
            self._refuse_references(text)
        except MarkedYAMLError as error:
            self._unreadable(error)
            return None
        except RecursionError:
            self._refuse_depth()
            return None
        except (YAMLError, ValueError) as error:
            reason = str(error).splitlines()[0]
            self._refuse(f"this cannot be read: {reason}", "write name: value on each line")
            return None
        if not isinstance(node, MappingNode):
            self._refuse("this is not a list of ‘name: value’ lines", f"for example: {example}")
            return None
        return node

    def _is_bounded(self, text: str) -> bool:
        """Say whether a text can be read within seconds; a problem if not."""
        n_lines = text.count("\n") + 1
        if n_lines <= MOST_YAML_LINES and len(text) <= MOST_YAML_CHARACTERS:
            if _depth(text) <= MOST_YAML_BRACKETS:
                return True
            self._refuse_depth()
            return False
        what = f"{n_lines:,} lines of settings, and {MOST_YAML_LINES:,}"
        if n_lines <= MOST_YAML_LINES:
            what = f"{len(text):,} characters of settings, and {MOST_YAML_CHARACTERS:,}"
        self._refuse(f"these are {what} are read at most", "write less of it")
        return False

    def _refuse_depth(self) -> None:
        self._refuse("lists stand too deep inside each other here", "take some of them out")

    def _refuse(self, message: str, hint: str) -> None:
        place = self._where(self._line_above + 1, 1, 1)
        self.problems.error(place, message, hint, code="settings-unreadable")

    def place(self, node: Node) -> Place:
        """Return where a node stands."""
        start, end = node.start_mark, node.end_mark
        length = end.column - start.column if end.line == start.line else 1
        return self._where(self._line(start.line), start.column + 1, max(1, length))

    def error(self, node: Node, message: str, hint: str, code: str = "setting-value") -> None:
        """Add an error at a node."""
        self.problems.error(self.place(node), message, hint, code=code)

    def entries(self, node: Node) -> Iterator[tuple[str, Node, Node]]:
        """Give name, key and value of each entry; a name that comes again is refused."""
        if not isinstance(node, MappingNode):
            self.error(node, "a list of ‘name: value’ is expected here", "indent it by two blanks")
            return
        seen: set[str] = set()
        for key, value in node.value:
            if not isinstance(key, ScalarNode):
                self.error(key, "this is not a name", "write name: value")
                continue
            name = str(key.value)
            if name in seen:
                self.error(key, f"‘{name}’ is given twice", "keep one of them", "setting-twice")
                continue
            seen.add(name)
            yield name, key, value

    def mapping(self, node: Node, take: Callable[[str, Node, Node], None]) -> None:
        """Call `take(name, key, value)` for each entry."""
        for entry in self.entries(node):
            take(*entry)

    def scalar(self, name: str, node: Node) -> str | None:
        """Return the text of one value; None, and a problem, if it is a list."""
        if not isinstance(node, ScalarNode):
            self.error(node, f"‘{name}’ takes one value", f'write {name}: "…"')
            return None
        return str(node.value)

    def texts(self, name: str, node: Node) -> list[str]:
        """Return the values of a list, or the one value that stands for a list of one."""
        items = list(node.value) if isinstance(node, SequenceNode) else [node]
        found = [self.scalar(name, item) for item in items]
        return [text for text in found if text is not None]

    def _line(self, mark_line: int) -> int:
        return min(len(self._rows), self._line_above + mark_line + 1)

    def _unreadable(self, error: MarkedYAMLError) -> None:
        problem = str(error.problem or error)
        mark = error.problem_mark or error.context_mark
        if error.context_mark and ("expected ':'" in problem or "end of stream" in problem):
            mark = error.context_mark  # where the name or the quotation marks begin
        line = self._line(mark.line if mark else 0)
        column = (mark.column if mark else 0) + 1
        row = self._rows[line - 1]
        message, hint = _in_our_words(problem)
        if "mapping values are not allowed" in problem and ":" not in row[: column - 1]:
            column = len(row) - len(row.lstrip()) + 1
            message, hint = (
                "this line is indented under a setting that has a value already",
                "begin it at the same column as the line above",
            )
        place = self._where(line, column, max(1, len(row.rstrip()) - column + 1))
        self.problems.error(place, message, hint, code="settings-unreadable")

    def _refuse_references(self, text: str) -> None:
        """Refuse anchors, references and type tags: a value is what stands there."""
        if not re.search(r"[&*!]", text):
            return
        for event in YAML(typ="safe", pure=True).parse(text):
            sign = "*" if isinstance(event, AliasEvent) else ""
            sign = sign or ("&" if getattr(event, "anchor", None) else "")
            sign = sign or ("!" if getattr(event, "tag", None) else "")
            if sign:
                start = event.start_mark
                place = self._where(self._line(start.line), start.column + 1, 1)
                message = f"‘{sign}’ at the start of a value is not read here"
                hint = "write the value itself, or put it in quotation marks"
                self.problems.error(place, message, hint, code="settings-reference")


def silent_yaml() -> YAML:
    """Return a reader of YAML that puts nothing of a text on the terminal by itself.

    It would warn there of a name that is given to two values, with their lines.
    """
    yaml = YAML(typ="safe", pure=True)
    yaml.composer.warn_double_anchors = False
    return yaml


def _depth(text: str) -> int:
    """Return how many brackets are open at once, at most; those in quotation marks count too."""
    depth = deepest = 0
    for sign in re.findall(r"[\[\]{}]", text):
        depth = max(0, depth + (1 if sign in "[{" else -1))
        deepest = max(deepest, depth)
    return deepest


def _in_our_words(problem: str) -> tuple[str, str]:
    """Return sentence and hint for what the YAML library says."""
    if "mapping values are not allowed" in problem:
        return (
            "a second colon on this line makes it unreadable",
            'put the value in quotation marks, for example: title: "A: b"',
        )
    if "found character" in problem and "that cannot start" in problem:
        return (
            "this value begins with a character that has a meaning of its own",
            "put the value in quotation marks",
        )
    if "could not find expected ':'" in problem:
        return "this line is not of the form ‘name: value’", "write name: value"
    if "expected <block end>" in problem:
        return (
            "this line is indented differently from the lines above",
            "begin all settings of one kind at the same column",
        )
    if "unexpected end of stream" in problem or "found unexpected end" in problem:
        return "quotation marks are not closed", "close them on the same line"
    return f"the settings cannot be read here ({problem})", "put the value in quotation marks"
