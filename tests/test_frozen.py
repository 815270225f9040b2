"""Frozen values do what Python's own frozen dataclasses do (the reference: `dataclasses`)."""

from __future__ import annotations

import pickle
from dataclasses import FrozenInstanceError, dataclass, field, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pausewright.frozen import frozen


@frozen
class Ours:
    """With a field that is not compared and one that is not shown."""

    first: int
    second: str = ""
    beside: int = field(default=0, compare=False)
    hidden: int = field(default=0, repr=False)


@dataclass(frozen=True, slots=True)
class Theirs:
    """The same by the library."""

    first: int
    second: str = ""
    beside: int = field(default=0, compare=False)
    hidden: int = field(default=0, repr=False)


@frozen
class Nothing:
    """Without a field."""


@frozen
class More(Ours):
    """With a field more than what it is made from."""

    third: int = 1


@frozen
class Named:
    """With a text of its own."""

    first: int

    def __repr__(self) -> str:
        """Return a text."""
        return "named"


few = st.integers(0, 2)
rows = st.tuples(few, st.sampled_from(["", "a"]), few, few)


@given(rows, rows)
def test_two_are_equal_where_the_librarys_are(
    one: tuple[int, str, int, int], other: tuple[int, str, int, int]
) -> None:
    """And equal ones have one hash; of the fields that are compared."""
    ours, theirs = (Ours(*one), Ours(*other)), (Theirs(*one), Theirs(*other))

    assert (ours[0] == ours[1]) is (theirs[0] == theirs[1])
    assert len(set(ours)) == len(set(theirs))
    assert repr(ours[0]) == repr(theirs[0]).replace("Theirs", "Ours")


def test_nothing_of_a_value_is_changed() -> None:
    """Neither what it has nor what it has not; a changed copy is another value."""
    value = Ours(1, "a")
    with pytest.raises(FrozenInstanceError):
        value.first = 2  # type: ignore[misc]
    with pytest.raises((FrozenInstanceError, TypeError)):
        value.other = 2  # type: ignore[attr-defined]

    assert replace(value, first=2) == Ours(2, "a") != value
    assert not hasattr(value, "__dict__")


def test_kinds_are_told_apart() -> None:
    """A value is no value of another class, though all their fields are equal."""
    of_both: list[object] = [Ours(1), Theirs(1)]

    assert of_both[0] != of_both[1]
    assert More(1) != Ours(1)
    assert More(1, third=2) != More(1)
    assert Nothing() == Nothing()
    assert len({Nothing(), Nothing()}) == 1
    assert repr(Named(1)) == "named"


def test_a_value_travels() -> None:
    """To another process and back."""
    assert pickle.loads(pickle.dumps(More(1, "a", 2, 3, 4))) == More(1, "a", 2, 3, 4)  # noqa: S301
