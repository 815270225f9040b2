"""What a screen reader has of a page: Chromium's own accessibility tree, as text.

It is read through the DevTools protocol ("Accessibility.getFullAXTree"), so it is what the browser
gives to assistive technology, and not what a test's library works out from the page.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from playwright.sync_api import Page

_SILENT = {"InlineTextBox", "ListMarker", "LineBreak"}
"""Pieces of what their parent says."""
_PLAIN = {"generic", "none", "RootWebArea", "paragraph", "row", "rowgroup", "LayoutTableSection"}
"""Boxes that are left out if they have no name: what is in them is said by itself."""
_TOLD = ("disabled", "checked", "pressed", "expanded", "level", "valuetext", "required", "invalid")
"""Properties that are said."""


def heard_text(page: Page) -> str:
    """Return the tree of a page, a line for each thing that is said, indented by its depth."""
    devtools = page.context.new_cdp_session(page)
    try:
        nodes = devtools.send("Accessibility.getFullAXTree")["nodes"]
    finally:
        devtools.detach()
    by_id = {node["nodeId"]: node for node in nodes}
    return "\n".join(_lines(nodes[0], by_id, 0, "")) + "\n"


def _lines(
    node: Mapping[str, Any], by_id: Mapping[str, Any], depth: int, around: str
) -> Iterator[str]:
    """Give the lines of a node; `around` is what the node that holds it says already."""
    role, name = (str(node.get(one, {}).get("value", "")) for one in ("role", "name"))
    is_text = role == "StaticText"
    is_plain = role in _PLAIN and not name
    is_told = not node.get("ignored") and role not in _SILENT and not is_plain
    if is_told and is_text and name.strip() and name.strip() in around:
        is_told = False
    if is_told:
        yield f"{'  ' * depth}{_line(node, role, name)}"
    inner = around if not is_told else name
    for child in node.get("childIds", ()):
        if child in by_id and role != "StaticText":
            yield from _lines(by_id[child], by_id, depth + is_told, inner)


def _line(node: Mapping[str, Any], role: str, name: str) -> str:
    if role == "StaticText":
        return f"text: {' '.join(name.split())}"
    parts = [role, f'"{" ".join(name.split())}"' if name else ""]
    if "value" in node and str(node["value"].get("value", "")):
        parts.append(f"= {node['value']['value']}")
    for one in node.get("properties", ()):
        value = one.get("value", {}).get("value")
        if one["name"] in _TOLD and value not in {None, False, "", "false"}:
            parts.append(f"[{one['name']}{'' if value is True else f' {value}'}]")
    return " ".join(part for part in parts if part)
