"""A script with blocks of an arrangement beside its own."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from pausewright.script.model import Block, Script


def with_new_blocks(script: Script, around: Callable[[Block], Iterable[Block]]) -> Script:
    """Return the script with what `around` gives in the place of each block, in order."""
    return replace(
        script,
        parts=tuple(
            replace(
                part,
                groups=tuple(
                    replace(group, blocks=tuple(new for one in group.blocks for new in around(one)))
                    for group in part.groups
                ),
            )
            for part in script.parts
        ),
    )
