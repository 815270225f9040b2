"""A paper compiled by Typst: the same data give the same bytes, and no other file is read.

The data go to the template as JSON and are never part of its source, so nothing that an author
writes is read as Typst. Faults come back as problems with a place: in the script where the
data come from, or in the template.
"""

from __future__ import annotations

import contextlib
import json
import re
import tempfile
from dataclasses import field
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal, cast

from pausewright.content_mark import sealed
from pausewright.frozen import frozen
from pausewright.package_data import package_folder
from pausewright.papers.typeset.paper_frame import content_mark, frame_data
from pausewright.papers.typeset.template_files import ENDING, FORMULAS, own_templates
from pausewright.problems import Place, Problem, ScriptError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    import typst

    from pausewright.papers.typeset.paper_frame import Frame
    from pausewright.papers.typeset.template_files import Templates

FONT_PACKAGES: Final = ("fontpkg_noto_sans", "fontpkg_atkinson_hyperlegible")
STANDARD: Final = "ua-1"
"""PDF/UA-1 (ISO 14289-1): Typst refuses what it can see is not accessible."""
_MAIN: Final = '#import "{name}": render\n#render(json("data.json"))\n'
_WHERE: Final = re.compile(r"┌─ (?:.*[/\\])?(?P<name>[^/\\\s]+\.typ):(?P<line>\d+):(?P<column>\d+)")
_UNSHOWN: Final = re.compile(r"the text `?\"(?P<text>.+)\"`? could not be displayed")
_PANIC: Final = re.compile(r'panicked with: "?(?P<key>[^":]*): (?P<sentence>[^"]*)')
_NOWHERE: Final = "nowhere"
_PLACES: Final = "query(<place>).map(it => (it.value, it.location().page()))"
END: Final = "end"
"""What the base of all papers marks last."""


@frozen
class Sources:
    """Where in the author's files the data come from, so that a fault has a place."""

    script: Place
    """Of the whole: where nothing closer is known."""
    keys: Mapping[str, Place] = field(default_factory=dict)
    """By what a template calls it in a panic: "question 7"."""
    texts: Sequence[tuple[str, Place]] = ()
    """Texts that are printed."""
    formulas: Sequence[tuple[str, Place]] = ()
    """Formulas as Typst reads them."""
    pictures: Mapping[str, Place] = field(default_factory=dict)
    """By the names that the data give them."""


@frozen
class Paper:
    """A compiled paper."""

    pdf: bytes
    mark: str
    """Its content mark."""
    places: tuple[tuple[str, int], ...]
    """What a template marked with `place-mark`, in reading order, and the page it is on, from 1."""

    @property
    def n_pages(self) -> int:
        """How many pages it has."""
        return max((page for _, page in self.places), default=1)


def compile_paper(
    template: str,
    frame: Frame,
    data: Mapping[str, object],
    sources: Sources,
    *,
    pictures: Mapping[str, bytes] | None = None,
    templates: Templates | None = None,
) -> Paper:
    """Return a paper as PDF.

    Parameters
    ----------
    template : name of the template without ending: "answer-sheet"
    frame : what stands on every page
    data : what the template is given besides, as JSON values; `frame` is taken
    sources : where the data come from
    pictures : bytes of picture files, by the names in the data; a name keeps the file's ending
    templates : a centre's own; ours unless given

    Raises
    ------
    ScriptError
        If the data, a picture or a template cannot be set; with its place.
    """
    import typst  # noqa: PLC0415  25 MB of memory, for papers alone

    shown = templates or own_templates()
    held = dict(pictures or {})
    mark = content_mark(frame, data, held, shown.digest)
    whole = {**data, "frame": frame_data(frame, mark)}
    world = _World(shown, held)
    main = _MAIN.format(name=template + ENDING)
    try:
        pdf = world.pdf(main, whole, STANDARD)
        found = world.value(main, whole, _PLACES)
    except typst.TypstError as error:
        raise ScriptError([_problem(error, world, sources)]) from error
    return Paper(sealed(pdf), mark, tuple((str(key), int(page)) for key, page in json.loads(found)))


@frozen
class _World:
    """All that Typst may see."""

    templates: Templates
    pictures: Mapping[str, bytes]

    def pdf(self, main: str, data: Mapping[str, object], *standards: Literal["ua-1"]) -> bytes:
        """Return a document whose source is `main`."""
        import typst  # noqa: PLC0415  as above

        with self._root() as root:
            return typst.compile(
                self._files(main, data),
                root=root,
                font_paths=_fonts(),
                ignore_system_fonts=True,
                format="pdf",
                pdf_standards=list(standards),
                package_path=root / _NOWHERE,
                package_cache_path=root / _NOWHERE,
                timestamp=0,
            )

    def value(self, main: str, data: Mapping[str, object], expression: str) -> str:
        """Return what an expression of Typst comes to in the document, as JSON."""
        import typst  # noqa: PLC0415  as above

        with self._root() as root:
            return typst.eval(
                self._files(main, data),
                expression,
                root=root,
                font_paths=_fonts(),
                ignore_system_fonts=True,
                package_path=root / _NOWHERE,
                package_cache_path=root / _NOWHERE,
            )

    @contextlib.contextmanager
    def _root(self) -> Iterator[Path]:
        """Give the one folder that Typst may read: empty, or with pictures that are no text.

        In memory it takes text only, SVG pictures included.
        """
        with tempfile.TemporaryDirectory(prefix="pausewright-") as name:
            root = Path(name)
            for picture, content in self.pictures.items():
                if not _is_text(content):
                    (root / picture).parent.mkdir(parents=True, exist_ok=True)
                    (root / picture).write_bytes(content)
            yield root

    def _files(self, main: str, data: Mapping[str, object]) -> Path:
        files = {name: text.encode() for name, text in self.templates.texts.items()}
        files |= {name: one for name, one in self.pictures.items() if _is_text(one)}
        files["data.json"] = json.dumps(data, ensure_ascii=False, sort_keys=True).encode()
        files["main.typ"] = main.encode()
        return cast("Path", files)  # its types leave out several files, which its manual has

    def refuses(self, main: str, data: Mapping[str, object]) -> str:
        """Return why Typst refuses a piece of source by itself, or ""."""
        import typst  # noqa: PLC0415  as above

        try:
            self.pdf(main, data)
        except typst.TypstError as error:
            return str(error.message)
        return ""


def _is_text(content: bytes) -> bool:
    try:
        content.decode()
    except UnicodeDecodeError:
        return False
    return True


@cache
def _font_folders() -> tuple[Path, ...]:
    return tuple(package_folder(name) / "files" for name in FONT_PACKAGES)


@cache
def _fonts() -> typst.Fonts:
    """Return the fonts of our packages and Typst's own; those of the system are never asked."""
    import typst  # noqa: PLC0415  as above

    return typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=True,
        font_paths=list(_font_folders()),
    )


def _problem(error: typst.TypstError, world: _World, sources: Sources) -> Problem:
    """Return what is wrong, at its place in the script if its data are at fault."""
    message = str(error.message)
    if told := _PANIC.search(message):
        place = sources.keys.get(told["key"], sources.script)
        sentence, _, hint = told["sentence"].partition(" | ")
        return Problem(place, f"{told['key']} {sentence}", hint, code="paper-layout")
    if unshown := _UNSHOWN.search(message):
        return Problem(
            _place_of(unshown["text"], sources),
            f"no font of the papers has ‘{unshown['text']}’",
            "write it with other signs, or put it into a picture",
            code="paper-glyph",
        )
    return (
        _formula_problem(world, sources.formulas)
        or _picture_problem(world, sources)
        or _template_problem(error, message, world, sources)
    )


def _place_of(text: str, sources: Sources) -> Place:
    """Return where a sign stands; a line end of a text is a line of the file."""
    for shown, place in sources.texts:
        at = next((at for at in (shown.find(sign) for sign in (text, text[:1])) if at >= 0), -1)
        if at >= 0:
            above = shown[:at].count("\n")
            column = place.column + at if not above else at - shown.rfind("\n", 0, at)
            return Place(place.file, place.line + above, column, len(text))
    return sources.script


def _formula_problem(world: _World, formulas: Iterable[tuple[str, Place]]) -> Problem | None:
    main = f'#import "{FORMULAS}": formula\n#formula(json("data.json"))\n'
    for math, place in formulas:
        why = world.refuses(main, {"math": math, "alt": "formula"})
        if why:
            hint = "write it in another way, or put it into a picture"
            return Problem(place, f"this formula cannot be printed: {why}", hint, code="paper-math")
    return None


def _picture_problem(world: _World, sources: Sources) -> Problem | None:
    main = '#let d = json("data.json")\n#image(d.name, alt: "picture")\n'
    for name in world.pictures:
        why = world.refuses(main, {"name": name})
        if why:
            place = sources.pictures.get(name, sources.script)
            hint = "save it again as SVG, PNG or JPEG"
            return Problem(place, f"the picture cannot be read: {why}", hint, code="paper-picture")
    return None


def _template_problem(
    error: typst.TypstError, message: str, world: _World, sources: Sources
) -> Problem:
    for found in _WHERE.finditer(str(error.diagnostic)):
        path = world.templates.paths.get(found["name"])
        if path is not None:
            place = Place(path, int(found["line"]), int(found["column"]) + 1)
            hint = "; ".join(map(str, error.hints)) or "correct the template, or take ours again"
            return Problem(place, f"the template is at fault: {message}", hint, code="template")
    hint = "send us the script with a made-up question that shows it"
    return Problem(sources.script, f"Typst refuses a paper: {message}", hint, code="paper-refused")
