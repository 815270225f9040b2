"""The desk in Firefox ESR, driven by puppeteer-core over WebDriver BiDi as by a person's hand."""

from __future__ import annotations

import contextlib
import json
import subprocess
from typing import TYPE_CHECKING, Any

from support.browser.firefox import DRIVER, FIREFOX
from support.browser.screen_modules import NODE
from support.desks.client import way_in
from support.desks.screens import PAGE_MS

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from support.desks.screens import Thing

HAND = DRIVER.with_name("hand.mjs")
SIZE = {"width": 1280, "height": 900}


class FirefoxScreen:
    """A Firefox that is told line by line what to do; it ends with its input."""

    def __init__(self) -> None:
        """Start it."""
        command = [str(NODE), str(HAND), str(FIREFOX)]
        self._hand = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, encoding="utf-8"
        )

    def end(self) -> None:
        """End the browser."""
        if self._hand.stdin is not None:
            self._hand.stdin.close()
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._hand.wait(60)
        self._hand.kill()
        self._hand.wait()
        if self._hand.stdout is not None:
            self._hand.stdout.close()

    @contextlib.contextmanager
    def at_desk(self, folder: Path) -> Iterator[FirefoxScreen]:
        """Let it in; what it asks elsewhere, or complains of, fails the test."""
        port, key = way_in(folder)
        own = f"http://127.0.0.1:{port}/"
        is_in, version = self._do("open", url=f"{own}open?key={key}", own=own, size=SIZE)
        assert is_in, version
        assert version.lower().startswith("firefox"), version
        try:
            yield self
        except BaseException:
            self._do("close")
            raise
        complaints = self._do("close")
        assert complaints == [], complaints

    def press(self, key: str) -> int:
        """Press a key, or some at once; Tab goes on through the browser's own buttons."""
        return int(self._do("press", keys=key.split("+")))

    def type(self, words: str) -> None:
        """Press a key for each letter."""
        self._do("type", words=words)

    def paste(self, words: str) -> None:
        """Put words in place of what is marked."""
        assert self._do("paste", words=words), "nothing takes words here"

    def enter(self) -> None:
        """Press Enter, and wait for the page to which it leads."""
        self._do("enter")

    def is_shown(self, thing: Thing, most_ms: int = PAGE_MS) -> bool:
        """Wait for something; return whether it came."""
        return bool(self._do("wait", wanted=_named(thing), most_ms=most_ms))

    def is_at(self, thing: Thing) -> bool:
        """Return whether it has the focus."""
        return bool(self._do("isAt", wanted=_named(thing)))

    def is_ticked(self, thing: Thing) -> bool:
        """Return whether a box is ticked."""
        return bool(self._do("isTicked", wanted=_named(thing)))

    def text(self, query: str) -> str:
        """Return the words that are seen in a part of the page, when it is whole."""
        return str(self._do("text", query=query))

    def _do(self, do: str, **told: object) -> Any:
        assert self._hand.stdin is not None
        assert self._hand.stdout is not None
        self._hand.stdin.write(json.dumps({"do": do, **told}) + "\n")
        self._hand.stdin.flush()
        line = self._hand.stdout.readline()
        assert line, "Firefox has ended"
        answer = json.loads(line)
        assert "wrong" not in answer, answer
        return answer["gave"]


def _named(thing: Thing) -> dict[str, object]:
    return {"kind": thing.kind, "name": thing.name, "exact": thing.exact}
