"""The running numbers of questions."""

from __future__ import annotations


class Numbers:
    """The running numbers of the test's and the practice's questions.

    After a wrong number both ways of going on are accepted, so that one mistake is one problem.
    """

    def __init__(self) -> None:
        """Begin at 1 with both."""
        self._accepted: dict[bool, tuple[int, ...]] = {False: (1,), True: (1,)}

    def next(self, number: int, *, practice: bool) -> int:
        """Return the number that is expected where `number` is written, and go on."""
        accepted = self._accepted[practice]
        expected = number if number in accepted else accepted[0]
        more = () if number == expected else (expected, number + 1)
        self._accepted[practice] = (expected + 1, *more)
        return expected
