"""Forms that may hold files: read as they come, files kept for the desk's owner until it ends."""

from __future__ import annotations

import secrets
import shutil
from typing import TYPE_CHECKING

from pausewright.desk.frame import Form, form_of
from pausewright.desk.uploads import Upload
from pausewright.files.writing import make_folder

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from starlette.requests import Request

    from pausewright.desk.room import Room


async def sent_form(request: Request, room: Room) -> tuple[Form, Mapping[str, Path]]:
    """Return the fields of a form, and the files that were handed in, by their field's name.

    Raises
    ------
    OutputError
        If it is no form, or something cannot be written; then nothing of it is left.
    """
    if not request.headers.get("content-type", "").startswith("multipart/form-data"):
        return await form_of(request), {}
    place = room.held() / secrets.token_hex(8)
    make_folder(place, private=True)
    upload = Upload(place)
    try:
        await upload.take(request)
    except BaseException:
        shutil.rmtree(place, ignore_errors=True)
        raise
    return Form(upload.rows), upload.files
