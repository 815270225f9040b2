"""`leave-out`: a script without the parts and groups that a candidate is exempt from."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.problems import name_hint
from pausewright.script.model import Again, Question

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.script.model import Block, Group, Part


def without_parts(
    parts: tuple[Part, ...], titles: Sequence[str], refuse: Callable[[str, str], None]
) -> tuple[Part, ...]:
    """Return the parts without those, and the groups, of these titles.

    `refuse` takes a message and a hint where a title is not there or nothing is left.
    """
    known = [p.title for p in parts] + [g.title for p in parts for g in p.groups]
    for title in titles:
        if title not in known:
            message = f"no part or group has the title ‘{title}’"
            hint = name_hint(title, filter(None, known), "write the title as in the script")
            refuse(message, hint)
    if not titles:
        return parts
    kept = [
        replace(part, groups=tuple(g for g in part.groups if g.title not in titles))
        for part in parts
        if part.title not in titles
    ]
    numbers = {
        block.number
        for part in kept
        for group in part.groups
        for block in group.blocks
        if isinstance(block, Question) and not block.practice
    }
    if not numbers:
        refuse("nothing is left of the test", "leave fewer parts out")
    return tuple(
        replace(part, groups=tuple(_without(group, numbers) for group in part.groups))
        for part in kept
    )


def _without(group: Group, numbers: set[int]) -> Group:
    """Return a group without repeats of questions that are left out."""
    blocks: list[Block] = []
    for block in group.blocks:
        if isinstance(block, Again):
            left = tuple(number for number in block.questions if number in numbers)
            if left:
                blocks.append(replace(block, questions=left))
        else:
            blocks.append(block)
    return replace(group, blocks=tuple(blocks))
