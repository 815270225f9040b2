"""What a test's text was earlier on this day: looked at beside what it is now, and put back."""

from __future__ import annotations

import asyncio
import time
from difflib import SequenceMatcher
from typing import TYPE_CHECKING, Final

from starlette.exceptions import HTTPException
from starlette.routing import Route

from pausewright.desk.frame import form_of, moved
from pausewright.desk.shelf import ChangedElsewhereError
from pausewright.problems import OutputError
from pausewright.shown_text import harmless

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from pausewright.desk.frame import Frame
    from pausewright.desk.history import State
    from pausewright.desk.shelf import Shelved

_MOST_STATES: Final = 200
_MOST_ROWS: Final = 400


class EarlierPages:
    """Answers about earlier states."""

    def __init__(self, frame: Frame) -> None:
        """Take the frame."""
        self._frame = frame
        self._room = frame.room

    def routes(self) -> list[Route]:
        """Return the addresses of this page."""
        earlier = "/test/{test_id}/earlier"
        return [Route(earlier, self.show), Route(earlier, self.put_back, methods=["POST"])]

    async def show(self, request: Request) -> Response:
        """List the states, and show what one of them has otherwise."""
        test = self._frame.test(request)
        held = self._room.shelf.read(test)
        history = self._room.history(test)
        history.note(held.text)
        asked = request.query_params.get("state", "")
        chosen = self._state(test, asked) if asked else None
        rows = await asyncio.to_thread(_differing, chosen.text, held.text) if chosen else []
        return self._frame.of_test(
            "earlier.html",
            test,
            await self._room.looked(test, 0.0),
            page_of="words",
            states=[(one.n, _clock(one)) for one in history.by_minute()[:_MOST_STATES]],
            chosen=chosen and (chosen.n, _clock(chosen)),
            rows=rows[:_MOST_ROWS],
            n_more=max(0, len(rows) - _MOST_ROWS),
            base=held.mark,
        )

    async def put_back(self, request: Request) -> Response:
        """Put an earlier state in place of the text; that can be taken back too."""
        test = self._frame.test(request)
        form = await form_of(request)
        state = self._state(test, form.one("state"))
        history = self._room.history(test)
        history.note(self._room.shelf.read(test).text)
        try:
            history.note(self._room.shelf.save(test, state.text, form.one("base")).text)
        except ChangedElsewhereError as conflict:
            raise OutputError(conflict.message, "look at the earlier states again") from conflict
        return moved(f"/test/{test.id}/words")

    def _state(self, test: Shelved, n: str) -> State:
        found = None
        if n.isascii() and n.isdigit() and len(n) < 9:
            found = self._room.history(test).state(int(n))
        if found is None:
            raise HTTPException(404, "This state is kept no longer. Look at the list again.")
        return found


def _clock(state: State) -> str:
    return time.strftime("%H:%M", time.localtime(state.at_s))


def _differing(then: str, now: str) -> list[tuple[str, int, str]]:
    """Return lines of which only one of two texts has them: which one, its number, its words."""
    old, new = then.split("\n"), now.split("\n")
    found: list[tuple[str, int, str]] = []
    for tag, a1, a2, b1, b2 in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if tag != "equal":
            found += [("then", n + 1, harmless(old[n])) for n in range(a1, a2)]
            found += [("now", n + 1, harmless(new[n])) for n in range(b1, b2)]
    return found
