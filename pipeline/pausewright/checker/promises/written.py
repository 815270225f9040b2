"""Paragraphs as they are written: words, marks at which pauses may stand, what may be read."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from pausewright.checker.promises.events import Mark, Shown, Wild, solid
from pausewright.frozen import frozen
from pausewright.script.inlines import plain
from pausewright.script.model import Emphasis, Pause, Sound, Span, Text, Tone
from pausewright.wording.sentence_ends import inner_ends

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from fractions import Fraction

    from pausewright.problems import Place
    from pausewright.script.declared import CaptionPolicy, Settings, ToneSpec
    from pausewright.script.model import Inline

_CLAUSE: Final = re.compile(r"[,;:][”\"’')]*(?=\s)|(?<=\s)[–—](?=\s)")
_WORD: Final = re.compile(r"\w+")
_FIGURE: Final = re.compile(r"\d")
_YEAR: Final = re.compile(r"[12]\d{3}")


@dataclass(slots=True)
class Written:
    """A paragraph as written."""

    chunks: list[str | Wild] = field(default_factory=list)
    shown: list[Shown] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    tones: list[ToneSpec] = field(default_factory=list)
    recordings: list[str] = field(default_factory=list)
    pauses: list[tuple[int, Fraction, Place]] = field(default_factory=list)
    """Solid signs before each pause of the author, its length and place."""
    begins_with_words: bool = False
    ends_in_pause: bool = False


@frozen
class _Piece:
    text: str
    place: Place
    captions: CaptionPolicy | None = None
    is_whole: bool = False
    """Whether it is said as one thing, so that no mark in it parts anything."""
    shown: str | None = None
    say: str = ""
    states: str = ""


def written(
    nodes: Sequence[Inline], settings: Settings, *, asks: bool, is_shown: bool, reading: int = 0
) -> Written:
    """Return what is written in inlines.

    Parameters
    ----------
    reading : which of the takes is heard where a recording has one for each reading
    asks : whether its words ask, and do not instruct
    is_shown : whether its words may be read where no bracket inside says otherwise
    """
    found = Written()
    row: list[_Piece] = []
    n_solid = 0
    pieces = [*_pieces(nodes, None)]
    found.begins_with_words = _has_words_first(pieces)
    last: object = None
    for node in [*pieces, None]:
        before = last
        if not isinstance(node, _Piece) or node.text.strip():
            last = node
        if settings.given is not None and isinstance(node, Sound) and isinstance(before, Sound):
            found.marks += _mark_between(before, node, n_solid)
        if isinstance(node, _Piece):
            row.append(node)
            found.ends_in_pause &= not solid(node.text)
            is_visible = {"everything": True, "nothing": False, "instructions": not asks}.get(
                node.captions or "", is_shown
            )
            words = node.text if node.shown is None else node.shown
            found.shown.append(Shown(words, is_visible))
            if not is_visible and node.say:
                found.shown.append(Shown(node.say, is_visible=False))
            found.chunks.append(Wild(node.states, node.place) if node.states else node.text)
            continue
        found.marks += _marks(row, n_solid)
        n_solid += sum(len(solid(one.text)) for one in row if not one.states)
        row = []
        found.ends_in_pause = found.ends_in_pause if node is None else False
        if isinstance(node, Pause):
            found.ends_in_pause = True
            found.pauses.append((n_solid, node.pause_s, node.place))
        elif isinstance(node, Tone) and node.name in settings.tones:
            found.tones.append(settings.tones[node.name])
            found.shown.append(Shown(node.name, is_shown))
        elif isinstance(node, Sound):
            found.recordings.append(recording_mark(node.of_reading(reading)))
            found.shown.append(Shown(f"{node.words or ''} {node.description}", is_shown))
            if node.pause_after_s is not None:
                found.ends_in_pause = True
                found.pauses.append((n_solid, node.pause_after_s, node.place))
    return found


def ends_with_words(nodes: Sequence[Inline]) -> bool:
    """Say whether words, no pause and no sound, are last in inlines."""
    return _has_words_first([*_pieces(nodes, None)][::-1])


def _has_words_first(pieces: Sequence[_Piece | Pause | Tone | Sound]) -> bool:
    for one in pieces:
        if not isinstance(one, _Piece):
            return False
        if solid(one.text):
            return True
    return False


def recording_mark(sound: Sound) -> str:
    """Return what tells one part of a recording from another."""
    return f"{sound.path} {sound.from_s} {sound.to_s}"


def words(text: str) -> set[str]:
    """Return the words and figures of a text, in small letters."""
    return {one.casefold() for one in _WORD.findall(text)}


def _pieces(
    nodes: Sequence[Inline], captions: CaptionPolicy | None
) -> Iterator[_Piece | Pause | Tone | Sound]:
    for node in nodes:
        if isinstance(node, Text):
            yield _Piece(node.text.replace("\n", " "), node.place, captions)
        elif isinstance(node, Emphasis):
            yield from _pieces(node.children, captions)
        elif isinstance(node, Span):
            inner = node.captions or captions
            is_whole = bool(node.say or node.ipa or node.spell or node.digits or node.read_as)
            if is_whole or node.states or node.shown is not None:
                text = plain(node.children).replace("\n", " ")
                is_one = is_whole or bool(node.states) or node.shown is not None
                yield _Piece(
                    text, node.place, inner, is_one, node.shown, node.say or "", node.states or ""
                )
            else:
                yield from _pieces(node.children, inner)
        elif isinstance(node, Pause | Tone | Sound):
            yield node


def _marks(row: Sequence[_Piece], n_before: int) -> Iterator[Mark]:
    """Give the marks of a row of pieces that nothing interrupts."""
    text = "".join(one.text for one in row)
    starts: list[tuple[int, _Piece]] = []
    at = 0
    for one in row:
        starts.append((at, one))
        at += len(one.text)

    def owner(offset: int) -> _Piece:
        return [one for start, one in starts if start <= offset][-1]

    def n_solid(end: int) -> int:
        return n_before + sum(
            len(solid(one.text[: max(0, end - start)])) for start, one in starts if not one.states
        )

    ends = [*inner_ends(text)]
    found = [("sentence", end) for end in ends]
    found += [("clause", one.end()) for one in _CLAUSE.finditer(text)]
    for kind, end in sorted(found, key=lambda pair: pair[1]):
        before, after = text[:end], text[end:]
        if not solid(before) or not solid(after) or (kind == "clause" and end in ends):
            continue
        piece = owner(end - 1)
        yield Mark(kind, n_solid(end), piece.place, _excuse(before, after, piece, kind))


def _mark_between(before: Sound, after: Sound, n_before: int) -> Iterator[Mark]:
    """Give the mark with which the words of a stretch of a given recording end, if it is one."""
    mark = re.search(r"([.!?…])?([,;:–—])?[\s\"'”’)»]*$", before.words or "")
    if mark and (mark[1] or mark[2]):
        yield Mark("clause" if mark[2] else "sentence", n_before, after.place)


def _excuse(before: str, after: str, piece: _Piece, kind: str) -> str:
    """Return why a pause at a mark is not promised; "" where it is."""
    if piece.is_whole and kind == "clause":
        return "it stands in words that are said as one thing"
    earlier, later = before.split(), after.split()
    left, right = solid(earlier[-1]) or solid("".join(earlier[-2:])), solid(later[0])
    if kind == "clause" and (_is_letter(left) or _is_letter(right)):
        return "a single letter stands beside it"
    if kind == "clause" and _FIGURE.search(left) and _FIGURE.search(solid("".join(later[:2]))[:1]):
        return "figures stand on both sides"
    if kind == "clause" and _YEAR.fullmatch(right):
        return "a year stands after it"
    return ""


def _is_letter(word: str) -> bool:
    return len(word) == 1 and word.isalpha() and word.isupper() and word != "I"
