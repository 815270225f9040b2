"""Regular expressions compiled at their first use: a script needs few of the several hundred."""

from __future__ import annotations

import re
from functools import cached_property
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    Find: TypeAlias = Callable[..., re.Match[str] | None]


class Late:
    """A `re.Pattern` of text, compiled when one of its methods is asked for first."""

    def __init__(self, pattern: str, flags: re.RegexFlag = re.NOFLAG) -> None:
        """Take what `re.compile` takes."""
        self._source = (pattern, flags)

    @cached_property
    def _compiled(self) -> re.Pattern[str]:
        return re.compile(*self._source)

    @cached_property
    def match(self) -> Find:
        """See `re.Pattern.match`."""
        return self._compiled.match

    @cached_property
    def fullmatch(self) -> Find:
        """See `re.Pattern.fullmatch`."""
        return self._compiled.fullmatch

    @cached_property
    def search(self) -> Find:
        """See `re.Pattern.search`."""
        return self._compiled.search

    @cached_property
    def finditer(self) -> Callable[..., Iterator[re.Match[str]]]:
        """See `re.Pattern.finditer`."""
        return self._compiled.finditer

    @cached_property
    def findall(self) -> Callable[[str], list[str]]:
        """See `re.Pattern.findall`."""
        return self._compiled.findall

    @cached_property
    def sub(self) -> Callable[..., str]:
        """See `re.Pattern.sub`."""
        return self._compiled.sub

    @cached_property
    def split(self) -> Callable[[str], list[str]]:
        """See `re.Pattern.split`."""
        return self._compiled.split
