"""The desk without a terminal: what launchers start, and `pausewright-desk`."""

from __future__ import annotations

import os
import sys
import tempfile
import webbrowser
from pathlib import Path

from pausewright.desk.replies import plain_page
from pausewright.desk.start import open_desk
from pausewright.offline import connections_refused
from pausewright.problems import PausewrightError


@connections_refused()
def main() -> None:
    """Open the desk of the folder that is named, else of the one for tests among the documents."""
    _give_streams()
    try:
        open_desk(_folder())
    except (PausewrightError, OSError) as error:
        hint = getattr(error, "hint", "")
        _show(f"The desk could not be opened: {error}. {hint}")
        raise SystemExit(2) from None


def _folder() -> Path:
    """Return the folder that was named, or one for tests, made if it is not there."""
    if len(sys.argv) > 1:
        return Path(sys.argv[1])
    documents = Path.home() / "Documents"
    folder = (documents if documents.is_dir() else Path.home()) / "Tests by ear"
    folder.mkdir(exist_ok=True)
    return folder


def _give_streams() -> None:
    """Let libraries print into nothing: a process without a terminal may have no streams."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, os.fdopen(os.open(os.devnull, os.O_WRONLY), "w", encoding="utf-8"))


def _show(sentence: str) -> None:
    """Show a sentence in the browser: there is nothing else to show it on."""
    handle, name = tempfile.mkstemp(prefix="pausewright-", suffix=".html")
    with os.fdopen(handle, "wb") as file:
        file.write(bytes(plain_page(200, sentence).body))
    webbrowser.open(Path(name).as_uri())


if __name__ == "__main__":
    main()
