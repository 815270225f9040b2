"""The one entry of the check: a delivered file and its worded script in, all findings out."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from pausewright.checker.expect.expect import expect
from pausewright.checker.faults.faults import with_closer_look
from pausewright.checker.files.decode import files_of, name_of
from pausewright.checker.files.second_opinion import listen_twice
from pausewright.checker.files.tags import joined_tags, judge_tags, read_tags, refuse_proofs
from pausewright.checker.files.video_contents import caption_tracks, chapter_lists
from pausewright.checker.judge.against_standard import MeasuredTrack, beside_standard
from pausewright.checker.judge.arrangement_effects import (
    expected_of,
    extra_time_proof,
    judged_arrangement,
)
from pausewright.checker.judge.chapters import judge_chapters, judge_titles
from pausewright.checker.judge.cuts import judge_cuts
from pausewright.checker.judge.judge import ENDS_EARLY, Judge
from pausewright.checker.judge.likeness import likeness
from pausewright.checker.judge.track_levels import level_findings
from pausewright.checker.limits.sound import BELOW_SPEECH_DB
from pausewright.checker.listen.listen import Heard, spoken_lufs
from pausewright.checker.match.matched_track import has_recordings, match_track
from pausewright.checker.original.match_original import (
    as_declared,
    judged_recording,
    match_original,
    rights_of,
)
from pausewright.checker.promises.delivered_track import Delivered
from pausewright.checker.promises.kept_promises import kept_promises
from pausewright.checker.result.findings import (
    BUILD,
    NOT_HEARD,
    CaptionRow,
    CheckResult,
    EarSummary,
    Finding,
)
from pausewright.checker.result.measuring_versions import versions
from pausewright.checker.result.rows import kind_totals, question_rows, silence_rows
from pausewright.checker.result.track_strip import matched_strip
from pausewright.checker.shown.caption_readers import CaptionFile, read_captions
from pausewright.checker.shown.captions_alike import judge_alike
from pausewright.checker.shown.captions_shown import judge_captions
from pausewright.checker.shown.countdown import Countdown
from pausewright.checker.shown.other_texts import Beside, other_texts
from pausewright.checker.shown.shown_elsewhere import PAGE, read_page
from pausewright.checker.shown.transcripts import judge_transcript
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import sha256_of
from pausewright.script.settings.settings_table import AS_RECORDED, loudness_lufs
from pausewright.wording.worded import Worded

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from pausewright.checker.ear.hearing import Ear
    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.expect.extra_time import Granted
    from pausewright.checker.expect.line_runs import WordedScript
    from pausewright.checker.files.decode import Track
    from pausewright.checker.files.tags import TrackTags
    from pausewright.checker.listen.listen import HeardFile
    from pausewright.checker.match.match import Matching
    from pausewright.checker.promises.promise import Promise
    from pausewright.checker.result.proofs import Comparison, FieldProof


def check_track(
    track: Track,
    worded: WordedScript,
    *,
    edition: str | None,
    captions: Sequence[Path] = (),
    others: Sequence[Path] = (),
    readers: str | None = None,
    progress: Callable[[float], None] | None = None,
    second_decoder: bool = False,
    ear: Ear | None = None,
    standard: MeasuredTrack | None = None,
    on_measured: Callable[[MeasuredTrack], None] | None = None,
    promise: Promise | None = None,
    sheets: Sequence[Path] = (),
) -> CheckResult:
    """Measure a delivered file and compare it with what its script asks for.

    Parameters
    ----------
    track : the delivered file, which is only read; or the pieces of a track, judged as if joined
    worded : the script with its words
    edition : the script's edition, compared with the track's tag; None if there is none
    captions : `.vtt` and `.srt` files that go with the track
    others : room screens, transcripts and printed instructions that can be read beside it
    readers : profile of `reading.READERS` that the captions' speed is judged by; None: the one
        that the script names
    progress : called with the share that is done, 0 to 1
    second_decoder : also decode the file the other way and compare lengths and starts of sounds
    ear : also have every utterance heard by a recogniser
    standard : the standard track, measured: nothing but what is declared may differ from it
    on_measured : called with this track, measured, if anything is heard on it: so that another
        version can be compared with it without listening again
    promise : what the version must hold, worked out from the standard script and the arrangement
        alone; None: nothing is compared with it
    sheets : answer sheets for candidates of this version

    Raises
    ------
    TrackError
        If the track or a caption file cannot be read at all, or pieces are not alike.
    EarMissingError
        If the recogniser is not installed or cannot be loaded.
    ExpectationError
        If the script holds something that this version cannot check.
    """
    entitled = expected_of(expect(worded), worded)
    expectation = entitled.expectation
    heard, differing = listen_twice(
        *(track, progress), has_recordings=has_recordings(expectation), is_twice=second_decoder
    )
    findings = file_findings(heard) + differing
    rate_hz = heard.track_format.rate_hz
    length_s = Fraction(heard.n_frames, rate_hz)
    tags = track_tags(track, heard)
    findings += judge_tags(tags, edition, length_s)
    cautions = [NOT_HEARD]
    laid = _laid(track, heard, entitled, worded, promise)
    heard, matching = laid.heard, laid.matching
    cautions += laid.cautions
    findings += laid.findings
    target_lufs = float(loudness_lufs(worded.script.settings.loudness))
    speech = laid.speech
    loudness = spoken_lufs(heard, speech) if speech else heard.loudness_lufs
    shortened: frozenset[int] = frozenset()
    if worded.script.settings.given is None:
        findings += level_findings(heard, target_lufs, loudness)
        if heard.stretches:
            found, shortened, said = _judged(track, heard, expectation, matching, worded)
            findings += found
            cautions += said
    if heard.stretches:
        begins = as_declared(matching) if laid.comparison else matching
        findings += _chapters(track, tags, edition, worded, expectation, begins, rate_hz)
    summary = None
    if ear is not None and heard.stretches:
        words, summary, said = ear.listen(
            heard.kept, expectation, matching, worded.script.settings.language, shortened
        )
        findings += words
        cautions += said
    comparison = laid.comparison
    if heard.stretches:
        own = MeasuredTrack(
            name_of(track), heard.kept, expectation, matching, heard.track_format.is_exact
        )
        differing, comparison = beside_standard(
            own, entitled, worded, standard, on_measured, comparison
        )
        findings += differing
    findings += judged_arrangement(entitled, worded, matching, tags, rate_hz)
    profile = readers or worded.script.settings.caption_profile
    counts = Countdown.of(worded.script.settings, matching.silences, rate_hz)
    held = _held_captions(track, captions, others)
    shown, caption_rows = _captions(held, expectation, matching, rate_hz, profile, counts)
    findings += shown
    beside = Beside(held, others, sheets, [*captions, *others, *files_of(track)])
    broken, proofs = _promised(
        *(promise, track, heard, matching, expectation, worded, loudness, beside, comparison),
        summary,
    )
    findings += broken
    for file in others:
        if not file.name.endswith(PAGE):
            findings += judge_transcript(file, worded, expectation, matching, rate_hz)
    findings.sort(key=_order)
    silences = tuple(silence_rows(matching, rate_hz))
    return CheckResult(
        track=name_of(track),
        sha256=file_sha256(track),
        container=heard.track_format.container,
        rate_hz=rate_hz,
        n_channels=heard.track_format.n_channels,
        n_frames=heard.n_frames,
        loudness_lufs=heard.loudness_lufs,
        true_peak_dbtp=heard.true_peak_dbtp,
        speech_dbfs=heard.speech.active_dbfs if heard.speech else None,
        threshold_dbfs=heard.speech.active_dbfs - BELOW_SPEECH_DB if heard.speech else None,
        edition=edition,
        findings=tuple(findings),
        rows=tuple(question_rows(expectation, matching, silences, findings, rate_hz)),
        silences=silences,
        totals=tuple(kind_totals(silences)),
        versions=versions(),
        cautions=tuple(cautions),
        version_label=tags.version_label,
        comparison=comparison,
        proofs=proofs,
        extra_time=extra_time_proof(entitled, matching, rate_hz),
        captions=tuple(caption_rows),
        ear=summary,
        title=worded.script.settings.title,
        file_edition=tags.edition,
        strip=matched_strip(expectation, matching, rate_hz) if heard.stretches else (),
    )


class _Laid(NamedTuple):
    """A track laid beside what it must hold."""

    heard: Heard
    matching: Matching
    speech: Sequence[tuple[int, int]]
    """Ranges of frames that are speech, where sounds as recorded are beside it; else empty."""
    findings: Sequence[Finding] = ()
    cautions: Sequence[str] = ()
    comparison: Comparison | None = None
    """With the recording that the script is bound to."""


def _laid(
    track: Track, heard: Heard, entitled: Granted, worded: WordedScript, promise: Promise | None
) -> _Laid:
    """Lay a track beside its expectation: by its sounds, or by the samples of its recording."""
    settings = worded.script.settings
    if settings.given is None:
        heard, matching, n_unknown, speech = match_track(heard, entitled.expectation)
        vague = f"{n_unknown} recorded sounds could not be read: silences beside them vary."
        return _Laid(heard, matching, speech, cautions=[vague] if n_unknown else [])
    found = match_original(
        *(track, heard, settings.given, entitled),
        worded if promise is None else Worded(promise.script),
        keeps_level=settings.loudness == AS_RECORDED,
    )
    judge = Judge(
        entitled.expectation,
        found.matching,
        heard.track_format.rate_hz,
        is_exact=heard.track_format.is_exact,
    )
    findings = [*found.findings, *(judged_recording(judge) if heard.stretches else ())]
    cautions = [*found.cautions, *rights_of(settings)]
    return _Laid(heard, found.matching, (), findings, cautions, found.comparison)


def _judged(
    track: Track,
    heard: Heard,
    expectation: Expectation,
    matching: Matching,
    worded: WordedScript,
) -> tuple[list[Finding], frozenset[int], list[str]]:
    """Return what is wrong with what is heard, which sounds are short for their words, cautions."""
    judge = Judge(
        expectation,
        matching,
        heard.track_format.rate_hz,
        is_exact=heard.track_format.is_exact,
    )
    findings = with_closer_look(judge.findings(), heard, expectation, matching)
    alike = likeness(expectation, matching, heard, worded.script.settings.pace_wpm)
    findings += alike.findings
    if not isinstance(track, Path):
        findings += judge_cuts(heard, matching)
    return findings, alike.shortened, alike.cautions


def _promised(
    promise: Promise | None,
    track: Track,
    heard: Heard,
    matching: Matching,
    expectation: Expectation,
    worded: WordedScript,
    loudness: float | None,
    beside: Beside,
    comparison: Comparison | None,
    summary: EarSummary | None,
) -> tuple[list[Finding], tuple[FieldProof, ...]]:
    """Return what is not as promised, and the proofs; nothing where nobody said what is."""
    if promise is None or not heard.stretches:
        return [], ()
    delivered = Delivered(
        expectation,
        matching,
        heard.track_format.rate_hz,
        heard.kept,
        heard.track_format.container,
        loudness,
        loudness_lufs(worded.script.settings.loudness),
        beside.captions,
        [file for file in beside.others if not file.name.endswith(PAGE)],
        beside.sheets,
        track if isinstance(track, Path) else None,
        list(other_texts(beside.files)),
        comparison,
        summary,
    )
    return kept_promises(promise, delivered)


def _chapters(
    track: Track,
    tags: TrackTags,
    edition: str | None,
    worded: WordedScript,
    expectation: Expectation,
    matching: Matching,
    rate_hz: int,
) -> list[Finding]:
    """Return the findings about where chapters lead; and their names, of a track of this script."""
    titles = frozenset(part.title for part in worded.script.parts)
    findings: list[Finding] = []
    for chapters in chapter_lists(files_of(track)[0], tags.chapters):
        findings += judge_chapters(chapters, titles, expectation, matching, rate_hz)
        findings += judge_titles(chapters, titles) if tags.edition == edition else []
    return findings


def _held_captions(
    track: Track, captions: Sequence[Path], others: Sequence[Path]
) -> list[tuple[str, CaptionFile]]:
    """Return the captions of files, of room screens and of the track, with the files' names."""
    held = [(file.name, read_captions(file)) for file in captions]
    held += [(file.name, read_page(file)) for file in others if file.name.endswith(PAGE)]
    held += [(file.name, one) for file in files_of(track) for one in caption_tracks(file)]
    return held


def _captions(
    held: Sequence[tuple[str, CaptionFile]],
    expectation: Expectation,
    matching: Matching,
    rate_hz: int,
    readers: str,
    counts: Countdown,
) -> tuple[list[Finding], list[CaptionRow]]:
    """Return the findings and rows of all captions, each file by itself and two by two."""
    findings: list[Finding] = []
    rows: list[CaptionRow] = []
    earlier: tuple[str, CaptionFile] | None = None
    for name, file in held:
        found, row = judge_captions(name, file, expectation, matching, rate_hz, readers, counts)
        findings += found
        rows += [] if name.endswith(PAGE) else [row]
        if earlier is not None:
            findings += judge_alike((earlier[0], name), (earlier[1], file))
        earlier = name, file
    return findings, rows


def _order(finding: Finding) -> tuple[bool, Fraction, bool, str]:
    """Sort key: the file as a whole first, then by time."""
    at_s = finding.at_s or Fraction(0)
    return finding.at_s is not None, at_s, finding.code != ENDS_EARLY, finding.code


def track_tags(track: Track, heard: Heard) -> TrackTags:
    """Return what a track says about itself; of pieces, with the chapters in time of the whole.

    A proof is refused: it says of itself that it is no track.
    """
    refuse_proofs(files_of(track))
    rate_hz = heard.track_format.rate_hz
    lengths_s = [Fraction(file.n_frames, rate_hz) for file in heard.files]
    return joined_tags([read_tags(file) for file in files_of(track)], lengths_s)


def file_findings(heard: Heard) -> list[Finding]:
    """Return what is wrong with the files of a track as such, whatever they should hold."""
    findings: list[Finding] = []
    n_frames = 0
    for file in heard.files:
        n_frames += file.n_frames
        what = "the file" if len(heard.files) == 1 else f"‘{file.name}’"
        findings += _damages(file, what, Fraction(n_frames, heard.track_format.rate_hz))
    if not heard.stretches:
        findings.append(
            Finding("no-sound", "error", "no speech is heard on the track", BUILD, at_s=None)
        )
    return findings


def _damages(file: HeardFile, what: str, end_s: Fraction) -> Iterator[Finding]:
    """Give what is wrong with one file, called `what`, whose sound ends at `end_s` on the track."""
    claim = file.claim
    if file.broken:
        yield Finding(
            "decode-stopped",
            "error",
            f"{what} is damaged: decoding stops before its end",
            "copy or build the track again",
            at_s=end_s,
        )
    if file.is_damaged:
        yield Finding(
            "file-damaged",
            "error",
            f"bytes of {what} were changed: its own check sums do not fit",
            "copy or build the track again",
        )
    if not claim.is_true:
        yield Finding(
            "length-claim",
            "error",
            f"{what} does not hold as much as its header states; it may be cut off",
            "copy or build the track again",
            expected=claim.stated_units,
            measured=claim.held_units,
            unit="bytes" if claim.unit == "bytes" else "MPEG frames",
        )
    elif abs(claim.claimed_frames - file.n_frames) > claim.slack_frames:
        yield Finding(
            "length-claim",
            "error",
            f"the header states another length than {what} has",
            "copy or build the track again",
            expected=claim.claimed_frames,
            measured=file.n_frames,
            unit="frames",
        )


def file_sha256(track: Track) -> str:
    """Return the SHA-256 of a file's bytes, in hexadecimal; of pieces, one after another."""
    return sha256_of(*files_of(track), kind=BUILT_FILE)
