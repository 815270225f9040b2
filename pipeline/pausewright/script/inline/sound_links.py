"""Sound files, and links: `![description](path){…}`, `[title](file.md){.include}`."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import zip_longest
from typing import TYPE_CHECKING, Final, TypeAlias, get_args

from pausewright.intake.file_kinds import WORDS
from pausewright.intake.plain_file import file_text
from pausewright.problems import PausewrightError, Problems
from pausewright.script.attributes import values
from pausewright.script.attributes.scope import pause_s
from pausewright.script.attributes.values import is_picture
from pausewright.script.inline.inline_context import offset_of
from pausewright.script.limits import CAPTION_FILE_ENDINGS, MOST_WORDS_CHARACTERS
from pausewright.script.model import Edges, Level, RecordedCue, Sound
from pausewright.script.recordings.caption_files import read_caption_file

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from markdown_it.token import Token

    from pausewright.problems import Place
    from pausewright.script.attributes.braces import Braces, Item
    from pausewright.script.inline.inline_context import InlineContext

Part: TypeAlias = "tuple[Fraction | None, Fraction | None]"
"""Where a part of a recording begins and ends in its file."""
CUT_S: Final = Fraction(3, 10)
"""A caption may reach so far beyond a part: words begin and end in silence."""
_EDGES: Final[tuple[Edges, ...]] = get_args(Edges)
_LEVELS: Final[tuple[Level, ...]] = get_args(Level)
_STRAY: Final = re.compile(r"[{}\[\]`*_\\]|::")


def read_sound(
    ctx: InlineContext, token: Token, place: Place, braces: Braces | None
) -> Sound | None:
    """Return a sound; None, and a problem, if its file or attributes cannot be read."""
    items = ctx.items(braces, "sound")
    if token.meta.get("path") is None:
        ctx.error(place, "a sound needs a file", "write ![description](audio/file.wav)", "path")
        return None
    if not _path_is_good(ctx, token, place):
        return None
    path = str(token.meta.get("path"))
    if is_picture(path) and not ctx.on_paper and ctx.kind != "option":
        message = f"‘{path}’ is a picture, and a picture cannot be heard"
        hint = "put it into ::: sheet … :::, or make it an answer to choose"
        ctx.error(place, message, hint, "picture-misplaced")
        return None
    label = _description(ctx, token)
    edges = ctx.choice(items.get("edges"), _EDGES)
    level = ctx.choice(items.get("level"), _LEVELS)
    width = ctx.width(items.get("width"))
    parts = _parts(ctx, items, place)
    from_s, to_s = parts[0]
    words, cues = _words(ctx, items.get("words"), place, (from_s, to_s))
    return Sound(
        label,
        path,
        place,
        from_s=from_s,
        to_s=to_s,
        words=words,
        cues=cues,
        speaker=items["speaker"].value if "speaker" in items else None,
        edges=edges or ("trimmed" if words else "as recorded"),
        level=level or ("matched" if words else "as recorded"),
        fade_out_s=ctx.value(items.get("fade-out"), values.duration_s),
        pause_after_s=ctx.value(items.get("pause-after"), pause_s),
        width=width,
        takes=tuple((a, b) for a, b in parts if a is not None and b is not None)
        if len(parts) > 1
        else (),
    )


def _parts(ctx: InlineContext, items: Mapping[str, Item], place: Place) -> list[Part]:
    """Return the part that is heard, or one for each reading where `from` and `to` list them."""
    from_s = ctx.value(items.get("from"), values.positions_s) or ()
    to_s = ctx.value(items.get("to"), values.positions_s) or ()
    if max(len(from_s), len(to_s)) > 1 and len(from_s) != len(to_s):
        message = f"‘from’ names {len(from_s)} places and ‘to’ {len(to_s)}"
        hint = "give each reading its own: as many places in ‘from’ as in ‘to’"
        ctx.error(place, message, hint, "sound-part")
        return [(None, None)]
    parts: list[Part] = list(zip_longest(from_s, to_s)) or [(None, None)]
    for begins_s, ends_s in parts:
        if ends_s is not None and ends_s <= (begins_s or 0):
            message = "this part of the sound ends before it begins"
            hint = "give ‘to’ a later position than ‘from’"
            ctx.error(ctx.item_place(items["to"]), message, hint, "sound-part")
    return parts


def _description(ctx: InlineContext, token: Token) -> str:
    """Return the description of a sound, plain words only."""
    label = str(token.meta.get("label"))
    stray = _STRAY.search(label)
    if stray:
        start = offset_of(token) + len("![") + stray.start()
        message = f"a stray ‘{stray[0]}’ in a description"
        hint = "describe it in plain words"
        ctx.error(ctx.places.at(start, len(stray[0])), message, hint, "stray-sign")
    return label


def _words(
    ctx: InlineContext, item: Item | None, place: Place, part: Part
) -> tuple[str | None, tuple[RecordedCue, ...]]:
    """Return the words of a recording, and its captions if they are in a caption file.

    `words="folder/text.txt"` names a file with the words, `.vtt` and `.srt` one with captions.
    """
    words = ((item.value if item else None) or "").strip()
    if item is None or not words:
        return None, ()
    if not words.lower().endswith((".txt", *CAPTION_FILE_ENDINGS)):
        return words, ()
    file = place.file.parent / words
    if words.lower().endswith(CAPTION_FILE_ENDINGS):
        return _captions(ctx, item, file, part, place.file.parent)
    try:
        held = file_text(file, WORDS, place.file.parent)
    except PausewrightError as error:
        ctx.error(ctx.item_place(item), error.message, error.hint, "words-file")
        return words, ()
    if not held.strip():
        hint = "write the words of the recording into it, as plain text in UTF-8"
        ctx.error(ctx.item_place(item), f"the file ‘{words}’ holds no words", hint, "words-file")
        return words, ()
    if len(held) > MOST_WORDS_CHARACTERS:
        ctx.error(
            ctx.item_place(item),
            f"the file ‘{words}’ has {len(held):,} characters, and {MOST_WORDS_CHARACTERS:,} are "
            "read at most",
            "give it the words of this recording only",
            "too-long",
        )
        return words, ()
    return " ".join(held.split()), ()


def _captions(
    ctx: InlineContext, item: Item, file: Path, part: Part, folder: Path
) -> tuple[str, tuple[RecordedCue, ...]]:
    """Return the words and captions of a part of a recording, from its caption file."""
    problems = Problems()
    try:
        held = read_caption_file(file, problems, folder)
    except PausewrightError as error:
        ctx.error(ctx.item_place(item), error.message, error.hint, "words-file")
        return item.value or "", ()
    ctx.problems.extend(problems.all)
    cues = []
    for cue in held.cues:
        lines = tuple(" ".join(row.split()) for row in held.words(cue).split("\n") if row.strip())
        start_s, end_s = Fraction(cue.start_ms, 1000), Fraction(cue.end_ms, 1000)
        if lines and _is_in(part, start_s, end_s):
            cues.append(RecordedCue(start_s, end_s, lines))
            _tell_cut(ctx, cue.place, part, (start_s, end_s))
    if not cues and not problems.errors:
        message = f"the file ‘{item.value}’ holds no captions for this part of the recording"
        hint = "name the recording's own caption file; its times begin with the recording's file"
        ctx.error(ctx.item_place(item), message, hint, "words-file")
    return " ".join(row for cue in cues for row in cue.lines), tuple(cues)


def _is_in(part: Part, start_s: Fraction, end_s: Fraction) -> bool:
    """Return whether the middle of a caption is in a part."""
    from_s, to_s = part
    middle_s = (start_s + end_s) / 2
    return (from_s or 0) <= middle_s and (to_s is None or middle_s < to_s)


def _tell_cut(
    ctx: InlineContext, place: Place, part: Part, span_s: tuple[Fraction, Fraction]
) -> None:
    """Warn of a caption whose words are cut by `from` or `to`."""
    before_s = (part[0] or Fraction(0)) - span_s[0]
    after_s = Fraction(0) if part[1] is None else span_s[1] - part[1]
    if max(before_s, after_s) > CUT_S:
        message = "‘from’ or ‘to’ of the recording lies inside this caption, whose words may be cut"
        hint = "end the caption there, and begin another one"
        ctx.problems.warn(place, message, hint, code="caption-cut")


def read_link(
    ctx: InlineContext, token: Token, place: Place, braces: Braces | None, *, alone: bool
) -> None:
    """Take a link for an include; any other link is a problem."""
    names = {item.name for item in braces.items} if braces else set()
    if names != {"include"}:
        hint = "write [title](file.md){.include} to include a file"
        ctx.error(place, "a link is not part of a script", hint, "link")
    elif not alone:
        hint = "put blank lines before and after it"
        ctx.error(place, "an include stands alone in its paragraph", hint, "include-form")
    elif _path_is_good(ctx, token, place):
        ctx.include = str(token.meta.get("path"))


def _path_is_good(ctx: InlineContext, token: Token, place: Place) -> bool:
    trouble, path = str(token.meta.get("path_problem")), str(token.meta.get("path"))
    if trouble == "blank":
        ctx.error(place, f"the file name ‘{path}’ has a blank in it", f"write (<{path}>)", "path")
    elif trouble or not path:
        ctx.error(place, "the file name cannot be read", "write (folder/file.wav)", "path")
    elif re.match(r"[A-Za-z][A-Za-z0-9+.-]*:|/|\\", path) or ".." in re.split(r"[/\\]", path):
        hint = "put the file into the script's folder and name it from there"
        ctx.error(place, f"‘{path}’ lies outside the script's folder", hint, "path-outside")
    elif "\\" in path:
        hint = "write (" + path.replace("\\", "/") + ")"
        ctx.error(place, f"the file name ‘{path}’ has a backslash in it", hint, "path")
    else:
        return True
    return False
