"""All versions of a test side by side: lengths, silences, what is added where, with the sums."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final, get_args

from pausewright.arrange.arrangement import TrackFormat
from pausewright.deliver.build_key import build_key
from pausewright.deliver.extra_time_readings import readings_of, share_data, share_rows
from pausewright.deliver.known_lengths import kept_lengths
from pausewright.deliver.output_folder import delivered, is_current
from pausewright.deliver.version_outline import outline
from pausewright.files.stage import settle
from pausewright.frozen import frozen
from pausewright.plan.clock import counter, exact_seconds
from pausewright.plan.extra_time import percent, seconds
from pausewright.plan.timeline import Say, Wait
from pausewright.screen.room_screen import Sound
from pausewright.script.model import Question
from pausewright.script.silences import CANDIDATES, SILENCES, silence_name
from pausewright.script.times_heard import heard
from pausewright.video.video_kinds import VideoKind
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Sequence
    from collections.abc import Set as AbstractSet

    from pausewright.deliver.build_options import Options
    from pausewright.deliver.extra_time_readings import ShareReadings
    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.papers.timed.day_time import DayTime
    from pausewright.plan.timeline import Questions
    from pausewright.records.shapes import BuildRecord
    from pausewright.script.silences import SilenceKind

KINDS: Final = tuple(kind for kind in SILENCES if kind not in {"lead-in", "run-out"})
"""Kinds of silence, each in a row of its own; start and end are always the same."""


@frozen
class Place:
    """Where time is added."""

    kind: SilenceKind
    question: Questions | None
    added_s: Fraction
    is_one_piece: bool


@frozen
class Column:
    """One version."""

    label: str
    name: str
    """Confidential."""
    length_s: Fraction
    is_exact: bool
    """Whether all its words were voiced, so that the length is no estimate."""
    silences_s: dict[SilenceKind, Fraction]
    """By kind."""
    groups_s: tuple[tuple[str, Fraction], ...]
    """Answer time by part and group."""
    places: tuple[Place, ...]
    entitled_s: Fraction
    sum_text: str
    pace: str
    readings: str
    captions: str
    is_current: bool
    """Whether its files are as they would be built now."""
    own_words: tuple[str, ...]
    """What is said here and not on the standard track."""
    share_readings: ShareReadings | None
    """What the share of its extra time can mean; None without one."""
    n_own_sounds: int
    """Sounds that are not on the standard track, each reading counted once."""

    @property
    def answer_s(self) -> Fraction:
        """All time for answers."""
        return self.silences_s.get("answer-time", Fraction(0)) + self.silences_s.get(
            "extra-time", Fraction(0)
        )

    @property
    def candidates_s(self) -> Fraction:
        """All the candidates' silences."""
        return sum((self.silences_s.get(kind, Fraction(0)) for kind in CANDIDATES), Fraction(0))


def compare(project: Project, versions: Sequence[Version], options: Options) -> tuple[Column, ...]:
    """Return a column for each version; options say where builds lie, formats do not count."""
    settle(options.out / versions[0].script.path.stem)
    standard = {
        step.element
        for version in versions
        if not version.arrangement.changes
        for step in version.steps
        if isinstance(step, Say)
    }
    heard = {(p.spoken, p.speech) for p in standard if isinstance(p, Utterance)}
    return tuple(_column(project, version, heard, options) for version in versions)


def _column(
    project: Project, version: Version, heard: AbstractSet[object], options: Options
) -> Column:
    found = outline(project, kept_lengths(project, version), version)
    silences_s: dict[SilenceKind, Fraction] = {}
    for step in version.steps:
        if isinstance(step, Wait):
            silences_s[step.kind] = silences_s.get(step.kind, Fraction(0)) + step.wait_s
    said = [step.element for step in version.steps if isinstance(step, Say)]
    spoken = {(p.spoken, p.speech): p for p in said if isinstance(p, Utterance)}
    own = [element for key, element in spoken.items() if key not in heard]
    grant = version.grant
    places = [
        Place(one.kind, one.question, seconds, one_piece)
        for one in (grant.added if grant else ())
        for seconds, one_piece in ((one.spread_s, False), (one.lump_s, True))
        if seconds
    ]
    is_paced = version.arrangement.arranged_pace != 1
    return Column(
        label=version.label,
        name=version.arrangement.name,
        length_s=found.length_s,
        is_exact=found.is_exact,
        silences_s=silences_s,
        groups_s=_groups(version),
        places=tuple(places),
        entitled_s=grant.entitled_s if grant else Fraction(0),
        sum_text=grant.sum_text if grant else "",
        pace=percent(version.arrangement.arranged_pace),
        readings=_readings(version),
        captions=version.script.settings.captions,
        is_current=_is_built(project, version, options),
        own_words=() if is_paced else tuple(element.shown for element in own),
        share_readings=readings_of(
            version.worded, version.arrangement, kept_lengths(project, version)
        ),
        n_own_sounds=len(own),
    )


def _is_built(project: Project, version: Version, options: Options) -> bool:
    """Say whether a version's files, whichever were asked for, are as they would be built now."""
    folder = options.out / version.script.path.stem
    record = delivered(folder, version.label, project.edition)
    if record is None:
        return False
    keys = {build_key(project, made, version) for made in _options_of(record, options)}
    is_declared = record.build_key in keys
    return is_declared and is_current(folder, version.label, record.build_key) is not None


def _options_of(record: BuildRecord, options: Options) -> tuple[Options, ...]:
    """Return the options that a build may have had; how a page has its audio, no record says."""
    tracks = tuple(path for path, _ in record.paths("track"))
    videos = tuple(path for path, _ in record.paths("video"))
    made = replace(
        options,
        formats=tuple(one for one in get_args(TrackFormat) if _has(tracks, f".{one}")),
        videos=tuple(one for one in get_args(VideoKind) if _has(videos, f"_{one}.mp4")),
        split_at_stops=bool(record.paths("piece")),
    )
    return tuple(replace(made, screen=sound) for sound in get_args(Sound))


def _has(names: tuple[str, ...], ending: str) -> bool:
    return any(name.endswith(ending) for name in names)


def _groups(version: Version) -> tuple[tuple[str, Fraction], ...]:
    """Return the time for answers in each part and group, in order."""
    names: dict[object, str] = {}
    for part, group, block in version.script.blocks():
        name = " / ".join(title for title in (part.title, group.title) if title) or "Test"
        names[block.place] = name
        if isinstance(block, Question):
            for item in block.content:
                names[item.place] = name
    found: dict[str, Fraction] = {}
    last = "Test"
    for step in version.steps:
        if isinstance(step, Wait) and step.kind in {"answer-time", "extra-time"}:
            last = names.get(step.origin.owner, last)
            found[last] = found.get(last, Fraction(0)) + step.wait_s
    return tuple(found.items())


def _readings(version: Version) -> str:
    counts = sorted({one.count for _, _, block in version.script.blocks() for one in heard(block)})
    return ", ".join(str(count) for count in counts) or "none"


# ---- as text and data -------------------------------------------------------------------------


def clock(length_s: Fraction) -> str:
    """Return a length as minutes and seconds, to the nearest second."""
    return counter(length_s + Fraction(1, 2))


def compare_text(
    title: str, edition: str, columns: Sequence[Column], start: DayTime | None = None
) -> str:
    """Return the comparison for the screen; it names arrangements and is confidential.

    `start` is when the tracks start, for times of day; None if that is not known.
    """
    rows = [
        f"{title} — edition {edition}. Confidential: it names arrangements.",
        "",
        (
            f"{'version':8} {'arrangement':24} {'length':>10} {'answers':>10} {'added':>10} "
            f"{'pace':>7} {'readings':>9}  captions"
        ),
    ]
    for one in columns:
        length = clock(one.length_s) if one.is_exact else f"about {clock(one.length_s)}"
        rows.append(
            f"{one.label:8} {one.name[:24]:24} {length:>10} {seconds(one.answer_s):>10} "
            f"{seconds(one.entitled_s):>10} {one.pace:>7} {one.readings:>9}  {one.captions}"
        )
    rows += ["", "Silences in seconds, by kind", _row("", [one.label for one in columns])]
    rows += [
        _row(
            silence_name(kind),
            [seconds(one.silences_s.get(kind, Fraction(0))) for one in columns],
        )
        for kind in KINDS
        if any(kind in one.silences_s for one in columns)
    ]
    rows += ["", "Time for answers by group"]
    rows += [
        _row(name, [seconds(dict(one.groups_s).get(name, Fraction(0))) for one in columns])
        for name in dict.fromkeys(name for one in columns for name, _ in one.groups_s)
    ]
    for one in columns:
        rows += [
            "",
            f"Version {one.label}: {one.name}",
            *(f"  {row}" for row in details(one, start)),
        ]
    return "\n".join(rows) + "\n"


def _row(head: str, cells: Sequence[str]) -> str:
    return f"  {head[:32]:32}" + "".join(f"{cell:>13}" for cell in cells)


def details(one: Column, start: DayTime | None = None) -> list[str]:
    """Return what is added where, what its share can mean, and what to listen to, in sentences."""
    rows = []
    if one.sum_text:
        rows.append(f"extra time: {one.sum_text}")
        rows += [
            f"  {seconds(place.added_s)} "
            + _where(place)
            + (f" of question {place.question}" if place.question else "")
            for place in one.places
        ]
    if one.share_readings is not None:
        rows += share_rows(one.share_readings, start)
    if not one.is_current:
        rows.append("not built as it is declared now: hear the whole track when it is")
    if one.n_own_sounds and one.own_words:
        rows.append("new in this version, listen to:")
        rows += [f"  “{words}”" for words in one.own_words]
    elif one.n_own_sounds:
        rows.append("new in this version: every sentence, as none is at the standard pace")
    return rows


def _where(place: Place) -> str:
    if place.is_one_piece:
        return "in one piece, after the answer time"
    return f"in the {silence_name(place.kind)}"


def compare_data(title: str, edition: str, columns: Sequence[Column]) -> dict[str, object]:
    """Return the comparison as plain data; times are exact decimals or fractions."""
    return {
        "title": title,
        "edition": edition,
        "versions": [
            {
                "label": one.label,
                "arrangement": one.name,
                "length_s": exact_seconds(one.length_s),
                "is_exact": one.is_exact,
                "answer_s": exact_seconds(one.answer_s),
                "silences_s": {k: exact_seconds(s) for k, s in one.silences_s.items()},
                "groups_s": {name: exact_seconds(s) for name, s in one.groups_s},
                "entitled_s": exact_seconds(one.entitled_s),
                "sum": one.sum_text,
                "added": [
                    {
                        "kind": place.kind,
                        "question": str(place.question or ""),
                        "added_s": exact_seconds(place.added_s),
                        "in_one_piece": place.is_one_piece,
                    }
                    for place in one.places
                ],
                "share_readings": None
                if one.share_readings is None
                else share_data(one.share_readings),
                "pace": one.pace,
                "readings": one.readings,
                "captions": one.captions,
                "is_current": one.is_current,
                "to_be_heard": list(one.own_words),
                "n_to_be_heard": one.n_own_sounds,
            }
            for one in columns
        ],
    }
