"""Random damage to a file's bytes, drawn by Hypothesis."""

from __future__ import annotations

from hypothesis import strategies as st


def damaged_bytes(data: st.DataObject, good: bytes) -> bytes:
    """Return bytes with one to six places changed, lengthened or shortened, its head more often."""
    raw = bytearray(good)
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.one_of(st.integers(0, 200), st.integers(0, len(raw) - 1)))
        raw[at : at + data.draw(st.integers(0, 3))] = data.draw(st.binary(max_size=3))
    return bytes(raw)
