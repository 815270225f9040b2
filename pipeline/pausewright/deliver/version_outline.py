"""The outline: structure, spoken words, every silence with its origin, running time and totals."""

from __future__ import annotations

import textwrap
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.deliver.step_lengths import excerpt_s, speech_s
from pausewright.frozen import frozen
from pausewright.plan.clock import counter, exact_seconds
from pausewright.plan.steps import steps as planned
from pausewright.plan.timeline import Mark, Say, Wait
from pausewright.script.attributes.values import decimal
from pausewright.script.silences import SILENCES, silence_name
from pausewright.wording.line_elements import Excerpt, ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.plan.extra_time import Grant
    from pausewright.plan.timeline import Questions, Step
    from pausewright.problems import Place
    from pausewright.script.silences import SilenceKind


@frozen
class Outline:
    """Steps with their running time; lengths of speech are exact if kept, else estimated."""

    rows: tuple[Row, ...]
    length_s: Fraction
    is_exact: bool
    totals: dict[SilenceKind, tuple[int, Fraction]]
    """By kind of silence: how many, and their sum in seconds."""
    n_questions: int
    label: str = ""
    """Of an arrangement; "" for the standard track."""
    extra_time: str = ""
    """The sum of an arrangement's extra time, written out."""


@frozen
class Row:
    """One line of the outline."""

    at_s: Fraction
    kind: str
    """"part", "question", "stop", "say", "sound", "tone", or a kind of silence."""
    text: str
    length_s: Fraction
    is_exact: bool
    origin: str = ""
    place: str = ""
    question: Questions | None = None
    reading: int = 0


def outline(
    project: Project,
    kept_s: Callable[[Utterance], Fraction | None],
    version: Version | None = None,
) -> Outline:
    """Return the outline of a version; of the standard track without one.

    `kept_s` gives the length of an utterance that was voiced before, in seconds, or None.
    """
    script = project.script if version is None else version.script
    steps = planned(project.worded) if version is None else version.steps
    rows: list[Row] = []
    totals: dict[SilenceKind, tuple[int, Fraction]] = {}
    at_s = Fraction(0)
    for step in steps:
        row = _row(project, step, at_s, kept_s)
        rows.append(row)
        at_s += row.length_s
        if isinstance(step, Wait):
            count, total_s = totals.get(step.kind, (0, Fraction(0)))
            totals[step.kind] = (count + 1, total_s + step.wait_s)
    n_questions = sum(1 for q in script.questions() if not q.practice)
    label = "" if version is None else version.label
    extra_time = "" if version is None or version.grant is None else _granted(version.grant)
    is_exact = all(r.is_exact for r in rows)
    return Outline(tuple(rows), at_s, is_exact, totals, n_questions, label, extra_time)


def _granted(grant: Grant) -> str:
    places = "1 place" if grant.n_places == 1 else f"{grant.n_places} places"
    return f"{grant.sum_text}, in {places}, none inside speech"


def _row(
    project: Project, step: Step, at_s: Fraction, kept_s: Callable[[Utterance], Fraction | None]
) -> Row:
    if isinstance(step, Mark):
        return Row(at_s, step.kind, step.title, Fraction(0), is_exact=True)
    if isinstance(step, Wait):
        return Row(
            at_s,
            step.kind,
            silence_name(step.kind),
            step.wait_s,
            is_exact=True,
            origin=_origin(project, step),
            place=_place(project, step.place),
            question=step.question,
            reading=step.reading,
        )
    return _sound_row(project, step, at_s, kept_s)


def _sound_row(
    project: Project, step: Say, at_s: Fraction, kept_s: Callable[[Utterance], Fraction | None]
) -> Row:
    element = step.element
    line = _place(project, element.place)
    if isinstance(element, ToneCue):
        return Row(at_s, "tone", element.name, element.spec.tone_s, is_exact=True, place=line)
    if isinstance(element, Excerpt):
        length_s, is_exact = excerpt_s(element.sound)
        kind, text, origin = "sound", element.sound.description or element.sound.path, ""
    else:
        length_s, is_exact = speech_s(project.script.settings, element, kept_s(element))
        text = f"{step.speaker}: {element.words}" if step.speaker else element.words
        kind, origin = "say", _speech(project, element)
    return Row(
        at_s,
        kind,
        text,
        length_s,
        is_exact=is_exact,
        origin=origin,
        place=line,
        question=step.question,
        reading=step.reading,
    )


def _speech(project: Project, element: Utterance) -> str:
    settings, speech = project.script.settings, element.speech
    notes = []
    if speech.voice != settings.voice:
        notes.append(f"voice {speech.voice}")
    if speech.language != settings.language:
        notes.append(speech.language)
    if speech.pace != 1:
        notes.append(f"pace {decimal(speech.pace * 100)} %")
    if speech.take != 1:
        notes.append(f"take {speech.take}")
    return ", ".join(notes)


def _origin(project: Project, step: Wait) -> str:
    if step.kind in {"lead-in", "run-out"}:
        return "always"
    if step.place is None:
        return "default"
    if step.place.file.suffix == ".yaml":
        return "arrangement"
    if step.place.file != project.script.path:
        return f"{_included(project, step.place)} line {step.place.line}"
    if _in_settings(project, step.place.line):
        return "settings"
    return f"line {step.place.line}"


def _in_settings(project: Project, line: int) -> bool:
    rows = project.script.sources[project.script.path].splitlines()
    fences = [i + 1 for i, row in enumerate(rows) if row.rstrip() == "---"][:2]
    return len(fences) == 2 and fences[0] < line < fences[1]


def _place(project: Project, place: Place | None) -> str:
    """Return line and column; for a place in an included file, with its name before them."""
    if place is None:
        return ""
    name = "" if place.file == project.script.path else f"{_included(project, place)}:"
    return f"{name}{place.line}:{place.column}"


def _included(project: Project, place: Place) -> str:
    folder = project.script.path.parent
    inside = place.file.is_relative_to(folder)
    return (place.file.relative_to(folder) if inside else place.file).as_posix()


# ---- as text and data -----------------------------------------------------------------------


def outline_text(project: Project, found: Outline) -> str:
    """Return the outline for the screen: at most 100 columns, readable without colour."""
    settings = project.script.settings
    about = "" if found.is_exact else "about "
    rows = [
        (
            f"{settings.title} — edition {project.edition}, language {settings.language}, "
            f"voice {settings.voice}"
        ),
        f"{found.n_questions} question{'' if found.n_questions == 1 else 's'}, "
        f"length {about}{_clock(found.length_s)}"
        + (f", version {found.label}" if found.label else ""),
        *([f"extra time: {found.extra_time}"] if found.extra_time else []),
        "",
    ]
    for row in found.rows:
        rows += _text_rows(row)
    rows += ["", "Silences", *_total_rows(found)]
    if not found.is_exact:
        rows += ["", "Lengths marked “about” are estimates: the words were not voiced yet."]
    return "\n".join(rows) + "\n"


def _text_rows(row: Row) -> Sequence[str]:
    if row.kind == "part":
        return ["", f"{_clock(row.at_s)}  {row.text.upper()}"]
    if row.kind in {"question", "stop"}:
        return [f"{_clock(row.at_s)}  {row.text}"]
    about = "" if row.is_exact else "about "
    length = f"{about}{decimal(row.length_s, 2)} s"
    if row.kind in {"say", "sound", "tone"}:
        what = f"“{row.text}”" if row.kind == "say" else f"({row.kind}: {row.text})"
        note = f"  [{row.origin}]" if row.origin else ""
        return _folded(f"{what}{note}", f"{length:>12}")
    origin = f"  ({row.origin})" if row.origin and row.kind != "default-pause" else ""
    return [f"{'':9}{length:>12}  · {row.text}{origin}"]


def _folded(text: str, length: str) -> list[str]:
    first, *rest = textwrap.wrap(text, 76) or [""]
    return [f"{'':9}{length}  {first}", *(f"{'':23}{row}" for row in rest)]


def _total_rows(found: Outline) -> list[str]:
    rows = []
    for kind, one in SILENCES.items():
        if kind in found.totals:
            count, total_s = found.totals[kind]
            rows.append(f"  {one.name:<32}{count:>5} ×   sum {decimal(total_s, 3):>10} s")
    return rows


def _clock(at_s: Fraction) -> str:
    return counter(at_s).rjust(7)


def outline_data(project: Project, found: Outline) -> dict[str, object]:
    """Return the outline as plain data for `--json`; times are exact decimals or fractions."""
    return {
        "title": project.script.settings.title,
        "edition": project.edition,
        "language": project.script.settings.language,
        "version_label": found.label,
        "extra_time": found.extra_time,
        "n_questions": found.n_questions,
        "length_s": exact_seconds(found.length_s),
        "is_exact": found.is_exact,
        "silences": {
            kind: {"count": count, "total_s": exact_seconds(total_s)}
            for kind, (count, total_s) in found.totals.items()
        },
        "steps": [
            {
                "at_s": exact_seconds(row.at_s),
                "kind": row.kind,
                "text": row.text,
                "length_s": exact_seconds(row.length_s),
                "is_exact": row.is_exact,
                "origin": row.origin,
                "place": row.place,
                "question": str(row.question or ""),
                "reading": row.reading,
            }
            for row in found.rows
        ],
        "warnings": [problem.message for problem in project.warnings],
    }
