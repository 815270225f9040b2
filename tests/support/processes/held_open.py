"""Run a command, or code, and stay open for a while afterwards: a program that tests watch.

    python held_open.py SECONDS command ARGUMENTS…    pausewright, as from the command line
    python held_open.py SECONDS stopped ARGUMENTS…    the same, stopped by Ctrl+C after a while
    python held_open.py SECONDS code CODE             Python, as in a notebook

What libraries do behind the scenes they often do seconds after they were loaded.
"""

from __future__ import annotations

import signal
import sys
import time

STOPPED_AFTER_S = 10


def main() -> None:
    """Run what was asked for; the process ends as that would."""
    held_s, how, *rest = sys.argv[1:]
    sys.argv = ["pausewright", *rest]
    if how == "stopped":
        signal.signal(signal.SIGALRM, signal.default_int_handler)
        signal.alarm(STOPPED_AFTER_S)
    try:
        if how == "code":
            exec(rest[0], {"__name__": "__main__"})  # noqa: S102  code of the test itself
        else:
            from pausewright.cli import main as command  # noqa: PLC0415  imports are watched

            command()
    finally:
        time.sleep(float(held_s))


if __name__ == "__main__":
    main()
