"""What each kind of file does to sound by itself, and what the check allows it for that."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping

TESTS: Final = (
    "tests/checker/test_check_formats.py",
    "scripts/sabotage.py",
)
"""What holds these limits: undamaged tracks in nine formats, and spoiled ones."""


@frozen
class Coder:
    """What is allowed to one kind of file."""

    is_exact: bool = False
    """Whether it holds the samples that were written."""
    soft_ends_s: Fraction = Fraction(0)
    """How much longer silences may be: its coder drops the softest ends of words. Up to 10 ms
    beyond the tolerance were seen; 3 ms in MP3 (64 kbit/s, the end of michael's "three"), one of
    some 5,000 silences of four voices."""
    early_starts_s: Fraction = Fraction(0)
    """How much shorter silences may be: a sound that breaks in comes before itself, softly, over up
    to half a long block of the coder (1,024 samples, 23 ms at 44.1 kHz), and now and then that is
    loud enough to be heard. A silence came back 22 ms short before a voice's "k" (siwis, −30 LUFS);
    of 27 others none was more than 13 ms off."""
    edges_apart_s: float = 0.01
    """By how much it may move the edges of one kind of sound to another's, so that silences of two
    kinds seem to run at another speed: 1.4 ms were seen in MP3s, 2.8 in Ogg Vorbis, 0.1 in WAV;
    8.2 ms in one of 1,000 MP3s of tones that break in and off."""
    rise_more_db: float = 0.0
    """What its own silence before a word adds to the word's rise: 46 dB were seen in a good
    track."""
    has_soft_edges: bool = True
    """Whether speech begins and ends in it as it was spoken. Opus leaves out what is soft before
    and after loud sound: rises by 46 to 73 dB were seen in good tracks, so cut-off speech is not
    judged there."""
    rounds_holes: bool = False
    """Whether it rounds off the edges of a moment of silence, so that a smaller fall is judged by
    how deep it leads. In Opus a voice's own stop fell by 50 dB, and moments of 20 to 40 ms are not
    told; Ogg Vorbis and AAC keep the edges."""
    click_ratio: float | None = 25.0
    """How far the third difference of a click stands above that of the 5 ms on both sides. Speech
    reaches 15 in exact samples, where the limit is 18. None where clicks are not judged: AAC's
    coders make clicks of 60 in speech that has none."""
    level_more_db: float = 0.4
    """What it may change the level of one utterance by."""
    peaks_lower_db: float = 1.0
    """What it may take off the highest sample of an utterance."""
    length_slack_frames: int = 0
    """How far its decoder may be off the stated length: the last frame's padding is not always cut
    off."""


_EXACT: Final = Coder(
    is_exact=True, edges_apart_s=0.0, click_ratio=18.0, level_more_db=0.0, peaks_lower_db=0.0
)

CODERS: Final[Mapping[str, Coder]] = {
    "WAV": _EXACT,
    "FLAC": _EXACT,
    "MP3": Coder(soft_ends_s=Fraction(6, 1000), rounds_holes=True),
    "OGG Vorbis": Coder(
        soft_ends_s=Fraction(20, 1000),
        early_starts_s=Fraction(10, 1000),
        rise_more_db=4.0,
    ),
    "Opus": Coder(soft_ends_s=Fraction(20, 1000), has_soft_edges=False),
    "M4A": Coder(
        soft_ends_s=Fraction(20, 1000),
        click_ratio=None,
        length_slack_frames=2048,
    ),
}
"""By the container's name in `files.decode.TrackFormat`. Two frames of AAC are 2,048 samples."""


def coder_of(container: str) -> Coder:
    """Return what is allowed to a kind of file; to one that is not in the table, as to an MP3."""
    return CODERS.get(container, CODERS["MP3"])
