"""Arrangements as declared: read and validated, nothing computed.

They stand under `arrangements:` in a script's settings or in `NAME.arrangements.yaml` beside
`NAME.md`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from pausewright.arrange.fields import CHANGES, FIELDS
from pausewright.problems import PausewrightError, Place, Problems, ScriptError, meant
from pausewright.script.source import read_plain
from pausewright.script.strict_yaml import Node, YamlReader, is_mapping
from pausewright.script.values import ValueProblem

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from pausewright.script.reader import Reading

STANDARD: Final = "standard"
STANDARD_LABEL: Final = "A"


ABOVE_SHARE: Final = Fraction(1, 2)
"""More extra time than this is "rare and exceptional" (JCQ, quoted by BATOD, June 2023)."""
_OF_EXTRA_TIME: Final = ("stretch", "share-of", "where", "fixed-pause", "extra-words")


class ArrangementError(PausewrightError):
    """An arrangement is not declared, or its declaration cannot be carried out."""


@dataclass(frozen=True, slots=True)
class Arrangement:
    """One declared version of a test."""

    name: str
    """Confidential: it stands on no room paper, file name, tag, caption or screen."""
    label: str
    """What the room sees: "A", "B"."""
    place: Place | None
    """None for a standard track that nobody declared."""
    values: Mapping[str, Any] = field(default_factory=dict)
    """Declared fields, read: see `fields.FIELDS`."""
    places: Mapping[str, Place] = field(default_factory=dict)
    """Where each field is declared."""

    def place_of(self, name: str, script: Path) -> Place:
        """Return where a field is declared, else the arrangement, else the script's beginning."""
        return self.places.get(name) or self.place or Place(script, 1, 1)

    @property
    def basis(self) -> str:
        """Why it is permitted; "" for the standard track."""
        return str(self.values.get("basis", ""))

    @property
    def changes(self) -> tuple[str, ...]:
        """Names of the declared fields that change the track or what goes with it."""
        return tuple(name for name in self.values if name in CHANGES)


def read_arrangements(reading: Reading, script: Path) -> tuple[tuple[Arrangement, ...], Problems]:
    """Return the declared arrangements, the standard track first, and what is wrong with them.

    Parameters
    ----------
    reading : what the script reader returned, with what stands under `arrangements:`
    script : the script's file; `NAME.arrangements.yaml` is looked for beside it
    """
    problems = Problems()
    beside = script.with_name(f"{script.stem}.arrangements.yaml")
    found: list[Arrangement] = []
    declared = reading.arrangements
    if declared is not None:
        found = _Reader(YamlReader.like(declared.yaml, problems), problems).read(declared.node)
    if _is_there(beside):
        found += _from_file(beside, problems, second=declared is not None)
    if reading.script.settings.extra_time == "not-permitted":
        _refuse_extra_time(found, reading.script.settings.extra_time_reason, problems)
    if not any(one.name == STANDARD for one in found):
        found.insert(0, Arrangement(STANDARD, STANDARD_LABEL, None))
    found.sort(key=lambda one: one.name != STANDARD)
    _check_labels(found, problems)
    return tuple(found), problems


def _is_there(file: Path) -> bool:
    try:
        return file.exists()
    except OSError:  # its name is too long for the file system
        return False


def named(arrangements: tuple[Arrangement, ...], name: str = STANDARD) -> Arrangement:
    """Return the arrangement of this name or label.

    Raises
    ------
    ArrangementError
        If there is none.
    """
    for one in arrangements:
        if name in {one.name, one.label}:
            return one
    names = [one.name for one in arrangements]
    raise ArrangementError(
        f"the arrangement ‘{name}’ is not declared",
        meant(name, names, f"declared: {', '.join(names)}"),
    )


def _from_file(file: Path, problems: Problems, *, second: bool) -> list[Arrangement]:
    if second:
        problems.error(
            Place(file, 1, 1), "arrangements are declared here and in the script's settings",
            "keep one of the two", code="arrangements-twice",
        )  # fmt: skip
        return []
    try:
        text = read_plain(file)
    except ScriptError as error:
        problems.extend(error.problems)
        return []
    yaml = YamlReader(
        text.split("\n"), 0, lambda line, column, n: Place(file, line, column, n), problems
    )
    root = yaml.compose(text, "standard: {label: A}")
    return [] if root is None else _Reader(yaml, problems).read(root)


class _Reader:
    def __init__(self, yaml: YamlReader, problems: Problems) -> None:
        self._yaml = yaml
        self._problems = problems
        self._found: list[Arrangement] = []

    def read(self, root: Node) -> list[Arrangement]:
        self._yaml.mapping(root, self._arrangement)
        return self._found

    def _arrangement(self, name: str, key: Node, node: Node) -> None:
        values: dict[str, Any] = {}
        places: dict[str, Node] = {}

        def one(field_name: str, field_key: Node, value: Node) -> None:
            if field_name not in FIELDS:
                self._yaml.error(
                    field_key, f"‘{field_name}’ is not a field of an arrangement",
                    meant(field_name, FIELDS, "known: " + ", ".join(FIELDS)),
                    "arrangement-field",
                )  # fmt: skip
                return
            places[field_name] = field_key
            read = self._value(field_name, value)
            if read is not None:
                values[field_name] = read

        self._yaml.mapping(node, one)
        if not is_mapping(node):
            return
        self._check(name, key, values, places)
        label = str(values.get("label", STANDARD_LABEL if name == STANDARD else ""))
        where = {field: self._yaml.place(field_key) for field, field_key in places.items()}
        self._found.append(Arrangement(name, label, self._yaml.place(key), values, where))

    def _value(self, name: str, node: Node) -> Any:  # noqa: ANN401  by the table
        spec = FIELDS[name]
        try:
            if spec.read_map is not None and is_mapping(node):
                entries: dict[str, str] = {}
                self._yaml.mapping(
                    node,
                    lambda entry, _key, value: entries.__setitem__(
                        entry, self._yaml.scalar(entry, value) or ""
                    ),
                )
                return spec.read_map(entries)
            if spec.read is None:
                raise ValueProblem("names are expected here", f"for example: {spec.example}")
            if spec.many:
                return tuple(map(spec.read, self._yaml.texts(name, node)))
            text = self._yaml.scalar(name, node)
            return None if text is None else spec.read(text)
        except ValueProblem as problem:
            self._yaml.error(
                node, f"{name}: {problem.message}", problem.hint or f"for example: {spec.example}"
            )
            return None

    def _check(self, name: str, key: Node, values: dict[str, Any], places: dict[str, Node]) -> None:
        def need(wanted: str, because: str) -> None:
            if wanted not in places:
                self._yaml.error(
                    key, f"the arrangement ‘{name}’ has no ‘{wanted}’: {because}",
                    f"add: {FIELDS[wanted].example}", "arrangement-incomplete",
                )  # fmt: skip

        changes = [field for field in places if field in CHANGES]
        if name == STANDARD:
            for field_name in changes:
                self._yaml.error(
                    places[field_name], f"the standard track has no ‘{field_name}’ of its own",
                    "declare it in the script's settings, or in another arrangement",
                    "arrangement-standard",
                )  # fmt: skip
            return
        need("label", "the room sees it in place of the name")
        if changes:
            need("basis", "every change needs its permission")
        self._check_extra_time(key, values, places, need)

    def _check_extra_time(
        self,
        key: Node,
        values: dict[str, Any],
        places: dict[str, Node],
        need: Callable[[str, str], None],
    ) -> None:
        if "extra-time" not in places:
            for name in _OF_EXTRA_TIME:
                if name in values:
                    self._yaml.error(
                        places[name], f"‘{name}’ is about extra time, and there is none",
                        f"add: {FIELDS['extra-time'].example}", "arrangement-incomplete",
                    )  # fmt: skip
            return
        extra, where = values.get("extra-time"), values.get("where")
        is_share = extra is None or extra.share is not None
        if is_share:
            need("share-of", "a share needs to say of what")
        need("where", "it must be said where the time goes")
        of_listed = is_share and values.get("share-of") != "whole-test"
        in_gaps = where == "each-gap" or (isinstance(where, dict) and "each-gap" in where)
        if of_listed or in_gaps:
            need("stretch", "it must be said which silences it touches")
        if where == "fixed-and-remainder":
            need("fixed-pause", "it must be said how long the pause after each question is")
        elif "fixed-pause" in places:
            self._yaml.error(
                places["fixed-pause"], "‘fixed-pause’ belongs to where: fixed-and-remainder",
                "take it out, or write where: fixed-and-remainder", "arrangement-incomplete",
            )  # fmt: skip
        touched = values.get("stretch", ("answer-time",))
        elsewhere = set(where) - {"each-gap"} if isinstance(where, dict) else where != "each-gap"
        if where is not None and elsewhere and "answer-time" not in touched:
            self._yaml.error(
                places["stretch"], "the time goes to answer times, and they are not listed",
                "add answer-time to stretch, or write where: each-gap", "arrangement-incomplete",
            )  # fmt: skip
        if extra is not None and extra.share is not None and extra.share > ABOVE_SHARE:
            self._yaml.problems.warn(
                self._yaml.place(places["extra-time"]),
                f"the arrangement in line {self._yaml.place(key).line} gives more than 50 % "
                "extra time, which is rare and exceptional",
                "make sure that the awarding body has approved it for this candidate",
                code="extra-time-above-50",
            )


def _refuse_extra_time(found: list[Arrangement], reason: str, problems: Problems) -> None:
    for one in found:
        if "extra-time" in one.values and one.place is not None:
            because = f": {reason}" if reason else ""
            problems.error(
                one.place, f"the script does not permit extra time{because}",
                "take out ‘extra-time’ here, or ‘extra-time: not-permitted’ in the settings",
                code="extra-time-not-permitted",
            )  # fmt: skip


def _check_labels(found: list[Arrangement], problems: Problems) -> None:
    seen: dict[str, Arrangement] = {}
    for one in found:
        key = one.label.casefold()  # folders of two versions must differ on every system
        if one.label and key in seen and one.place is not None:
            other = seen[key]
            problems.error(
                one.place, f"‘{one.name}’ and ‘{other.name}’ have the same label {one.label}",
                "give each arrangement a label of its own, for example: label: B",
                code="arrangement-label", also=(other.place,) if other.place else (),
            )  # fmt: skip
        seen.setdefault(key, one)
