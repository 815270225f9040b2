"""Signatures that others can verify: Ed25519 (RFC 8032), detached, beside the script.

The only module that imports `cryptography`, an optional package. Each statement is a file of its
own; its signature is 64 bytes beside it. `openssl pkeyutl -verify -pubin -inkey public.pem -rawin
-in FILE.json -sigfile FILE.json.sig` verifies it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.files.writing import unwritable, write_file
from pausewright.intake.file_kinds import SIGNING_KEY
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import OutputError
from pausewright.records.record_files import record_text

try:
    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric import ed25519

    _IS_INSTALLED = True
except ImportError:  # it is optional
    _IS_INSTALLED = False

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.records.signed_shapes import Signature

_HINT: Final = "make one: openssl genpkey -algorithm ed25519 -out key.pem"


def signed_by_key(
    script: Path, signatures: Sequence[Signature], key_file: Path
) -> tuple[Path, ...]:
    """Write a statement and its signature for each; return both, in that order.

    Raises
    ------
    OutputError
        If `cryptography` is not installed, the file holds no Ed25519 key without a pass phrase, or
        something cannot be written.
    FileError
        If the key cannot be read.
    """
    key = _key(key_file)
    written: list[Path] = []
    for one in signatures:
        name = f"{script.stem}_{one.version_label}_{one.edition}_{one.signed_for}.json"
        statement = script.with_name(name)
        text = record_text(one)
        try:
            write_file(statement, text)
            write_file(statement.with_name(f"{name}.sig"), key.sign(text.encode()))
        except OSError as error:
            raise unwritable(statement, error) from error
        written += [statement, statement.with_name(f"{name}.sig")]
    return tuple(written)


def _key(file: Path) -> ed25519.Ed25519PrivateKey:
    if not _IS_INSTALLED:
        raise OutputError(
            "signing with a key needs the package cryptography",
            "install it: pip install 'pausewright[key]', or sign without --key",
        )
    content = file_bytes(file, SIGNING_KEY)
    try:
        found = serialization.load_pem_private_key(content, password=None)
    except (ValueError, TypeError) as error:
        raise OutputError(f"‘{file}’ holds no key that can be used ({error})", _HINT) from error
    if not isinstance(found, ed25519.Ed25519PrivateKey):
        raise OutputError(f"the key in ‘{file}’ is not of the kind Ed25519", _HINT)
    return found
