"""Run a coroutine where no event loop runs: a browser of the same tests may keep one here."""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Coroutine

Result = TypeVar("Result")


def run_apart(coroutine: Coroutine[object, object, Result]) -> Result:
    """Return what the coroutine returns; it runs in a thread and an event loop of its own.

    The synchronous interface of Playwright leaves its loop running in the thread that opened the
    browser, and `asyncio.run` refuses to start there (its documentation says so): a test that
    calls it fails only when the same worker had a browser before.
    """
    with ThreadPoolExecutor(1) as apart:
        return apart.submit(asyncio.run, coroutine).result()
