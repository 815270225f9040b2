"""Sound files, and links: `![description](path){…}`, `[title](file.md){.include}`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, Literal, cast

from pausewright.script import values
from pausewright.script.inline_context import offset_of
from pausewright.script.inlines import is_picture
from pausewright.script.markdown import meta
from pausewright.script.model import Sound
from pausewright.script.scope import pause_s
from pausewright.script.values import ValueProblem

if TYPE_CHECKING:
    from markdown_it.token import Token

    from pausewright.problems import Place
    from pausewright.script.attributes import Braces, Item
    from pausewright.script.inline_context import InlineContext

_STRAY: Final = re.compile(r"[{}\[\]`*_\\]|::")


def read_sound(
    ctx: InlineContext, token: Token, place: Place, braces: Braces | None
) -> Sound | None:
    """Return a sound; None, and a problem, if its file or attributes cannot be read."""
    items = ctx.items(braces, "sound")
    if meta(token, "path") is None:
        ctx.error(place, "a sound needs a file", "write ![description](audio/file.wav)", "path")
        return None
    if not _path_is_good(ctx, token, place):
        return None
    path = str(meta(token, "path"))
    if is_picture(path) and not ctx.on_paper and ctx.kind != "option":
        ctx.error(
            place,
            f"‘{path}’ is a picture, and a picture cannot be heard",
            "put it into ::: sheet … :::, or make it an answer to choose",
            "picture-misplaced",
        )
        return None
    label = _description(ctx, token)
    words = _words(ctx, items.get("words"), place)
    edges = ctx.choice(items.get("edges"), ("trimmed", "as recorded"))
    level = ctx.choice(items.get("level"), ("matched", "as recorded"))
    width = None
    if "width" in items:
        try:
            width = values.width(items["width"].value or "")
        except ValueProblem as problem:
            ctx.error(ctx.item_place(items["width"]), problem.message, problem.hint, "width")
    from_s = ctx.value(items.get("from"), values.position_s)
    to_s = ctx.value(items.get("to"), values.position_s)
    if to_s is not None and to_s <= (from_s or 0):
        ctx.error(
            ctx.item_place(items["to"]),
            "this part of the sound ends before it begins",
            "give ‘to’ a later position than ‘from’",
            "sound-part",
        )
    return Sound(
        label, path, place,
        from_s=from_s,
        to_s=to_s,
        words=words,
        speaker=items["speaker"].value if "speaker" in items else None,
        edges=cast(
            "Literal['trimmed', 'as recorded']",
            edges or ("trimmed" if words else "as recorded"),
        ),
        level=cast(
            "Literal['matched', 'as recorded']",
            level or ("matched" if words else "as recorded"),
        ),
        fade_out_s=ctx.value(items.get("fade-out"), values.duration_s),
        pause_after_s=ctx.value(items.get("pause-after"), pause_s),
        width=width,
    )  # fmt: skip


def _description(ctx: InlineContext, token: Token) -> str:
    """Return the description of a sound, plain words only."""
    label = str(meta(token, "label"))
    stray = _STRAY.search(label)
    if stray:
        start = offset_of(token) + len("![") + stray.start()
        ctx.error(
            ctx.places.at(start, len(stray[0])),
            f"a stray ‘{stray[0]}’ in a description",
            "describe it in plain words",
            "stray-sign",
        )
    return label


def _words(ctx: InlineContext, item: Item | None, place: Place) -> str | None:
    """Return the words of a recording; `words="folder/text.txt"` names a file that holds them."""
    if item is None or not (item.value or "").strip():
        return None
    words = (item.value or "").strip()
    if not words.endswith(".txt"):
        return words
    file = place.file.parent / words
    inside = file.resolve().is_relative_to(place.file.parent.resolve())
    try:
        text = file.read_text(encoding="utf-8-sig") if inside else ""
    except (OSError, UnicodeDecodeError):
        text = ""
    if not text.strip():
        ctx.error(
            ctx.item_place(item),
            f"the file ‘{words}’ with the words of this recording cannot be read",
            "check its name, from the script's own folder; it holds plain text in UTF-8",
            "words-file",
        )
        return words
    return " ".join(text.split())


def read_link(
    ctx: InlineContext, token: Token, place: Place, braces: Braces | None, *, alone: bool
) -> None:
    """Take a link for an include; any other link is a problem."""
    names = {item.name for item in braces.items} if braces else set()
    if names != {"include"}:
        ctx.error(
            place,
            "a link is not part of a script",
            "write [title](file.md){.include} to include a file",
            "link",
        )
    elif not alone:
        ctx.error(
            place,
            "an include stands alone in its paragraph",
            "put blank lines before and after it",
            "include-form",
        )
    elif _path_is_good(ctx, token, place):
        ctx.include = str(meta(token, "path"))


def _path_is_good(ctx: InlineContext, token: Token, place: Place) -> bool:
    trouble, path = str(meta(token, "path_problem")), str(meta(token, "path"))
    if trouble == "blank":
        ctx.error(place, f"the file name ‘{path}’ has a blank in it", f"write (<{path}>)", "path")
    elif trouble or not path:
        ctx.error(place, "the file name cannot be read", "write (folder/file.wav)", "path")
    elif re.match(r"[A-Za-z][A-Za-z0-9+.-]*:|/|\\", path) or ".." in re.split(r"[/\\]", path):
        ctx.error(
            place,
            f"‘{path}’ lies outside the script's folder",
            "put the file into the script's folder and name it from there",
            "path-outside",
        )
    elif "\\" in path:
        ctx.error(
            place,
            f"the file name ‘{path}’ has a backslash in it",
            "write (" + path.replace("\\", "/") + ")",
            "path",
        )
    else:
        return True
    return False
