"""Which codes of findings may bring which others about; `causes` adds places and differences."""

from __future__ import annotations

from typing import Final

FILE: Final = ("no-sound", "decode-stopped", "file-damaged", "length-claim")
"""Damage of the file: explains whatever is heard behind it."""
WITHOUT_SPEECH: Final = frozenset(("true-peak", "clipping", "click", "dc-offset", "hum"))
"""Faults of sound that no missing speech explains."""
PIECES: Final = ("piece-missing", "piece-count", "piece-number", "piece-differs", "piece-cut")
OTHER_PIECE: Final = frozenset(("piece-missing", "piece-differs"))
"""A piece that is not there, or not of its place: explains what is heard of the pieces."""
WHOLE: Final = (
    "other-words",
    "wrong-speed",
    "channel-dead",
    "clipping",
    "noise-in-gap",
    "hum",
    "dc-offset",
    "arrangement-differs",
)
ORDER: Final = (
    "track-ends-early",
    "question-missing",
    "reading-repeated",
    "reading-missing",
    "announcement-missing",
    "sound-missing",
    "sound-extra",
)
MOMENTS: Final = ("dropout", "speech-cut", "click")
SILENCES: Final = ("silence-missing", "silence-short", "silence-long", "sound-in-silence")
OFF_LENGTH: Final = frozenset(("silence-short", "silence-long"))
WORDS: Final = ("length-impossible", "length-unlikely")
SPEECH: Final = (
    "tone-differs",
    "length-impossible",
    "readings-differ",
    "length-unlikely",
    "silence-in-speech",
    "pace-differs",
)
LEVELS: Final = (
    "channels-out-of-phase",
    "channels-unequal",
    "level-uneven",
    "loudness",
    "true-peak",
    "bandwidth",
    "hard-edges",
    "decoders-differ",
)
PROMISES: Final = tuple(
    f"promise-{name}"
    for name in (
        "words", "silences", "tone", "recording", "readings", "look-time", "rest-breaks",
        "leave-out", "pauses", "extra-time", "pace", "voice", "loudness",
    )
)  # fmt: skip
"""What is heard, worked out once more from the declaration: restates what was found otherwise."""
RANKS: Final = {
    code: rank
    for rank, code in enumerate(
        (
            *FILE,
            *PIECES,
            *WHOLE,
            *ORDER,
            *MOMENTS,
            *SILENCES,
            "end-cut",
            *SPEECH,
            *LEVELS,
            *PROMISES,
        )
    )
}
"""What explains more comes first."""

_LAID_OTHERWISE: Final = frozenset(
    (*MOMENTS, *ORDER, *SILENCES, *SPEECH, "end-cut", "arrangement-differs")
)
_IN_SILENCES: Final = frozenset((*SILENCES, "sound-extra", "click"))
ALL_OF: Final = {
    "other-words": _LAID_OTHERWISE,
    "wrong-speed": _LAID_OTHERWISE - set(ORDER) | {"bandwidth"},
    "channel-dead": frozenset((*MOMENTS, *SPEECH, *LEVELS)),
    "channels-out-of-phase": frozenset(("loudness", "channels-unequal")),
    "clipping": frozenset(
        ("true-peak", "loudness", "level-uneven", "dc-offset", "click", "decoders-differ")
    ),
    "channels-unequal": frozenset(("loudness",)),
    "level-uneven": frozenset(("loudness", "true-peak")),
    "loudness": frozenset(("true-peak",)),
    "noise-in-gap": frozenset(("hum", *_IN_SILENCES)),
    "hum": _IN_SILENCES,
    "dc-offset": _IN_SILENCES,
}
"""What a fault brings about wherever it lies; where silences are not silent, no length is sure."""
NOISES: Final = frozenset(("noise-in-gap", "hum", "dc-offset"))
"""Behind which copies of one recording are no longer told to be the same."""
EDGES: Final = frozenset(("clipping", "level-uneven", "loudness", "noise-in-gap", "bandwidth"))
"""What moves the edges of sounds a little, so that silences read longer or shorter."""
LENGTHS: Final = frozenset((*SILENCES, "sound-extra", "reading-repeated", "tone-differs", *WORDS))
"""Findings whose measured time begins at their place."""
AGAIN: Final = frozenset(
    ("level-uneven", "noise-in-gap", "statement-untrue", "pace-differs", *PIECES, *PROMISES)
)
"""What is one fault at however many places it is found."""
KNOWN: Final = frozenset(("silence-short", "silence-long", "tone-differs"))
"""What moves all after it by its own difference."""
READINGS: Final = frozenset(("reading-missing", "reading-repeated"))
"""What is one fault where it is found at several questions."""
MOVES: Final = frozenset((*KNOWN, "silence-missing", *ORDER, *WORDS))
"""What moves all after it; so do readings that differ in length."""
OWN_WORDS: Final = frozenset(("caption-words", "caption-withheld"))
"""Follow from a change of time only if their words are heard elsewhere, or lost."""
MOVED: Final = OWN_WORDS | frozenset(
    (
        "chapter-off",
        "chapter-outside",
        "caption-early",
        "caption-late",
        "caption-hangs",
        "caption-missing",
        "caption-repeated",
        "caption-fast",
        "countdown-wrong",
        "countdown-outside",
        "countdown-missing",
        "transcript-time",
    )
)
"""What a change of time puts off its place: markers, captions and times on paper."""
PROMISED_CAPTIONS: Final = frozenset(("promise-captions",))
"""Restates what captions show: of each file by itself, and of captions that were put off too."""
SHIFTED: Final = OWN_WORDS | frozenset(("chapter-off", "caption-early", "caption-late"))
"""Whose difference tells by how much they are off."""
SEQUELS: Final = frozenset(("captions-differ", "caption-missing", "chapter-missing"))
"""What is no head of a cause where there is anything else as grave."""
