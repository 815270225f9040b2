"""Frozen dataclasses that are made in less time than the library's.

`dataclasses` writes the source of every method of every class and compiles it: much of what a
command takes to start (docs/decisions/typed-values.md). Here classes share the methods that need
not be their own.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from functools import cache
from operator import attrgetter
from typing import TYPE_CHECKING, TypeVar, dataclass_transform

if TYPE_CHECKING:
    from collections.abc import Callable

_Class = TypeVar("_Class")


@dataclass_transform(frozen_default=True, eq_default=True, field_specifiers=(field,))
def frozen(cls: type[_Class]) -> type[_Class]:
    """Return what `dataclass(frozen=True, slots=True)` makes of a class.

    What a class defines of these methods by itself stays. Values of its fields are compared and
    hashed as there; `hash=` and `unsafe_hash=` are not used here.
    """
    for name, method in _SHARED.items():
        if name not in cls.__dict__:
            setattr(cls, name, method)
    made: type[_Class] = dataclass(frozen=True, slots=True, eq=False, repr=False)(cls)
    return made


def _equal(self: object, other: object) -> object:
    cls: type = self.__class__
    values_of = _compared(cls)
    return values_of(self) == values_of(other) if other.__class__ is cls else NotImplemented


def _hash(self: object) -> int:
    cls: type = self.__class__
    return hash(_compared(cls)(self))


def _text(self: object) -> str:
    shown = (one.name for one in fields(self) if one.repr)  # type: ignore[arg-type]
    return f"{self.__class__.__qualname__}({', '.join(f'{n}={getattr(self, n)!r}' for n in shown)})"


_SHARED = {"__eq__": _equal, "__hash__": _hash, "__repr__": _text}


@cache
def _compared(cls: type) -> Callable[[object], object]:
    """Return what gives the values that two objects of a class are compared by."""
    names = [one.name for one in fields(cls) if one.compare]
    return attrgetter(*names) if names else lambda _: ()
