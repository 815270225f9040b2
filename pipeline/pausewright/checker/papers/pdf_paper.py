"""A paper as PDF, as it is: the text of its pages, its headings and descriptions, its mark.

The mark stands for what was printed, so it counts only while the file is the one that was built:
its seal is that of its bytes, and every page prints the mark.
"""

from __future__ import annotations

import io
import logging
import re
from typing import TYPE_CHECKING, Any, Final

from pausewright.content_mark import heading_of, seal_state, text_mark
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import PAPER
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from pausewright.content_mark import Heading, SealState

ENDING: Final = ".pdf"
_KEYWORD: Final = re.compile(r"mark:([0-9a-f]{64})")
_PRINTED: Final = re.compile(r"\bmark ([0-9A-F]{8})\b")
_PAGE_OF: Final = re.compile(r"(?m)\b[^\W\d]+ (\d{1,4}) [^\W\d]{1,4} (\d{1,4})$")
"""What numbers a page, in any of our languages: "Page 1 of 2"."""
MOST_PAGES: Final = 2000
"""More than 10,000 questions need."""
MOST_NODES: Final = 400_000
"""Of a structure tree: 10,000 questions have about 200,000."""


@frozen
class PdfHeading:
    """A heading, as the file's own list of headings has it."""

    text: str
    page: int
    """From 1."""


@frozen
class PdfPaper:
    """What can be read in a paper."""

    pages: tuple[str, ...]
    """The text of each page."""
    headings: tuple[PdfHeading, ...]
    descriptions: tuple[str, ...]
    """Alternative texts of pictures and formulas, and other texts of the structure tree."""
    title: str
    keyword_mark: str
    """The content mark in the keywords; "" for none."""
    seal: SealState = "missing"

    @property
    def text(self) -> str:
        """All that can be read, on pages and beside them."""
        return "\n".join((self.title, *self.pages, *self.descriptions))

    def text_but_numbers(self, page_number: str) -> str:
        """Return `text` without what numbers each page, as "Page {page} of {pages}" says it."""
        n = len(self.pages)
        pages = (
            text.replace(page_number.format(page=page, pages=n), "", 1)
            for page, text in enumerate(self.pages, 1)
        )
        return "\n".join((self.title, *pages, *self.descriptions))

    @property
    def heading(self) -> Heading | None:
        """Version and edition that its first page names."""
        return heading_of("\n".join(self.pages))

    @property
    def mark(self) -> str:
        """The content mark, if the file is as it was built and every page prints its beginning."""
        if self.seal != "whole":
            return ""
        wanted = self.keyword_mark[:8].upper()
        printed = [found.group(1) for page in self.pages if (found := _PRINTED.search(page))]
        is_on_each = len(printed) == len(self.pages) and set(printed) == {wanted}
        return self.keyword_mark if wanted and is_on_each else ""

    @property
    def unlike_built(self) -> str:
        """What is not as it was built, in words; "" if nothing is."""
        if self.seal == "whole":
            return ""
        if self.seal == "missing":
            return "it has no seal of a paper that was built"
        numbers = [found[-1] for text in self.pages if (found := _PAGE_OF.findall(text))]
        n = len(self.pages)
        if len(numbers) == n and len({pages for _, pages in numbers}) == 1:
            n_built = int(numbers[0][1])
            own = [int(page) for page, _ in numbers]
            if n < n_built:
                return f"it has {n} of {n_built} pages"
            if own != [*range(1, n + 1)]:
                return f"its pages are numbered {', '.join(map(str, own))}"
        return "something was changed, added or covered in it, or another program saved it"


@frozen
class ReadPaper:
    """A paper of any kind: what it shows, what it says that it is, its content mark."""

    text: str
    heading: Heading | None
    mark: str
    unlike_built: str = ""
    """What shows that it is not the file that was built; then its mark says nothing."""


def read_paper(path: Path) -> ReadPaper:
    """Return a paper, as PDF or as text.

    Raises
    ------
    TrackError
        If it cannot be read.
    """
    raw = file_bytes(path, PAPER)
    if raw.startswith(b"%PDF-"):
        paper = pdf_paper(raw, path.name)
        return ReadPaper(paper.text, paper.heading, paper.mark, paper.unlike_built)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as why:
        raise TrackError(f"‘{path.name}’ is no text", "give a paper as it was built") from why
    return ReadPaper(text, heading_of(text), text_mark(text))


def pdf_paper(raw: bytes, name: str) -> PdfPaper:
    """Return a PDF's text and what stands beside it.

    Raises
    ------
    TrackError
        If it is no PDF that can be read.
    """
    import pypdf  # noqa: PLC0415  0.1 s, for papers alone

    # what it says of a damaged file would reach the terminal; here it is told in words of ours
    logging.getLogger("pypdf").setLevel(logging.CRITICAL + 1)
    try:
        reader = pypdf.PdfReader(io.BytesIO(raw))
        if len(reader.pages) > MOST_PAGES:
            raise TrackError(f"‘{name}’ has more than {MOST_PAGES:,} pages", "give a paper")
        information: Mapping[str, object] = reader.metadata or {}
        keywords = str(information.get("/Keywords", ""))
        return PdfPaper(
            tuple(page.extract_text() for page in reader.pages),
            tuple(_headings(reader, reader.outline)),
            tuple(_descriptions(reader)),
            str(information.get("/Title", "")),
            _mark_of(keywords),
            seal_state(raw, keywords),
        )
    except TrackError:
        raise
    except Exception as why:  # of many kinds in a file that is spoiled
        raise TrackError(
            f"‘{name}’ is no PDF that can be read", "give the paper as it was built"
        ) from why


def _mark_of(keywords: str) -> str:
    found = _KEYWORD.search(keywords)
    return found[1] if found else ""


def _headings(reader: Any, outline: Any) -> Iterator[PdfHeading]:  # noqa: ANN401  pypdf's own lists
    for one in outline:
        if isinstance(one, list):
            yield from _headings(reader, one)
        else:
            number = reader.get_destination_page_number(one)
            yield PdfHeading(str(one.title), (number or 0) + 1)


def _descriptions(reader: Any) -> Iterator[str]:  # noqa: ANN401  pypdf's own objects
    """Walk the texts that a structure tree holds beside the pages."""
    root = reader.trailer["/Root"].get("/StructTreeRoot")
    waiting = [root.get_object()] if root is not None else []
    n_nodes = 0
    while waiting and n_nodes < MOST_NODES:
        node = waiting.pop()
        n_nodes += 1
        if not hasattr(node, "get"):
            continue
        for name in ("/Alt", "/ActualText", "/E", "/T"):
            text = node.get(name)
            if text:
                yield str(text)
        kids = node.get("/K")
        kids = kids.get_object() if kids is not None else []
        waiting += [kid.get_object() for kid in (kids if isinstance(kids, list) else [kids])]
