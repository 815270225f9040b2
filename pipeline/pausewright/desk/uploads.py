"""A file that is handed to the desk: written as it comes, beside the tests, for its owner only."""

from __future__ import annotations

import os
import re
import shutil
from typing import TYPE_CHECKING, Final

from python_multipart import MultipartParser
from python_multipart.exceptions import FormParserError
from python_multipart.multipart import parse_options_header

from pausewright.files.writing import unwritable
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request

ROOM_LEFT_BYTES: Final = 500_000_000
"""Must be free on the disk after it, for the work itself."""
_MOST_FIELD_BYTES: Final = 10_000
_MOST_PARTS: Final = 60
_NAME: Final = re.compile(r"[^\w.() -]+")
_LONGEST_NAME: Final = 80


class Upload:
    """The parts of one form: files, written into a folder, and short fields."""

    def __init__(self, folder: Path) -> None:
        """Take the folder, which is there; files get plain names in it."""
        self.rows: list[tuple[str, str]] = []
        self.files: dict[str, Path] = {}
        self._folder = folder
        self._headers: dict[bytes, bytes] = {}
        self._field = b""
        self._value = b""
        self._name = ""
        self._content = bytearray()
        self._descriptor: int | None = None
        self._n_parts = 0

    @property
    def fields(self) -> dict[str, str]:
        """The short fields."""
        return dict(self.rows)

    @property
    def file(self) -> Path | None:
        """The first file; None if none is chosen."""
        return next(iter(self.files.values()), None)

    async def take(self, request: Request) -> None:
        """Read a request to its end.

        Raises
        ------
        OutputError
            If it is no such form, or the file cannot be written.
        """
        kind, options = parse_options_header(request.headers.get("content-type", ""))
        boundary = options.get(b"boundary", b"")
        if kind != b"multipart/form-data" or not boundary:
            raise OutputError("this form holds no file", "choose a file first")
        length = int(request.headers.get("content-length") or 0)
        if shutil.disk_usage(self._folder).free < length + ROOM_LEFT_BYTES:
            raise OutputError("the disk has no room for this file", "make room on the disk")
        parser = MultipartParser(
            boundary,
            {
                "on_part_begin": self._begin,
                "on_header_field": self._header_name,
                "on_header_value": self._header_value,
                "on_header_end": self._header_end,
                "on_headers_finished": self._headers_end,
                "on_part_data": self._data,
                "on_part_end": self._end,
            },
        )
        try:
            async for chunk in request.stream():
                parser.write(chunk)
            parser.finalize()
        except FormParserError as error:
            raise OutputError("the form came damaged", "try it again") from error
        except OSError as error:
            raise unwritable(self._folder, error, "make room on the disk") from error
        finally:
            self._close()

    def _begin(self) -> None:
        self._headers, self._field, self._value = {}, b"", b""
        self._content = bytearray()
        self._n_parts += 1
        if self._n_parts > _MOST_PARTS:
            raise FormParserError("too many parts")

    def _header_name(self, data: bytes, start: int, end: int) -> None:
        self._field += data[start:end]

    def _header_value(self, data: bytes, start: int, end: int) -> None:
        self._value += data[start:end]

    def _header_end(self) -> None:
        self._headers[self._field.lower()] = self._value
        self._field = self._value = b""

    def _headers_end(self) -> None:
        _, options = parse_options_header(self._headers.get(b"content-disposition", b""))
        self._name = options.get(b"name", b"").decode("utf-8", "replace")
        if b"filename" not in options:
            return
        given = options[b"filename"].decode("utf-8", "replace")
        if given and self._name not in self.files:
            file = self._folder / plain_name(given)
            if file in self.files.values():
                file = file.with_name(f"{len(self.files)}-{file.name}")
            self.files[self._name] = file
            flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
            self._descriptor = os.open(file, flags, 0o600)

    def _data(self, data: bytes, start: int, end: int) -> None:
        if self._descriptor is not None:
            part = memoryview(data)[start:end]
            while part:
                part = part[os.write(self._descriptor, part) :]
            return
        self._content += data[start:end]
        if len(self._content) > _MOST_FIELD_BYTES:
            raise FormParserError("a field is too long")

    def _end(self) -> None:
        if self._descriptor is None and self._name not in self.files:
            self.rows.append((self._name, self._content.decode("utf-8", "replace")))
        self._close()

    def _close(self) -> None:
        if self._descriptor is not None:
            os.close(self._descriptor)
            self._descriptor = None


def plain_name(given: str) -> str:
    """Return the last part of a name without what acts in a path or on a screen."""
    last = given.replace("\\", "/").rpartition("/")[2]
    name = _NAME.sub("_", last).strip(" .")[-_LONGEST_NAME:].strip(" .")
    return name or "file"
