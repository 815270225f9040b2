"""Work of a worker for the forms of `More`: each by the function that its command calls."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final, cast

from pausewright.arrange.arrangement import STANDARD
from pausewright.checker.report import report
from pausewright.checker.report.lines import counted
from pausewright.deliver import caption_retime, editor_schemas, tidy_file
from pausewright.deliver.build_options import Options
from pausewright.deliver.comparison import compare_text
from pausewright.deliver.heard_log import read_heard_log
from pausewright.deliver.proofs import build_proofs
from pausewright.deliver.script_set import build_scripts, scripts_of
from pausewright.deliver.version_outline import outline_text
from pausewright.desk import season_work
from pausewright.desk.messages import Ran, Step
from pausewright.desk.shelf import ROOMS
from pausewright.desk.shortcut import write_launcher
from pausewright.desk.told import rows_of
from pausewright.desk.uploads import plain_name
from pausewright.papers.timed.day_time import read_day_time
from pausewright.problems import OutputError
from pausewright.tasks import added_voices, arrangements, drafts, kept, outlines, paper_templates
from pausewright.tasks.recogniser_at_hand import sentences_heard
from pausewright.tasks.sentences import sentences_of
from pausewright.wording.plain_lines import LineWorder
from pausewright.wording.table import table_text

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from pausewright.desk.day_messages import Run
    from pausewright.sound.track_files import Format

    Tell = Callable[[Step], None]


def run(ask: Run, tell: Tell) -> Ran:
    """Do what a form asks for; raises as the function does that the command calls."""
    return RUNNERS[ask.key](ask, tell)


def _one(ask: Run, name: str) -> str:
    return (ask.values.get(name) or ("",))[0].strip()


def _file(ask: Run, name: str) -> Path | None:
    return Path(ask.files[name]) if name in ask.files else None


def _needed(ask: Run, name: str) -> Path:
    found = _file(ask, name)
    if found is None:
        raise OutputError("no file is chosen", "choose one, or hand one in")
    return found


def _new(ask: Run, name: str, ending: str) -> Path | None:
    """Return the place in the folder for a name that was given; None for none."""
    given = _one(ask, name)
    if not given:
        return None
    plain = plain_name(given)
    return Path(ask.folder) / (plain if plain.lower().endswith(ending) else f"{plain}{ending}")


def _options(ask: Run, tell: Tell) -> Options:
    return Options(Path(ask.out), progress=lambda one: tell(Step(one.stage, one.n_done, one.n_all)))


def _below(ask: Run, *files: Path) -> tuple[str, ...]:
    """Return names of files from the folder of the tests on."""
    folder = Path(ask.folder)
    return tuple(
        (file.relative_to(folder) if file.is_relative_to(folder) else file).as_posix()
        for file in files
    )


# ---- of one test --------------------------------------------------------------------------


def _outline(ask: Run, _: Tell) -> Ran:
    name = _one(ask, "arrangement")
    script = Path(ask.script)
    found = arrangements.outline_of_version(script, name) if name else outlines.outline_of(script)
    return Ran(
        "Everything in its order.",
        text=outline_text(found.project, found.outline),
        problems=rows_of(found.project.warnings, script)[0],
    )


def _wording(ask: Run, tell: Tell) -> Ran:
    script = Path(ask.script)
    found = (
        sentences_heard(
            script,
            voicing=lambda n, m: tell(Step("voicing", n, m)),
            hearing=lambda n, m: tell(Step("hearing", n, m)),
        )
        if "recognise" in ask.values
        else sentences_of(script)
    )
    sentence = "How everything is said."
    if found.has_errors:
        sentence = "Something cannot be said as it is written."
    elif found.is_heard_otherwise:
        sentence = "The machine's ear hears some of it otherwise: listen there."
    return Ran(
        sentence,
        not (found.has_errors or found.is_heard_otherwise),
        table_text(found.rows, everything="all" in ask.values, heard=found.heard),
        problems=rows_of(found.problems, script)[0],
    )


def _proof(ask: Run, tell: Tell) -> Ran:
    names = tuple(one for one in ask.values.get("arrangement", ()) if one)
    found = build_proofs(
        Path(ask.script),
        _options(ask, tell),
        names,
        all_readings="all_readings" in ask.values,
    )
    notes = [
        f"Version {one.label}: {len(one.left_out)} readings left out, the same sound once more."
        for one in found.proofs
        if one.left_out
    ]
    return Ran(
        "The proof is made. It is not for use: it is listened to once, and the check refuses it.",
        files=_below(ask, *(file for one in found.proofs for file in one.files)),
        notes=tuple(notes),
        problems=rows_of(found.warnings, Path(ask.script))[0],
    )


def _compare(ask: Run, _: Tell) -> Ran:
    start = _one(ask, "start")
    at = read_day_time(start) if start else None
    found = arrangements.compare_versions(Path(ask.script), Path(ask.out))
    return Ran(
        "All versions side by side.",
        text=compare_text(found.title, found.edition, found.columns, at),
        problems=rows_of(found.warnings, Path(ask.script))[0],
    )


def _retime(ask: Run, tell: Tell) -> Ran:
    given = _needed(ask, "captions")
    ending = given.suffix.lower()
    label = _one(ask, "arrangement")
    target = _new(ask, "out", ending) or Path(ask.folder) / f"{given.stem}_{label}{ending}"
    options = replace(_options(ask, tell), arrangement=label or STANDARD)
    found = caption_retime.retime(given, Path(ask.script), options, target)
    return Ran(
        f"{counted(found.n_cues, 'caption')} written for version {found.label}.",
        files=_below(ask, found.written),
        notes=(*found.notes, "Words are not compared: check the captions with their track."),
        problems=rows_of(found.warnings, Path(ask.script))[0],
    )


def _tidy(ask: Run, _: Tell) -> Ran:
    script = Path(ask.script)
    if _one(ask, "how") == "write":
        target = _new(ask, "out", ".md")
        found = tidy_file.tidy_file(script, str(target) if target else "")
        written = found.written
        sentence = "The copy is written." if written else "It is tidy already."
        files = _below(ask, written) if written else ()
        text = ""
    else:
        found = tidy_file.tidy_file(script, only_check=True)
        sentence = "It is tidy already." if found.is_tidy else "This would change:"
        files = ()
        text = "".join(f"{note}\n" for note in found.byte_notes) + found.difference
    problems = rows_of(found.warnings, script)[0]
    return Ran(sentence, text=text, files=files, problems=problems)


def _heard(ask: Run, _: Tell) -> Ran:
    found = read_heard_log(Path(ask.script), Path(ask.out), _needed(ask, "log"))
    rows = tuple(f"Version {label}, {one.sentence}." for label, one in found.items())
    return Ran(
        "The log is taken in. Played is not listened to: who heard the track signs.", notes=rows
    )


def _kept(ask: Run) -> kept.Kept:
    folder = Path(ask.folder)
    return kept.kept_beside(Path(ask.script), Path(ask.out), folder / ROOMS / Path(ask.script).stem)


def _forget(ask: Run, _: Tell) -> Ran:
    found = _kept(ask)
    if not found.sounds and not found.left:
        return Ran("Nothing is kept.")
    n_files = counted(len(found.sounds), "file")
    kept_words = (
        f"{n_files} of voiced sound, {found.n_bytes / 1e6:.1f} MB. They hold the sound of every "
        "test of this folder; they are voiced again when they are needed."
    )
    notes = [kept_words]
    notes += [
        f"left by work that was stopped: {name} {one.note}".strip()
        for one in found.left
        for name in _below(ask, one.path)
    ]
    return Ran(
        "This is kept. Results stay in any case.", notes=tuple(notes), following="forget-now"
    )


def _forget_now(ask: Run, _: Tell) -> Ran:
    n_removed = kept.remove_kept(_kept(ask))
    return Ran(f"Removed: {counted(n_removed, 'file')} of voiced sound.")


# ---- of the whole folder ------------------------------------------------------------------


def _draft(ask: Run, tell: Tell) -> Ran:
    script = _new(ask, "out", ".md")
    if script is None:
        raise OutputError("a test needs a name", "write one, as it shall be called here")
    found = drafts.draft_script(
        _needed(ask, "recording"),
        _file(ask, "text"),
        script,
        _one(ask, "language"),
        lambda stage, n, m: tell(Step(stage, n, m)),
    )
    doubts = "\n".join(one.whole for one in found.draft.all_doubts)
    return Ran(
        f"A first text is written: {counted(len(found.draft.questions), 'question')}. Compare "
        "every word, number and time with the recording before you use it.",
        text=f"{doubts}\n" if doubts else "",
        files=_below(ask, found.script),
        notes=found.cautions,
    )


def _build(ask: Run, tell: Tell) -> Ran:
    options = replace(
        _options(ask, tell),
        formats=(cast("Format", _one(ask, "format") or "mp3"),),
        mark_scheme="mark_scheme" in ask.values,
        text_papers="text_papers" in ask.values,
    )
    found = build_scripts(scripts_of([Path(ask.folder)]), options)
    rows = [
        f"{one.folder.name}, version {one.label}: {'made' if one.is_fresh else 'was up to date'}"
        for script in found.scripts
        for one in script.built
    ]
    failed = [report.as_text(result) for one in found.scripts for result in one.failed]
    sentence = "Made, and the check found them good. No person has heard them yet."
    if failed:
        sentence = "The check found something wrong; of those tests nothing was delivered."
    return Ran(sentence, not failed, "\n".join(failed), notes=tuple(rows))


def _lines(ask: Run, _: Tell) -> Ran:
    chosen = _one(ask, "set").splitlines()
    pairs: Mapping[str, str] = {
        name.strip(): value.strip() for name, _, value in (one.partition("=") for one in chosen)
    }
    name = Path("lines")
    worder = LineWorder(name, _one(ask, "language"), pairs)
    rows = [
        worder.spoken(line, number)
        for number, line in enumerate(_one(ask, "lines").splitlines(), start=1)
    ]
    problems = worder.problems.all
    return Ran(
        "So they are said.",
        not worder.problems.errors,
        "".join(f"{row}\n" for row in rows),
        problems=rows_of(problems, name)[0],
    )


def _voice_offer(ask: Run, _: Tell) -> Ran:
    offer = added_voices.offered(_one(ask, "add"))
    return Ran(
        f"{offer.name}: {offer.language}, {offer.n_bytes / 1e6:.1f} MB.",
        text=offer.card,
        notes=(f"licence: {offer.licence}", f"origin: {offer.origin}"),
        following="voice-add",
        about=offer.name,
    )


def _voice_add(ask: Run, tell: Tell) -> Ran:
    offer = added_voices.offered(_one(ask, "about"))
    profile = added_voices.add(
        offer, Path(ask.folder), lambda _file, n, n_all: tell(Step("fetching", n, n_all))
    )
    return Ran("The voice is added: hear it on the page Voices.", files=_below(ask, profile))


def _voice_off(ask: Run, _: Tell) -> Ran:
    name = _one(ask, "remove")
    what = added_voices.removal(name, Path(ask.folder))
    warned = [
        f"{one} names this voice: name another one there, or it cannot be made."
        for one in _below(ask, *what.scripts)
    ]
    return Ran(
        "This would go.",
        files=_below(ask, *what.files),
        notes=tuple(warned),
        following="voice-remove",
        about=name,
    )


def _voice_remove(ask: Run, _: Tell) -> Ran:
    what = added_voices.removal(_one(ask, "about"), Path(ask.folder))
    added_voices.remove(what)
    return Ran(f"The voice {what.name} is removed.")


def _templates(ask: Run, _: Tell) -> Ran:
    folder = Path(ask.folder) / plain_name(_one(ask, "copy_templates"))
    return Ran(
        "The templates are written.", files=_below(ask, *paper_templates.copy_templates(folder))
    )


def _schemas(ask: Run, _: Tell) -> Ran:
    found = editor_schemas.write_schemas(Path(ask.folder))
    notes = [
        f"to use {name}, begin the settings or the file with: "
        f"{editor_schemas.COMMENT.format(name=name)}"
        for name in found
    ]
    return Ran("They are in this folder.", files=tuple(found), notes=tuple(notes))


def _launcher(ask: Run, _: Tell) -> Ran:
    file = write_launcher(Path(ask.folder))
    return Ran("It is written. A double click on it opens this desk.", files=_below(ask, file))


RUNNERS: Final[Mapping[str, Callable[[Run, Tell], Ran]]] = {
    "outline": _outline,
    "wording": _wording,
    "proof": _proof,
    "compare": _compare,
    "retime": _retime,
    "tidy": _tidy,
    "heard": _heard,
    "forget": _forget,
    "forget-now": _forget_now,
    "draft": _draft,
    "build": _build,
    "lines": _lines,
    "voice-offer": _voice_offer,
    "voice-add": _voice_add,
    "voice-off": _voice_off,
    "voice-remove": _voice_remove,
    "templates": _templates,
    "schemas": _schemas,
    "launcher": _launcher,
    "season-make": season_work.make,
    "season-ask": season_work.ask_it,
}
"""By the key of the form."""
