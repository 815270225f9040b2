"""Progress of a command: lines in a file, bars with the time left on a terminal, else nothing."""

from __future__ import annotations

import contextlib
import io
import re
import sys
from typing import TYPE_CHECKING

import pytest
from pausewright.cli.bars import Bars
from pausewright.cli.progress import meter
from pausewright.deliver.build import Progress
from rich.console import Console

if TYPE_CHECKING:
    from collections.abc import Callable

HIDE, SHOW = "\x1b[?25l", "\x1b[?25h"
"""Cursor (ECMA-48 private modes, as xterm's control sequences name them: DECTCEM)."""


class Terminal(io.StringIO):
    """Standard error as a terminal."""

    def isatty(self) -> bool:
        """Say that somebody looks at it."""
        return True


def at_a_terminal(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Make standard error a terminal of 80 columns with colours."""
    found = Terminal()
    monkeypatch.setattr(sys, "stderr", found)
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLUMNS", "80")
    for name in ("NO_COLOR", "FORCE_COLOR", "TTY_COMPATIBLE", "TTY_INTERACTIVE"):
        monkeypatch.delenv(name, raising=False)
    return found


def plain(text: str) -> str:
    """Return what is read of a terminal's text, without what moves and colours."""
    return re.sub(r"\x1b\[[0-9;?]*[A-Za-z]|\r", "", text)


def bars_at(clock: Callable[[], float], **console: object) -> tuple[Bars, io.StringIO]:
    """Return bars that are drawn when asked, at times of our own."""
    file = io.StringIO()
    screen = Console(file=file, force_terminal=True, width=80, get_time=clock, **console)  # type: ignore[arg-type]
    return Bars(screen), file


def test_lines_are_those_of_the_beginning_the_middle_and_the_end(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Without a terminal: three lines a stage, on standard error, and nothing that acts."""
    with meter(silent=False) as progress:
        for n_done in range(41):
            progress.show(Progress("voicing", n_done, 40))
        for percent in range(0, 101, 5):
            progress.share(percent / 100)
        progress.counter("hearing")(1, 1)
    out, err = capsys.readouterr()

    assert out == ""
    assert err.splitlines() == [
        "voicing 0/40",
        "voicing 20/40",
        "voicing 40/40",
        "checking 0%",
        "checking 50%",
        "checking 100%",
        "hearing 1/1",
    ]


def test_silent_is_silent(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is shown where it was asked to be quiet, on a terminal too."""
    terminal = at_a_terminal(monkeypatch)
    with meter(silent=True) as progress:
        progress.show(Progress("voicing", 1, 2))

    assert terminal.getvalue() == ""


def test_a_terminal_that_cannot_move_its_cursor_gets_lines(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """TERM=dumb (terminfo's entry of that name)."""
    terminal = at_a_terminal(monkeypatch)
    monkeypatch.setenv("TERM", "dumb")
    with meter(silent=False) as progress:
        progress.show(Progress("voicing", 0, 2))

    assert terminal.getvalue() == "voicing 0/2\n"


@pytest.mark.parametrize("error", [None, ValueError, KeyboardInterrupt])
def test_the_terminal_is_given_back(
    monkeypatch: pytest.MonkeyPatch, error: type[BaseException] | None
) -> None:
    """The cursor is back and the bars are gone, however the command ends."""
    terminal = at_a_terminal(monkeypatch)
    with contextlib.suppress(ValueError, KeyboardInterrupt), meter(silent=False) as progress:
        progress.show(Progress("voicing", 3, 8))
        if error is not None:
            raise error
    text = terminal.getvalue()

    assert "voicing" in plain(text)
    assert "3/8" in plain(text)
    assert text.count(HIDE) == text.count(SHOW) == 1
    assert text.endswith("\x1b[1A\x1b[2K")  # up one line, and that line erased
    assert sys.stderr is terminal


def test_the_time_left_is_what_is_left_at_the_pace_so_far() -> None:
    """40 steps of 3 s: after 10 of them 90 s are left; the next stage starts without a guess."""
    now_s = 100.0
    bars, file = bars_at(lambda: now_s)
    for n_done in range(11):
        bars.step("voicing", n_done, 40, f"{n_done}/40")
        now_s += 3
    now_s -= 3
    file.truncate(0)
    bars.refresh()
    assert re.search(r"voicing .*10/40 +about 1:30 left", plain(file.getvalue()))

    now_s += 2
    bars.step("checking", 0, 1, "0/1")
    now_s += 5
    bars.refresh()
    assert re.search(r"checking .*0/1 +0:05 so far", plain(file.getvalue()))
    bars.end()


def test_a_stage_that_begins_again_is_timed_anew() -> None:
    """The second version's words are reckoned by their own pace; a finished stage needs no time."""
    now_s = 0.0
    bars, file = bars_at(lambda: now_s)
    for n_done in range(5):
        bars.step("voicing", n_done, 4, f"{n_done}/4")
        now_s += 1
    bars.refresh()
    assert re.search(r"4/4\s*$", plain(file.getvalue()).rstrip())

    for n_done in range(3):
        bars.step("voicing", n_done, 10, f"{n_done}/10")
        now_s += 20
    now_s -= 20
    bars.refresh()
    assert "2/10 about 2:40 left" in plain(file.getvalue()).splitlines()[-1]
    bars.end()


@pytest.mark.parametrize("console", [{"no_color": True}, {"color_system": None}])
def test_without_colours_nothing_is_lost(console: dict[str, object]) -> None:
    """No bar whose colours would say how much is done: the numbers say it."""
    bars, file = bars_at(lambda: 0.0, **console)
    bars.step("voicing", 3, 8, "3/8")
    bars.refresh()
    bars.end()

    assert "voicing 3/8" in plain(file.getvalue())
    assert "━" not in file.getvalue()
