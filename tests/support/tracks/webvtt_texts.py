"""WebVTT files that the W3C's draft allows, for every reader (check values VTT-01 to VTT-09)."""

from __future__ import annotations

GOOD = "WEBVTT\n\nfirst\n00:01.000 --> 00:02.500\nSay 3 &lt; 5 &amp; 6.\n"


def timed(timings: str, text: str = "Words.") -> str:
    """Return a file with one caption."""
    return f"WEBVTT\n\n{timings}\n{text}\n"


ALLOWED = {
    "plain": GOOD,
    "byte-order-mark": "\ufeff" + GOOD,
    "CRLF": GOOD.replace("\n", "\r\n"),
    "CR": GOOD.replace("\n", "\r"),
    "note": "WEBVTT the title\n\nNOTE\na remark\n\n" + GOOD[8:],
    "style": "WEBVTT\n\nSTYLE\n::cue { color: white }\n\n" + GOOD[8:],
    "VTT-02-long-hours": timed("100:00:00.000 --> 100:00:01.000"),
    "VTT-03-tabs": timed("00:01.000\t-->\t00:02.000"),
    "settings": timed("00:01.000 --> 00:02.000 align:start line:0 size:50%"),
    "tags": timed("00:01.000 --> 00:02.000", "<v Marta>Yes <b>now</b>"),
    "VTT-09-inner-time": timed("00:01.000 --> 00:03.000", "One <00:02.000>two"),
    "VTT-08-greater": timed("00:01.000 --> 00:02.000", "a > b"),
}
"""Each holds one caption."""
