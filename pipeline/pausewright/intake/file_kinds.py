"""Kinds of files that are read, and how large one of each kind may be."""

from __future__ import annotations

from typing import Final

from pausewright.frozen import frozen
from pausewright.problems import (
    FileError,
    OutputError,
    PausewrightError,
    SoundError,
    TrackError,
    VoiceError,
)

MB: Final = 1_000_000


@frozen
class Kind:
    """What a file is to us."""

    name: str
    """As sentences call it."""
    most_bytes: int
    because: str
    """Why no honest file of this kind is larger."""
    error: type[PausewrightError] = FileError
    """What is raised for a file that is refused; it takes a sentence and a hint."""
    hint: str = "check its name"
    """What to do if it is not there."""
    may_be_empty: bool = True
    """Whether a file without a byte is left to its reader."""

    @property
    def most(self) -> str:
        """The limit as sentences give it."""
        if self.most_bytes >= 1000 * MB:
            return f"{self.most_bytes // (1000 * MB)} GB"
        return f"{self.most_bytes // MB} MB"


_AGAIN: Final = "copy the folder again from where the test was built"
_IN_SCRIPT: Final = "check its name, from the script's own folder"

SCRIPT: Final = Kind("the file", 16 * MB, "10,000 questions are 2 MB")
INCLUDE: Final = Kind("the file", 16 * MB, "as a script", hint=_IN_SCRIPT)
ARRANGEMENTS: Final = Kind("the file", 4 * MB, "10,000 arrangements are 2 MB")
LEXICON: Final = Kind("the lexicon", 8 * MB, "50,000 words are 4 MB", hint=_IN_SCRIPT)
WORDS: Final = Kind(
    "the file", MB, "12 hours of speech are 0.7 MB", hint=_IN_SCRIPT, may_be_empty=False
)
CAPTIONS: Final = Kind("the captions", 8 * MB, "12 hours of captions are 2 MB")
CHECKED_CAPTIONS: Final = Kind("the captions", 8 * MB, "12 hours are 2 MB", TrackError)
NEEDS: Final = Kind("the list", 8 * MB, "100,000 candidates are 5 MB", OutputError)
PACKING_LIST: Final = Kind("the packing list", 4 * MB, "20,000 files are 3 MB", TrackError, _AGAIN)
BUILD_RECORD: Final = Kind("the build record", 4 * MB, "15,000 files are 3 MB", TrackError)
SEASON_TABLE: Final = Kind("the table", 64 * MB, "20,000 tracks are 16 MB", OutputError)
SIGNING_KEY: Final = Kind("the key", MB, "a key is some lines", OutputError)
PASSWORD: Final = Kind("the password", MB, "a password is a line", OutputError)
PACK: Final = Kind("the pack", 8000 * MB, "a room with ten players is 1 GB", TrackError, _AGAIN)
CONTENTS: Final = Kind(
    "the list of contents", 32 * MB, "10,000 questions are 8 MB", TrackError, _AGAIN
)
PAGE: Final = Kind(
    "the page", 128 * MB, "a room screen holds 64 MB of sound, as letters 86 MB", TrackError
)
PAPER: Final = Kind(
    "the paper", 16 * MB, "10,000 questions are 2 MB", TrackError, "give the path of the paper"
)
PAPER_TEXT: Final = Kind(
    "the paper", 64 * MB, "500 pages without pictures are 2 MB", may_be_empty=False
)
TEMPLATE: Final = Kind("the template", MB, "ours are 0.01 MB", hint=_IN_SCRIPT)
PICTURE: Final = Kind(
    "the picture", 64 * MB, "a scanned page is 25 MB", hint=_IN_SCRIPT, may_be_empty=False
)
SCHEMA: Final = Kind("the schema", MB, "ours are 0.1 MB", OutputError)
VOICE_PROFILE: Final = Kind("the voice profile", MB, "a profile is some lines")
RECORDINGS: Final = Kind("the list of recordings", 4 * MB, "20,000 are 2 MB", VoiceError)
VOICE_CONFIG: Final = Kind(
    "the voice's configuration", 16 * MB, "large ones are 0.1 MB", VoiceError
)
VOICE_FILE: Final = Kind(
    "the voice's file",
    1000 * MB,
    "large models are 120 MB; a recording is a sound",
    VoiceError,
    may_be_empty=False,
)
VOICE_STYLE: Final = Kind(
    "the voice's table of styles", 4 * MB, "one is 0.3 MB", VoiceError, may_be_empty=False
)
KEPT_FACTS: Final = Kind("the kept facts", 4 * MB, "of an utterance of an hour 0.5 MB")
KEPT_SOUND: Final = Kind("the kept sound", 1000 * MB, "an hour of one utterance is 0.7 GB")
SOUND: Final = Kind(
    "the sound file",
    2000 * MB,
    "3 hours of WAV in two channels are 1.9 GB",
    SoundError,
    _IN_SCRIPT,
    may_be_empty=False,
)
RECORDING: Final = Kind(
    "the recording",
    8000 * MB,
    "6 hours of video are 6 GB",
    SoundError,
    "give the path of the recording",
    may_be_empty=False,
)
TRACK: Final = Kind(
    "the track",
    8000 * MB,
    "12 hours of WAV in two channels are 7.6 GB",
    TrackError,
    "give the path of the track",
    may_be_empty=False,
)
BUILT_FILE: Final = Kind("the file", 8000 * MB, "none is larger than a track", TrackError, _AGAIN)
PICTURE_OR_SOUND: Final = Kind("the file", 2000 * MB, "no picture is larger than a sound")
