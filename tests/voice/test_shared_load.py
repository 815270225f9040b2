"""What voices hold together: loaded once, freed with its last holder."""

from __future__ import annotations

import gc
import threading
import time
from concurrent.futures import ThreadPoolExecutor

from pausewright.voice.shared_load import SharedLoad


class Network:
    """Something large."""


def test_threads_load_one_thing_once() -> None:
    """Eight threads that ask at the same time are given one thing, which was loaded once."""
    shared: SharedLoad[str, Network] = SharedLoad()
    n_loaded = 0
    ready = threading.Barrier(8)

    def load() -> Network:
        nonlocal n_loaded
        time.sleep(0.02)
        n_loaded += 1
        return Network()

    def ask(_: int) -> Network:
        ready.wait()
        return shared.get("one", load)

    with ThreadPoolExecutor(8) as pool:
        found = list(pool.map(ask, range(8)))

    assert n_loaded == 1
    assert len({id(one) for one in found}) == 1
    assert shared.get("other", Network) is not found[0]


def test_it_goes_with_its_last_holder() -> None:
    """Nothing is kept that nobody holds, and the next who asks loads it anew."""
    shared: SharedLoad[str, Network] = SharedLoad()
    holders = [shared.get("one", Network), shared.get("one", Network)]
    known = id(holders.pop())
    assert id(shared.get("one", Network)) == known
    holders.clear()
    gc.collect()
    loaded: list[Network] = []

    def load() -> Network:
        loaded.append(Network())
        return loaded[-1]

    assert shared.get("one", load) is loaded[0]
