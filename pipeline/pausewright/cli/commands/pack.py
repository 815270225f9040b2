"""`pausewright pack`."""

from pathlib import Path
from typing import Annotated

import typer

from pausewright.cli.late import loaded_late
from pausewright.cli.printing import tell, tell_json
from pausewright.cli.shared_options import JsonOption, PasswordOption

with loaded_late():
    from pausewright.deliver import pack as packing
    from pausewright.tasks import passwords


def pack(
    room: Annotated[
        Path, typer.Argument(metavar="ROOM", help="A room's folder that needs laid out.")
    ],
    *,
    target: Annotated[
        Path, typer.Option("--as", metavar="FILE", help="NAME.zip, or a folder; not there yet.")
    ],
    password_file: PasswordOption = None,
    as_json: JsonOption = False,
) -> None:
    """Pack what one room gets as one zip or folder, encrypted on request.

    Every file must be as `needs` laid it out. Who sits where is in no pack. `pausewright check`
    reads a pack.
    """
    password = "" if password_file is None else passwords.read_password(password_file)
    found = packing.pack(room, target, password)
    if as_json:
        tell_json(
            {
                "target": str(found.target),
                "n_files": found.n_files,
                "n_bytes": found.n_bytes,
                "is_encrypted": found.is_encrypted,
                "sha256": found.sha256,
            }
        )
        return
    how = "encrypted" if found.is_encrypted else "not encrypted"
    tell(f"wrote {found.target}: {found.n_files} files, {found.n_bytes / 1e6:.1f} MB, {how}")
    if found.sha256:
        tell(f"SHA-256 {found.sha256}")
    if found.is_encrypted:
        tell("Tell the password by another way than the pack, never in the same message.")
