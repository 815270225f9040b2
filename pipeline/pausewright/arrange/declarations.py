"""Arrangements as declared: read and validated, nothing computed.

They stand under `arrangements:` in a script's settings or in `NAME.arrangements.yaml` beside
`NAME.md`.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, TypeVar, cast

from pausewright.arrange import fields
from pausewright.arrange.arrangement import (
    STANDARD,
    STANDARD_LABEL,
    Arrangement,
    ExtraTime,
    FixedAndRemainder,
    Share,
    Split,
)
from pausewright.arrange.fields import FIELDS
from pausewright.intake.file_kinds import ARRANGEMENTS
from pausewright.problems import PausewrightError, Place, Problems, ScriptError, name_hint
from pausewright.script.attributes.values import ValueProblem
from pausewright.script.settings.strict_yaml import Node, YamlReader, is_mapping
from pausewright.script.source.preparing import read_plain

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.arrange.arrangement import FieldName, Where
    from pausewright.arrange.fields import Field
    from pausewright.script.reader import Reading

T = TypeVar("T")

BESIDE: Final = ".arrangements.yaml"
"""Ending of the file beside a script, after its name."""
ABOVE_SHARE: Final = Fraction(1, 2)
"""More extra time than this is "rare and exceptional" (JCQ, quoted by BATOD, June 2023)."""
_OF_EXTRA_TIME: Final = (
    fields.STRETCH,
    fields.SHARE_OF,
    fields.WHERE,
    fields.FIXED_PAUSE,
    fields.EXTRA_WORDS,
)


class ArrangementError(PausewrightError):
    """An arrangement is not declared, or its declaration cannot be carried out."""


def read_arrangements(reading: Reading, script: Path) -> tuple[tuple[Arrangement, ...], Problems]:
    """Return the declared arrangements, the standard track first, and what is wrong with them.

    Parameters
    ----------
    reading : what the script reader returned, with what stands under `arrangements:`
    script : the script's file; `NAME.arrangements.yaml` is looked for beside it
    """
    problems = Problems()
    beside = script.with_name(f"{script.stem}{BESIDE}")
    found: list[Arrangement] = []
    declared = reading.arrangements
    if declared is not None:
        found = _Reader(YamlReader.like(declared.yaml, problems), problems).read(declared.node)
    if _is_there(beside) or beside.is_symlink():
        found += _from_file(beside, problems, second=declared is not None)
    if reading.script.settings.extra_time == "not-permitted":
        _refuse_extra_time(found, reading.script.settings.extra_time_reason, problems)
    if not any(one.name == STANDARD for one in found):
        found.insert(0, Arrangement(STANDARD, STANDARD_LABEL))
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
        name_hint(name, names, f"declared: {', '.join(names)}"),
    )


def _from_file(file: Path, problems: Problems, *, second: bool) -> list[Arrangement]:
    if second:
        problems.error(
            Place(file, 1, 1),
            "arrangements are declared here and in the script's settings",
            "keep one of the two",
            code="arrangements-twice",
        )
        return []
    try:
        text = read_plain(file, ARRANGEMENTS, file.parent)
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
        declared = _Declared(self._yaml, name, key)
        self._yaml.mapping(node, declared.take)
        if is_mapping(node):
            declared.check()
            self._found.append(declared.arrangement())


class _Declared:
    """What one arrangement declares, field by field as it stands."""

    def __init__(self, yaml: YamlReader, name: str, key: Node) -> None:
        self._yaml = yaml
        self._name = name
        self._key = key
        self._values: dict[FieldName, object] = {}
        self._keys: dict[FieldName, Node] = {}

    def _get(self, field: Field[T]) -> T | None:
        """Return the value of a field; None if it is not declared or could not be read."""
        # only this field's own reader has put a value there
        return cast("T | None", self._values.get(field.name))

    # ---- reading

    def take(self, name: str, key: Node, node: Node) -> None:
        """Read one field; a name that is not known is a problem."""
        field = FIELDS.get(name)
        if field is None:
            self._yaml.error(
                key,
                f"‘{name}’ is not a field of an arrangement",
                name_hint(name, FIELDS, "known: " + ", ".join(FIELDS)),
                "arrangement-field",
            )
            return
        self._keys[field.name] = key
        value = self._value(field, node)
        if value is not None:
            self._values[field.name] = value

    def _value(self, field: Field[object], node: Node) -> object:
        try:
            if field.read_map is not None and is_mapping(node):
                entries: dict[str, str] = {}
                self._yaml.mapping(
                    node,
                    lambda entry, _key, value: entries.__setitem__(
                        entry, self._yaml.scalar(entry, value) or ""
                    ),
                )
                return field.read_map(entries)
            if field.read_list is not None:
                return field.read_list(self._yaml.texts(field.name, node))
            if field.read is None:
                raise ValueProblem("names are expected here", f"for example: {field.example}")
            text = self._yaml.scalar(field.name, node)
            return None if text is None else field.read(text)
        except ValueProblem as problem:
            hint = problem.hint or f"for example: {field.example}"
            self._yaml.error(node, f"{field.name}: {problem.message}", hint)
            return None

    # ---- checking

    def check(self) -> None:
        """Report what is missing, and what does not go together."""
        changes = [name for name in self._keys if FIELDS[name].is_change]
        if self._name == STANDARD:
            for name in changes:
                self._yaml.error(
                    self._keys[name],
                    f"the standard track has no ‘{name}’ of its own",
                    "declare it in the script's settings, or in another arrangement",
                    "arrangement-standard",
                )
            return
        self._need(fields.LABEL, "the room sees it in place of the name")
        if changes:
            self._need(fields.BASIS, "every change needs its permission")
        if "extra-time" in self._keys:
            self._check_extra_time()
            return
        for field in _OF_EXTRA_TIME:
            if field.name in self._values:
                self._incomplete(
                    self._keys[field.name],
                    f"‘{field.name}’ is about extra time, and there is none",
                    f"add: {fields.EXTRA_TIME.example}",
                )

    def _need(self, wanted: Field[object], because: str) -> None:
        if wanted.name not in self._keys:
            self._incomplete(
                self._key,
                f"the arrangement ‘{self._name}’ has no ‘{wanted.name}’: {because}",
                f"add: {wanted.example}",
            )

    def _incomplete(self, node: Node, message: str, hint: str) -> None:
        self._yaml.error(node, message, hint, "arrangement-incomplete")

    def _check_extra_time(self) -> None:
        asked, where = self._get(fields.EXTRA_TIME), self._get(fields.WHERE)
        is_share = asked is None or isinstance(asked.amount, Share)
        if is_share:
            self._need(fields.SHARE_OF, "a share needs to say of what")
        self._need(fields.WHERE, "it must be said where the time goes")
        of_listed = is_share and self._get(fields.SHARE_OF) != "whole-test"
        places = [place for place, _ in where.amounts] if isinstance(where, Split) else [where]
        if of_listed or "each-gap" in places:
            self._need(fields.STRETCH, "it must be said which silences it touches")
        if where == "fixed-and-remainder":
            because = "it must be said how long the pause after each question is"
            self._need(fields.FIXED_PAUSE, because)
        elif "fixed-pause" in self._keys:
            self._incomplete(
                self._keys["fixed-pause"],
                "‘fixed-pause’ belongs to where: fixed-and-remainder",
                "take it out, or write where: fixed-and-remainder",
            )
        touched = self._get(fields.STRETCH)
        is_elsewhere = where is not None and any(place != "each-gap" for place in places)
        if is_elsewhere and touched is not None and "answer-time" not in touched:
            self._incomplete(
                self._keys["stretch"],
                "the time goes to answer times, and they are not listed",
                "add answer-time to stretch, or write where: each-gap",
            )
        if asked is not None and isinstance(asked.amount, Share):
            self._warn_of_much(asked.amount)

    def _warn_of_much(self, amount: Share) -> None:
        if amount.of_base > ABOVE_SHARE:
            self._yaml.problems.warn(
                self._yaml.place(self._keys["extra-time"]),
                f"the arrangement in line {self._yaml.place(self._key).line} gives more than 50 % "
                "extra time, which is rare and exceptional",
                "make sure that the awarding body has approved it for this candidate",
                code="extra-time-above-50",
            )

    # ---- what comes out

    def arrangement(self) -> Arrangement:
        """Return the arrangement; what could not be read is as if it were not declared."""
        label = self._get(fields.LABEL)
        if label is None:
            label = STANDARD_LABEL if self._name == STANDARD else ""
        return Arrangement(
            self._name,
            label,
            self._yaml.place(self._key),
            basis=self._get(fields.BASIS) or "",
            extra_time=self._extra_time(),
            test_time_s=self._get(fields.TEST_TIME),
            extra_time_confirmed_s=self._get(fields.EXTRA_TIME_CONFIRMED),
            pace=self._get(fields.PACE),
            readings=self._get(fields.READINGS),
            pauses=self._get(fields.PAUSES),
            rest_breaks=self._get(fields.REST_BREAKS),
            look_time=self._get(fields.LOOK_TIME),
            leave_out=self._get(fields.LEAVE_OUT) or (),
            background=self._get(fields.BACKGROUND),
            captions=self._get(fields.CAPTIONS),
            transcript=self._get(fields.TRANSCRIPT),
            voice=self._get(fields.VOICE),
            loudness=self._get(fields.LOUDNESS),
            formats=self._get(fields.FORMAT) or (),
            split=self._get(fields.SPLIT),
            print_look=self._get(fields.PRINT),
            places={name: self._yaml.place(key) for name, key in self._keys.items()},
        )

    def _extra_time(self) -> ExtraTime | None:
        asked, where = self._get(fields.EXTRA_TIME), self._where()
        if asked is None or where is None:
            return None
        return ExtraTime(
            asked.amount,
            where,
            asked.at_most_s,
            self._get(fields.SHARE_OF),
            self._get(fields.STRETCH) or (),
            self._get(fields.EXTRA_WORDS),
        )

    def _where(self) -> Where | None:
        where = self._get(fields.WHERE)
        if where != "fixed-and-remainder":
            return where
        pause_s = self._get(fields.FIXED_PAUSE)
        return None if pause_s is None else FixedAndRemainder(pause_s)


def _refuse_extra_time(found: list[Arrangement], reason: str, problems: Problems) -> None:
    for one in found:
        if "extra-time" in one.places and one.place is not None:
            because = f": {reason}" if reason else ""
            problems.error(
                one.place,
                f"the script does not permit extra time{because}",
                "take out ‘extra-time’ here, or ‘extra-time: not-permitted’ in the settings",
                code="extra-time-not-permitted",
            )


def _check_labels(found: list[Arrangement], problems: Problems) -> None:
    seen: dict[str, Arrangement] = {}
    for one in found:
        key = one.label.casefold()  # folders of two versions must differ on every system
        if one.label and key in seen and one.place is not None:
            other = seen[key]
            problems.error(
                one.place,
                f"‘{one.name}’ and ‘{other.name}’ have the same label {one.label}",
                "give each arrangement a label of its own, for example: label: B",
                code="arrangement-label",
                also=(other.place,) if other.place else (),
            )
        seen.setdefault(key, one)
