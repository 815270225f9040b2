"""Rows of the table of tolerances in docs/the-check.md, from the values that the check reads."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from pausewright.checker.limits import edges, levels, promised, shown, times, words
from pausewright.checker.limits.coders import CODERS
from pausewright.checker.shown.caption_reading import READERS

if TYPE_CHECKING:
    from fractions import Fraction


def ms(value: Fraction | float) -> str:
    """Return seconds as milliseconds."""
    return f"{float(value * 1000):g} ms"


def s(value: Fraction | float) -> str:
    """Return seconds."""
    return f"{float(value):g} s"


def db(value: float) -> str:
    """Return decibels."""
    return f"{value:g} dB"


def per_cent(value: Fraction | float) -> str:
    """Return a share in hundredths."""
    return f"{float(value * 100):g} %"


def _short() -> str:
    """Return from which share on words are missing, for each voice."""
    shares = {name: math.exp(-words.SHORT_SPREADS * one) for name, one in words.SPREADS.items()}
    return ", ".join(f"{100 * share:.0f} % ({name})" for name, share in shares.items())


def rows() -> list[tuple[str, str, str]]:
    """Return what is judged, what is allowed, and the code of the finding else."""
    soft_s = max(coder.soft_ends_s for coder in CODERS.values())
    early_s = CODERS["OGG Vorbis"].early_starts_s
    coded = CODERS["MP3"]
    exact_s, coded_s = times.SAME_TAKE_S[True], times.SAME_TAKE_S[False]
    level, more = levels.LEVEL_ALLOWED_DB, levels.LEVEL_ERROR_DB - levels.LEVEL_ALLOWED_DB
    adult, younger = READERS["adult"], READERS["younger-readers"]
    hidden_s = times.IN_NOISE_S - times.TOLERANCE_S
    m4a_frames = CODERS["M4A"].length_slack_frames
    return [
        (
            "length of a recording, against its own file",
            (
                f"{per_cent(promised.RECORDING_SHARE)} or {s(promised.RECORDING_S)}, the larger; "
                f"in a room’s noise {s(times.IN_NOISE_S)} more"
            ),
            "`promise-recording`",
        ),
        (
            "pitch of a tone",
            f"{per_cent(promised.PITCH_SHARE)} (half a tone is 6 %)",
            "`promise-tone`",
        ),
        (
            "declared `loudness`, measured",
            (f"{promised.LOUDNESS_LU:g} LU nearer to the standard track's level than to its own"),
            "`promise-loudness`",
        ),
        (
            (
                f"a silence of {s(times.PROMISED_FROM_S)} or more between speech or "
                "tones, any kind, on "
                "WAV, FLAC and MP3 from 64 kbit/s"
            ),
            (
                f"±{ms(times.TOLERANCE_S)}; MP3 {ms(times.TOLERANCE_S + coded.soft_ends_s)} long, "
                "for the softest ends of words"
            ),
            "`silence-short`, `silence-long`",
        ),
        (
            "the same on OGG Vorbis, Opus and AAC, whose coders drop soft ends of words",
            (
                f"{ms(times.TOLERANCE_S)} short (OGG Vorbis {ms(times.TOLERANCE_S + early_s)}, "
                f"which lets sudden sounds begin early), {ms(times.TOLERANCE_S + soft_s)} long"
            ),
            "the same",
        ),
        (
            "a silence beside a sound as recorded, counted with the silent edges of its file",
            f"±{ms(times.RECORDED_TOLERANCE_S)}",
            "the same",
        ),
        ("a silence on a track with steady noise", f"±{ms(times.IN_NOISE_S)}", "the same"),
        (
            "the same beside a sound as recorded",
            f"±{ms(times.RECORDED_IN_NOISE_S)}",
            "the same",
        ),
        (f"a silence under {s(times.PROMISED_FROM_S)}", "reported, not judged", ""),
        (
            "silence at the start (0.5 s)",
            (
                f"not more than {ms(times.LATE_START_S)} long, in a room’s noise "
                f"{ms(times.IN_NOISE_S)}; a shorter one is no finding: no script declares it, "
                "and other programs’ coders delay the sound"
            ),
            "`silence-long`",
        ),
        ("silence at the end (1 s)", f"not more than {ms(times.TOLERANCE_S)} short", "`end-cut`"),
        (
            "length of a tone",
            (f"±{ms(times.TONE_TOLERANCE_S)}; in a room’s noise ±{ms(times.IN_NOISE_S)}"),
            "`tone-differs`",
        ),
        (
            "readings of one question with the same words, if most are copies of each other",
            (
                f"±{ms(exact_s)}, on compressed files ±{ms(coded_s)}, in a room’s noise "
                f"±{ms(times.SAME_TAKE_IN_NOISE_S)}; the same recording all through"
            ),
            "`readings-differ`",
        ),
        (
            "whatever else is said in the same words: announcements, cues",
            "as readings, if most are copies",
            "`readings-differ`",
        ),
        (
            "the same, where a person read each of them",
            "a quarter of the length",
            "`readings-differ`",
        ),
        (
            "speed of the whole track",
            (
                f"{per_cent(times.SPEED_LEAST_OFF)}; by silences in a room's "
                f"noise {per_cent(times.SPEED_LEAST_OFF_IN_NOISE)}, and what moves the longest "
                f"against the shortest by more than {1000 * coded.edges_apart_s:g} ms in MP3, OGG "
                "Vorbis, Opus and AAC"
            ),
            "`wrong-speed`",
        ),
        (
            (
                f"level of an utterance of {s(levels.LEVEL_SHORTEST_S)} or more, to "
                "the middle of all; "
                "where there is a step, of its side"
            ),
            (
                f"±{db(level)}; under {s(levels.LEVEL_SHORT_S)} "
                f"±{db(level + levels.LEVEL_SHORT_MORE_DB)};"
                f" compressed {db(coded.level_more_db)} more"
            ),
            f"`level-uneven` (warning; error from {db(more)} more)",
        ),
        (
            "level of all that is said after a place, to all that is said before it",
            f"{db(levels.LEVEL_STEP_DB)}; compressed {db(coded.level_more_db)} more",
            f"`level-uneven` (warning; error from {db(more)} more)",
        ),
        (
            "noise in a silence, over half a second",
            f"{db(levels.NOISE_BELOW_DB)} below the speech (WCAG 2.x, 1.4.7)",
            "`noise-in-gap`",
        ),
        (
            "hum of 50 or 60 Hz with harmonics",
            f"{db(levels.HUM_BELOW_DB)} below the speech",
            f"`hum` (warning; error from {db(levels.HUM_ERROR_DB)})",
        ),
        (
            "shift of the zero line",
            f"{per_cent(levels.DC_WARNING)} of full scale",
            f"`dc-offset` (warning; error from {per_cent(levels.DC_ERROR)})",
        ),
        (
            "channels of a track with two",
            db(levels.CHANNEL_UNEQUAL_DB),
            f"`channels-unequal` (warning; error from {db(2 * levels.CHANNEL_UNEQUAL_DB)})",
        ),
        (
            "high sounds of the speech",
            f"up to {levels.BAND_ERROR_BELOW_HZ / 1000:g} kHz at least",
            "`bandwidth`",
        ),
        (
            "a silence inside a sentence",
            f"under {s(words.PAUSE_IN_SPEECH_S)}",
            "`silence-in-speech` (warning)",
        ),
        (
            (
                "an utterance of a bundled voice against what that voice needs for its words "
                "([lost words](#lost-words))"
            ),
            (
                f"not under {_short()} by length and syllables together, "
                f"where {s(words.SHORT_S + words.SOFT_EDGES_S)} and more are missing; of a word by "
                f"itself {s(words.SHORT_S + words.SOFT_EDGES_S + words.ONE_WORD_S)}"
            ),
            "`length-impossible` (error)",
        ),
        (
            "the same, too long",
            (
                f"a factor of {words.LONG_SHARE:g} and {s(words.LONG_S)} (warning: "
                f"{words.DOUBTED_LONG_SHARE:g} and {s(words.DOUBTED_LONG_S)})"
            ),
            "`length-impossible`, `length-unlikely`",
        ),
        (
            "length of speech of other voices against its words",
            (
                f"a factor of {math.exp(words.UNLIKE_AT_LEAST):.1f}, five times the spread of "
                f"the file, and {s(words.UNLIKE_S)}"
            ),
            "`length-unlikely` (warning)",
        ),
        (
            "the same, beyond what any reading explains",
            (
                f"a factor of {math.exp(words.IMPOSSIBLE_AT_LEAST):.1f}, five times the spread "
                f"of the file, and {s(words.IMPOSSIBLE_S)}"
            ),
            "`length-impossible` (error)",
        ),
        (
            (
                "integrated loudness against the script's setting; of the speech "
                "alone on a track with "
                "sounds as recorded"
            ),
            f"±{levels.LOUDNESS_TOLERANCE_LU:g} LU (EBU R 128 v4.0, production)",
            "`loudness` (warning)",
        ),
        (
            "true peak",
            (
                f"−{-levels.TRUE_PEAK_CEILING_DBTP:g} dBTP, {db(levels.TRUE_PEAK_SLACK_DB)} "
                "slack between meters"
            ),
            "`true-peak`",
        ),
        (
            "a caption's start before its speech",
            f"{ms(shown.EARLY_S)}; in a room's noise {ms(shown.EARLY_S + hidden_s)}",
            "`caption-early`",
        ),
        (
            "a caption's start after its speech",
            f"{s(shown.LATE_S)} (BBC Subtitle Guidelines 5.2 and 5.4 allow 2 s)",
            "`caption-late`",
        ),
        (
            "a caption's end after its speech",
            (
                f"{s(shown.HANG_S)} (BBC Subtitle Guidelines 5.2); "
                f"{s(shown.INTO_SILENCE_S)} into a "
                "silence of the candidates"
            ),
            "`caption-hangs`",
        ),
        (
            "where a caption begins or ends inside an utterance (estimated by letters)",
            f"{s(shown.LATE_S)} and a tenth of the utterance, on both sides",
            "the same",
        ),
        (
            "a countdown's time against what is left of the measured answer time",
            f"{s(shown.COUNTDOWN_OFF_S)} (EN 301 549, 7.1.2)",
            "`countdown-wrong`",
        ),
        (
            "a countdown's cue beyond its answer time",
            s(shown.COUNTDOWN_OFF_S),
            "`countdown-outside`",
        ),
        (
            (
                "a time on the printed instructions, in whole seconds, against where its "
                "words are heard"
            ),
            (
                f"{s(shown.WHOLE_SECOND_S + shown.EARLY_S)}; in a room’s noise "
                f"{s(shown.WHOLE_SECOND_S + shown.EARLY_S + hidden_s)}"
            ),
            "`transcript-time`",
        ),
        ("how long one cue of a countdown stands", s(shown.MOST_STANDING_S), "`countdown-wrong`"),
        (
            f"words a minute of all captions of a file, from {shown.FEWEST_WORDS} words on",
            (
                f"profile `adult` {adult.most_wpm} (BBC Subtitle Guidelines 4), `younger-readers` "
                f"{younger.most_wpm} (DCMP Captioning Key)"
            ),
            "`caption-rate` (warning)",
        ),
        (
            "a caption that is gone before three quarters of its words' own time",
            "the same rates",
            "`caption-fast` (warning)",
        ),
        (
            "a chapter's start, from the start of the track or the start or end of a sound",
            f"±{ms(shown.CHAPTER_SLACK_S)}",
            "`chapter-off`",
        ),
        (
            "where a track is cut into pieces: silence of the hold at the end of a piece",
            f"half of the hold, {ms(times.CUT_SLACK_S)} slack",
            "`piece-cut`",
        ),
        (
            "the same: silence with which the next piece begins",
            (
                f"{s(times.LEAST_LEAD_S)}, or a quarter of the hold where that is less; "
                f"{ms(times.CUT_SLACK_S)} slack"
            ),
            "`piece-cut`",
        ),
        (
            "pieces against the whole track: WAV and FLAC",
            "none: the same samples",
            "`piece-differs`",
        ),
        ("the same, MP3 and others: length", "none: as many samples", "`piece-differs`"),
        (
            (
                "the same: energy of the difference, in each quarter of a second over "
                f"−{-edges.PIECE_SOFTEST_DBFS:g} dBFS"
            ),
            "a tenth of the sound's",
            "`piece-differs`",
        ),
        (
            "length of a track against its packing list",
            (
                f"none; {ms(times.LISTED_LENGTH_SLACK_S)} at another sample rate; "
                f"{m4a_frames:,} samples "
                f"({m4a_frames * 1000 / 44_100:.0f} ms) for a video"
            ),
            "`total-differs`",
        ),
    ]
