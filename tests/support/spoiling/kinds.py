"""All kinds of damage: what each needs to be noticed, its smallest size, and what must be found."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Literal, TypeAlias

from support.spoiling import kinds_files as files
from support.spoiling import kinds_pieces as pieces
from support.spoiling import kinds_sound as sound
from support.spoiling import kinds_words as words

if TYPE_CHECKING:
    from collections.abc import Callable

    from support.spoiling.spoil import Dice, Spoiled
    from support.spoiling.tracks import GoodTrack

    Spoiler: TypeAlias = Callable[[GoodTrack, Dice, float], Spoiled]

Needs: TypeAlias = Literal[
    "sound", "two readings", "file", "captions", "tags", "script", "record", "ear", "pieces"
]
EXACT = ("wav", "flac")
LOSSY = ("mp3-64", "mp3-96", "mp3-128")
ALL = (*EXACT, *LOSSY)

PIECES = ("mp3-32", "mp3-64", "mp3-128", "ogg", "opus")
"""Formats in which pieces are compared by how alike they sound."""


@dataclass(frozen=True)
class Kind:
    """One kind of damage."""

    name: str
    spoil: Spoiler
    codes: frozenset[str]
    """Findings of which one at least must be there."""
    needs: Needs = "sound"
    smallest: float = 0
    largest: float = 0
    """Sizes are drawn between the two; every third one is the smallest."""
    unit: str = ""
    formats: tuple[str, ...] = ALL
    within_s: float | None = None
    """How far from the fault the finding may lie; None: anywhere."""


def _kind(
    name: str,
    spoil: Spoiler,
    codes: str,
    smallest: float = 0,
    largest: float | None = None,
    unit: str = "",
    *,
    needs: Needs = "sound",
    formats: tuple[str, ...] = ALL,
    within_s: float | None = None,
) -> Kind:
    return Kind(
        name,
        spoil,
        frozenset(codes.split()),
        needs,
        smallest,
        smallest if largest is None else largest,
        unit,
        formats,
        within_s,
    )


SILENCE = "silence-short silence-long silence-missing"
MISSING = (
    "question-missing reading-missing announcement-missing sound-missing track-ends-early "
    "silence-missing other-words length-impossible"
)
LOST = f"{MISSING} readings-differ speech-cut silence-in-speech"
WORDS_LOST: tuple[tuple[str, words.Where], ...] = (
    ("words", "any"), ("first words", "first"), ("last words", "last"),
)  # fmt: skip
KINDS: tuple[Kind, ...] = (
    # silences
    _kind("silence shorter", sound.silence_short, SILENCE, 0.03, 2, "s", formats=EXACT, within_s=1),
    _kind(
        "silence shorter, MP3",
        sound.silence_short,
        SILENCE,
        0.04,
        2,
        "s",
        formats=LOSSY,
        within_s=1,
    ),
    _kind("silence longer", sound.silence_long, SILENCE, 0.03, 5, "s", formats=EXACT, within_s=1),
    _kind(
        "silence longer, MP3", sound.silence_long, SILENCE, 0.04, 5, "s", formats=LOSSY, within_s=1
    ),
    _kind(
        "silence between readings shorter",
        lambda t, d, s: sound.silence_short(t, d, s, "between-readings"),
        SILENCE,
        0.04,
        0.5,
        "s",
        within_s=1,
    ),
    _kind(
        "hold shorter",
        lambda t, d, s: sound.silence_short(t, d, s, "hold"),
        SILENCE,
        0.04,
        1,
        "s",
        within_s=1,
    ),
    _kind(
        "time moved from one silence to another",
        sound.silence_moved,
        SILENCE,
        0.04,
        1,
        "s",
        within_s=1,
    ),
    _kind(
        "silence taken out",
        sound.silence_gone,
        # two readings without a silence between them are one
        f"{SILENCE} sound-missing readings-differ reading-missing",
    ),
    _kind(
        "another arrangement", sound.one_kind_stretched, "arrangement-differs", 0.1, 0.5, "share"
    ),
    _kind("silence at the end cut", sound.end_cut, "end-cut", 0.1, 0.9, "s"),
    # what is said
    _kind("reading dropped", sound.reading_dropped, MISSING),
    _kind("reading doubled", sound.reading_doubled, "reading-repeated sound-extra"),
    _kind("question dropped", sound.question_dropped, MISSING),
    _kind("question repeated", sound.question_repeated, "reading-repeated sound-extra"),
    _kind(
        "questions swapped",
        sound.questions_swapped,
        # where the two stand side by side, one may be told as missing
        "length-unlikely length-impossible other-words question-missing sound-missing",
        2.4,
        unit="times as long",
        needs="sound",
    ),
    _kind(
        "a reading of another question",
        sound.reading_of_another,
        # one of another number of sentences: its reading is missing, and another sound is there
        "readings-differ length-unlikely length-impossible reading-missing",
        needs="two readings",
    ),
    _kind(
        "announcement dropped",
        lambda t, d, s: sound.sound_dropped(t, d, s, "announcement"),
        # a short first sentence of the question may be taken for it: its readings then differ
        f"{MISSING} readings-differ",
    ),
    _kind(
        "instruction dropped", lambda t, d, s: sound.sound_dropped(t, d, s, "instruction"), MISSING
    ),
    _kind(
        "stop or page turn dropped", lambda t, d, s: sound.sound_dropped(t, d, s, "cue"), MISSING
    ),
    _kind("tone dropped", sound.tone_dropped, MISSING),
    _kind("tone of another length", sound.tone_wrong, "tone-differs", 0.05, 0.15, "s"),
    _kind(
        "word cut out", sound.word_cut_out, "readings-differ", 0.06, 0.4, "s", needs="two readings"
    ),
    *(
        _kind(
            f"{what} with {words_lost} lost",
            partial(words.lost_words, roles=roles, where=where, in_all_readings=is_in_all),
            LOST,
            words.LEAST_SHARE,
            0.6,
            "of its length",
        )
        for what, roles, is_in_all in (
            ("announcements", ("announcement",), True),
            ("an instruction", ("instruction",), False),
            ("a cue", ("cue",), False),
            ("a question in all its readings", ("question",), True),
            ("a reading", ("question",), False),
        )
        for words_lost, where in WORDS_LOST
        if not (what in {"announcements", "a cue"} and where == "first")
    ),
    *(
        _kind(
            f"{what} with words said twice",
            partial(words.words_twice, roles=(role,), in_all=is_in_all),
            LOST,
            words.LEAST_MORE_SHARE,
            1,
            "of its length",
        )
        for what, role, is_in_all in (
            ("announcements", "announcement", True),
            ("an instruction", "instruction", False),
            ("a cue", "cue", False),
            ("a question in all its readings", "question", True),
            ("a reading", "question", False),
        )
    ),
    _kind(
        "word replaced by one as long",
        sound.word_replaced,
        "readings-differ",
        0.15,
        0.4,
        "s",
        needs="two readings",
    ),
    _kind(
        "end of speech cut off",
        sound.speech_end_cut,
        "speech-cut readings-differ length-impossible silence-long",  # longer by what is cut
        0.1,
        0.4,
        "s",
    ),
    _kind(
        "start of speech cut off",
        lambda t, d, s: sound.speech_end_cut(t, d, s, at_start=True),
        "speech-cut readings-differ length-impossible silence-long",
        0.1,
        0.4,
        "s",
    ),
    _kind(
        "file ends in a question",
        sound.cut_off_in_question,
        "end-cut track-ends-early speech-cut readings-differ reading-missing",
    ),
    # levels
    _kind(
        "one utterance louder or softer", sound.one_louder, "level-uneven", 3, 12, "dB", within_s=1
    ),
    _kind("softer from one place on", sound.gain_step, "level-uneven", 3, 12, "dB"),
    _kind(
        "softer from the middle of a reading on",
        sound.gain_step_in_speech,
        "readings-differ level-uneven",
        3,
        12,
        "dB",
        needs="two readings",
    ),
    _kind("too loud or too soft", sound.too_loud, "loudness true-peak", 1.5, 8, "dB"),
    _kind("clipped", sound.clipped, "clipping", 6, 20, "dB", formats=EXACT),
    _kind("clipped, MP3", sound.clipped, "clipping", 10, 20, "dB", formats=LOSSY),
    # damage
    _kind(
        "click in speech", sound.click_in_speech, "click", 15, 24, "dB", formats=EXACT, within_s=1
    ),
    _kind(
        "click in a silence",
        sound.click_in_silence,
        "sound-in-silence sound-extra click",
        -10,
        10,
        "dB",
        within_s=6,
    ),
    _kind(
        "thump in a silence",
        sound.pop,
        "sound-in-silence sound-extra silence-short readings-differ",
        -10,
        6,
        "dB",
        within_s=6,
    ),
    _kind("dropout", sound.dropout, "dropout", 0.02, 0.15, "s", within_s=1),
    _kind(
        "sound in a silence",
        sound.sound_in_silence,
        "sound-in-silence sound-extra silence-short",  # short: it lies at the edge
        0.1,
        0.6,
        "s",
        within_s=6,
    ),
    # as loud as soft speech, it leaves no silence
    _kind(
        "noise in one gap",
        sound.noise_in_gap,
        "noise-in-gap silence-missing",
        18,
        6,
        "dB below speech",
    ),
    _kind("noise everywhere", sound.noise_everywhere, "noise-in-gap", 18, 10, "dB below speech"),
    _kind("hum", sound.hum_added, "hum", 50, 20, "dB below speech"),
    _kind("DC", sound.dc_added, "dc-offset", 0.003, 0.05, "of full scale"),
    _kind("high sounds missing", sound.low_passed, "bandwidth", 5000, 3000, "Hz"),
    _kind("wrong speed", sound.wrong_speed, "wrong-speed", 0.005, 0.06, "share"),
    _kind("wrong sample rate: 8.8 % off", sound.wrong_rate, "wrong-speed"),
    # two channels
    _kind("one channel dead", sound.channel_dead, "channel-dead"),
    _kind("one channel drops out", sound.channel_drops_out, "channel-dead", 0.3, 2, "s"),
    _kind("one channel inverted", sound.channel_inverted, "channels-out-of-phase"),
    _kind("one channel softer", sound.channel_softer, "channels-unequal", 3, 20, "dB"),
    # files
    _kind(
        "file cut off",
        files.file_truncated,
        "length-claim decode-stopped file-damaged decoders-differ unreadable",
        0.02,
        needs="file",
        formats=(*ALL, "ogg", "opus", "m4a"),
    ),
    _kind(
        "header lies",
        files.header_lies,
        "length-claim unreadable",
        0.001,
        1,
        "share",
        needs="file",
        formats=("wav", "mp3-96"),
    ),
    _kind(
        "MP3 frame lost",
        files.mp3_frame_lost,
        "length-claim file-damaged",
        1,
        40,
        "frames",
        needs="file",
        formats=("mp3-64", "mp3-96", "mp3-320"),
    ),
    _kind(
        "MP3 frame corrupted",
        files.mp3_frame_corrupted,
        "file-damaged decode-stopped decoders-differ length-claim",
        1,
        60,
        "bytes",
        needs="file",
        formats=("mp3-64", "mp3-96", "mp3-320"),
    ),
    _kind(
        "bytes changed",
        files.byte_changed,
        "file-damaged decode-stopped decoders-differ length-claim unreadable",
        1,
        8,
        "bytes",
        needs="file",
        formats=("flac", "ogg", "opus", "mp3-96"),
    ),
    # captions, tags, script
    _kind(
        "captions early",
        files.captions_early,
        "caption-early caption-words",
        0.1,
        3,
        "s",
        needs="captions",
    ),
    _kind(
        "captions late",
        files.captions_late,
        "caption-hangs caption-words caption-missing",
        0.5,
        3,
        "s",
        needs="captions",
    ),
    _kind(
        "caption hangs through an answer time",
        files.caption_hangs,
        "caption-hangs",
        0.3,
        3,
        "s",
        needs="captions",
    ),
    _kind(
        "captions overlap",
        files.captions_overlap,
        "caption-early caption-words caption-overlap",
        0.6,
        2,
        "s",
        needs="captions",
    ),
    _kind("captions malformed", files.captions_malformed, "caption-form", needs="captions"),
    _kind(
        "caption leaks an answer",
        files.caption_leaks,
        "caption-words caption-withheld",
        needs="captions",
    ),
    _kind(
        "captions of withheld questions",
        files.caption_withheld,
        "caption-withheld",
        needs="captions",
    ),
    _kind("caption missing", files.caption_missing, "caption-missing", needs="captions"),
    _kind(
        "captions exchanged",
        files.caption_words,
        "caption-words caption-early caption-late",  # of the same words at another place
        needs="captions",
    ),
    _kind(
        "countdown says another time",
        files.countdown_wrong,
        "countdown-wrong countdown-outside",
        0.15,
        2,
        "s",
        needs="captions",
    ),
    _kind(
        "countdown runs into speech",
        files.countdown_outside,
        "countdown-outside",
        0.15,
        0.6,
        "s",
        needs="captions",
    ),
    _kind(
        "countdown that is not declared",
        files.countdown_undeclared,
        "countdown-undeclared",
        needs="captions",
    ),
    _kind(
        "SubRip differs",
        files.srt_wrong,
        "caption-hangs caption-words caption-early",
        0.5,
        3,
        "s",
        needs="captions",
    ),
    _kind(
        "chapters shifted",
        files.chapters_shifted,
        "chapter-off chapter-outside",
        0.5,
        5,
        "s",
        needs="tags",
        formats=("flac", "mp3-96"),
    ),
    _kind(
        "another edition",
        files.other_edition,
        "edition-differs",
        needs="tags",
        formats=("flac", "mp3-96"),
    ),
    _kind(
        "script changed since: a silence",
        files.script_changed,
        "silence-short",
        0.25,
        2,
        "s",
        needs="script",
    ),
    _kind(
        "script changed since: readings",
        files.script_readings,
        "reading-missing question-missing other-words sound-missing",
        needs="script",
    ),
    # pieces beside the whole track
    _kind("piece missing", pieces.piece_missing, "piece-missing", needs="pieces"),
    _kind("pieces swapped", pieces.pieces_swapped, "piece-differs", needs="pieces"),
    _kind(
        "piece shorter", pieces.piece_shorter, "piece-differs", 1, 500, "samples", needs="pieces"
    ),
    _kind(
        "piece with silence over words",
        pieces.piece_of_other_sound,
        "piece-differs",
        0.1,
        1,
        "s",
        needs="pieces",
    ),
    _kind(
        "piece late",
        pieces.piece_later,
        "piece-differs",
        0.001,
        0.2,
        "s",
        needs="pieces",
        formats=PIECES,
    ),
    _kind(
        "piece faster",
        pieces.piece_faster,
        "piece-differs",
        0.001,
        0.02,
        "share",
        needs="pieces",
        formats=PIECES,
    ),
    _kind(
        "piece with other words",
        pieces.piece_with_other_words,
        "piece-differs readings-differ",  # of two readings, one has other words
        0.2,
        0.4,
        "s",
        needs="pieces",
        formats=PIECES,
    ),
    _kind("pieces cut in words", pieces.cut_in_words, "piece-cut", needs="pieces", within_s=0.1),
    _kind(
        "pieces cut too early in the hold",
        pieces.cut_early,
        "piece-cut",
        0.05,
        0.45,
        "of the hold",
        needs="pieces",
        within_s=0.1,
    ),
    _kind(
        "pieces cut too late in the hold",
        pieces.cut_late,
        "piece-cut",
        0.05,
        0.3,
        "s",
        needs="pieces",
        within_s=0.1,
    ),
)
