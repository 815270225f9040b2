"""What the settings at the head of a script declare, with defaults filled in."""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Final, Literal, TypeAlias, get_args

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping
    from fractions import Fraction
    from pathlib import Path

    from pausewright.problems import Place

CaptionPolicy: TypeAlias = Literal["nothing", "instructions", "everything"]
CAPTION_POLICIES: Final[tuple[CaptionPolicy, ...]] = get_args(CaptionPolicy)


@frozen
class LexiconEntry:
    """How one word or phrase is said and shown."""

    word: str
    """As written; without a capital it stands for the word with capitals too."""
    say: str
    """Words to say; "" if `ipa` or only `shown` is given."""
    ipa: str
    shown: str
    """What captions show; "" for the word as written."""
    language: str
    """BCP 47: for this language and its regions; "" for every language."""
    voices: tuple[str, ...]
    """For these voices only; () for every voice."""
    place: Place


@frozen
class Heteronym:
    """A word that is said in two ways, and what tells them apart."""

    word: str
    readings: tuple[tuple[str, str], ...]
    """Respelling and IPA of each."""
    usual: str
    """The respelling that is taken when nothing tells; "" for none."""
    after: tuple[tuple[str, tuple[str, ...]], ...]
    """Respelling and the words after which it is meant."""
    before: tuple[tuple[str, tuple[str, ...]], ...]
    """Respelling and the words before which it is meant."""
    at_start: str
    """The respelling at the start of a sentence; "" for none."""
    language: str
    place: Place


@frozen
class Lexicon:
    """What one lexicon file holds."""

    entries: tuple[LexiconEntry, ...] = ()
    heteronyms: tuple[Heteronym, ...] = ()


@frozen
class ToneSpec:
    """A tone declared in the settings."""

    frequency_hz: Fraction
    tone_s: Fraction


@frozen
class SpeakerSpec:
    """A speaker declared in the settings."""

    voice: str
    language: str


@frozen
class PatternSay:
    """A step of a pattern: words with fields such as `{number}` and `{1}`."""

    template: str
    place: Place


@frozen
class PatternPause:
    """A step of a pattern: the author's pause."""

    pause_s: Fraction
    place: Place


@frozen
class Pattern:
    """What replaces readings, announce and again."""

    name: str
    steps: tuple[PatternSay | PatternPause, ...]
    again_steps: tuple[PatternSay | PatternPause, ...]
    """For an extra reading in an arrangement; empty if not declared."""
    place: Place


@frozen
class Given:
    """The one recording that all that is heard in a script is bound to."""

    file: Path
    folder: Path
    """Of the script, which it must lie in."""
    place: Place
    """Where it is named first."""


@frozen
class Settings:
    """The front matter, read and checked; defaults filled in."""

    title: str
    use: Literal["test", "practice"]
    language: str
    voice: str
    channels: int
    loudness: str
    """Name of a loudness profile, or e.g. "-20 LUFS"."""
    numbering: Literal["whole", "by-part"]
    pace_wpm: Fraction
    """Words a minute to which each voice is calibrated."""
    paragraph_pause_s: Fraction
    sentence_pause_s: Fraction
    announcement_pause_s: Fraction
    zero: Literal["nought", "zero", "oh"]
    captions: CaptionPolicy
    captions_reason: str
    caption_profile: str
    """"adult" or "younger-readers"."""
    countdown: bool
    """Whether captions count down each answer time."""
    countdown_wording: str
    """What a countdown shows, with the field {time}."""
    show_time: bool
    """Whether the room screen shows candidates how much of a silence is left."""
    test_time_s: Fraction | None
    extra_time: str
    """"" or "not-permitted"."""
    extra_time_reason: str
    accept_voice_language: str
    withdrawn_wording: str
    continues_wording: str
    time_cue_wording: str
    writing_rate_wpm: Fraction
    """Words a minute that candidates write."""
    slate: str = ""
    """What is said at the head of the track, with its fields; "" for none."""
    recording_rights: str = ""
    """Who may use the given recording, and how, as the author has it; never judged."""
    given: Given | None = None
    """The recording that the script is; found, not declared."""
    sheet_head: tuple[str, ...] | None = None
    """Lines to fill in at the head of the answer sheet; None: a name, in the script's language."""
    mark_scheme: bool = False
    """Whether each build writes a mark scheme."""
    paper_templates: str = ""
    """Folder with templates of papers, from the script's own folder; "" for none."""
    speakers: Mapping[str, SpeakerSpec] = field(default_factory=dict)
    tones: Mapping[str, ToneSpec] = field(default_factory=dict)
    patterns: Mapping[str, Pattern] = field(default_factory=dict)
    words: tuple[LexiconEntry, ...] = ()
    """The script's own rules for single words."""
    lexicons: tuple[Lexicon, ...] = ()
    """What the lexicon files hold that the settings name, in their order."""
    styles: Mapping[str, str] = field(default_factory=dict)
    """Ways of reading that the script chooses, by name: see `wording_styles`."""
    places: Mapping[str, Place] = field(default_factory=dict)
    """Where each setting stands."""
