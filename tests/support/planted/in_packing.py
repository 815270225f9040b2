"""Faults in what belongs together: packing list, tags, chapters, records."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from pausewright.deliver.outputs import packing_list_output, record_output, track_output

from support.planted.base import Fault, Plant, after, changed


def _list(change: Any) -> Plant:
    """Return a fault in the text of the packing list."""
    return changed(packing_list_output, "record_text", after(change))


def _tags(**fields: Any) -> Plant:
    return changed(track_output, "tags_of", after(lambda tags: replace(tags, **fields)))


def _one_byte(right: Any) -> Any:
    """Hash a file with one byte changed."""
    return lambda *files, **more: right(*files, **more)[::-1]


def _changed_later(right: Any) -> Any:
    """Change captions after the list was made."""

    def packing_list(folder: Any, **more: Any) -> Any:
        text = right(folder, **more)
        captions = next(folder.glob("*.vtt"))
        captions.write_text(captions.read_text("utf-8") + "\n", "utf-8")
        return text

    return packing_list


def _without_captions(text: str) -> str:
    rows = text.split("\n")
    at = next(i for i, row in enumerate(rows) if ".vtt" in row)
    start = max(i for i in range(at) if rows[i].strip() == "{")
    end = min(i for i in range(at, len(rows)) if rows[i].strip().startswith("}"))
    return "\n".join(rows[:start] + rows[end + 1 :])


FAULTS: Final = (
    Fault("packing", "a hash of other bytes in the packing list",
          changed(packing_list_output, "sha256_of", _one_byte), found_by="folder"),
    Fault("packing", "another label in the packing list",
          _list(lambda text: text.replace('"version_label": "A"', '"version_label": "B"')),
          found_by="folder"),
    Fault("packing", "a track listed at half its length", changed(
        packing_list_output, "packing_list", lambda right: lambda folder, **more: right(
            folder, **{**more, "n_samples": more["n_samples"] // 2})), found_by="folder"),
    Fault("packing", "a file left out of the packing list", _list(_without_captions),
          found_by="folder"),
    Fault("packing", "a file changed after the list was made",
          changed(packing_list_output, "packing_list", _changed_later), found_by="folder"),
    Fault("packing", "another edition in the packing list", changed(
        packing_list_output, "packing_list", lambda right: lambda folder, **more: right(
            folder, **{**more, "edition": "ZZZZZZ"})), found_by="folder"),
    Fault("packing", "another label in the tags", _tags(version_label="Z"), "readings"),
    Fault("packing", "another edition in the tags", _tags(edition="ZZZZZZ")),
    Fault("packing", "chapters a second early", changed(
        track_output, "chapters", after(lambda marks: tuple(
            replace(one, start_ms=max(0, one.start_ms - 1000)) for one in marks)))),
    Fault("packing", "chapters under each other's names", changed(
        track_output, "chapters", after(lambda marks: tuple(
            replace(one, title=other.title)
            for one, other in zip(marks, reversed(marks), strict=True))))),
    Fault("packing", "a paper recorded with another hash",
          changed(record_output, "sha256_of", _one_byte), found_by="folder"),
)  # fmt: skip
