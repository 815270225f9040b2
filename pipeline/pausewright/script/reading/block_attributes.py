"""The attributes of one block: those allowed there, what they put in force, their own values."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final, TypeVar

from pausewright.frozen import frozen
from pausewright.script.attributes.attribute_table import misplaced
from pausewright.script.attributes.scope import SCOPED
from pausewright.script.attributes.values import ValueProblem
from pausewright.script.model import InForce

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.problems import Place
    from pausewright.script.attributes.braces import Item
    from pausewright.script.attributes.scope import Scope
    from pausewright.script.inline.paragraph_content import Content
    from pausewright.script.reading.context import Context

T = TypeVar("T")


@frozen
class Attributes:
    """Attributes of one block, each allowed where it stands."""

    items: dict[str, Item]
    content: Content | None
    places: dict[str, Place]

    def yes(self, name: str) -> bool:
        """Say whether `.name` is given."""
        return name in self.items and self.items[name].value is None

    def only(self, names: frozenset[str]) -> Attributes:
        """Return those of these names."""
        return replace(self, items={n: i for n, i in self.items.items() if n in names})


VOICED: Final = frozenset({"voice", "lang", "take", "pace", "captions"})


def read_attributes(ctx: Context, content: Content, kind: str) -> Attributes:
    """Return the attributes at the end of a paragraph, those allowed on `kind`."""
    places = {item.name: content.item_place(item) for item in content.attrs}
    return Attributes(allowed(ctx, content.attrs, places, kind), content, places)


def allowed(
    ctx: Context, items: Sequence[Item], places: dict[str, Place], kind: str
) -> dict[str, Item]:
    """Return those attributes that may stand on `kind`; the others are problems."""
    found: dict[str, Item] = {}
    for item in items:
        trouble = misplaced(item.name, item.value, kind)
        if trouble:
            ctx.problems.error(places[item.name], *trouble, code="attribute-unknown")
            continue
        if item.value is not None and "{" in item.value and item.name not in {"announce", "again"}:
            block = item.name in {"key", "sheet"}
            ctx.problems.error(
                places[item.name],
                f"‘{item.name}’ holds braces",
                f"write them in a block: ::: {item.name}, with \\{{ and \\}}"
                if block
                else "fields in braces stand in announce and again only",
                code="value-unreadable",
            )
            continue
        found[item.name] = item
    return found


def scope_below(ctx: Context, above: Scope, attrs: Attributes, origin: str) -> Scope:
    """Return the scope below a heading or question with these attributes."""
    found: dict[str, InForce[object]] = {}
    for name, item in attrs.items.items():
        if name in SCOPED and item.value is not None:
            value = _read(ctx, item, attrs, SCOPED[name].read, origin)
            # what cannot be read is told here, and is not missing further down
            found[name] = above.get(SCOPED[name]) if value is None else value
    scope = above.with_values(found)
    scope = replace(
        scope,
        practice=attrs.yes("practice") or (scope.practice and "practice" not in attrs.items),
        printed=attrs.yes("printed") or (scope.printed and "printed" not in attrs.items),
    )
    _check_captions(ctx, attrs)
    return scope


def _check_captions(ctx: Context, attrs: Attributes) -> None:
    item = attrs.items.get("captions")
    if item is None or item.value != "everything":
        return
    if "captions-reason" not in attrs.items and not ctx.settings.captions_reason:
        message = "captions that show everything need a reason"
        hint = 'add captions-reason="…": a test by ear that is shown is another test'
        ctx.problems.error(attrs.places["captions"], message, hint, code="captions-reason")


def own_value(
    ctx: Context, attrs: Attributes, name: str, read: Callable[[str], T], origin: str
) -> InForce[T] | None:
    """Read an attribute that is not inherited; None without it, or with a problem."""
    item = attrs.items.get(name)
    if item is None or item.value is None:
        return None
    return _read(ctx, item, attrs, read, origin)


def value_or(
    ctx: Context, attrs: Attributes, name: str, read: Callable[[str], T], otherwise: T
) -> T:
    """Read an attribute that is not inherited; `otherwise` without it, or with a problem."""
    found = own_value(ctx, attrs, name, read, "")
    return otherwise if found is None else found.value


def _read(
    ctx: Context, item: Item, attrs: Attributes, read: Callable[[str], T], origin: str
) -> InForce[T] | None:
    try:
        return InForce(read(item.value or ""), attrs.places[item.name], origin)
    except ValueProblem as problem:
        message = f"{item.name}: {problem.message}"
        ctx.problems.error(attrs.places[item.name], message, problem.hint, code="value-unreadable")
        return None
