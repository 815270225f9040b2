"""Long work of a worker: each ask by the function that its command calls; loads what is heavy."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright.checker.report import blind_page, page, report
from pausewright.deliver.build_options import Options
from pausewright.deliver.papers_again import write_papers
from pausewright.deliver.recheck import recheck
from pausewright.deliver.script_set import build_scripts
from pausewright.desk.day_messages import Run
from pausewright.desk.day_work import do_day
from pausewright.desk.messages import (
    SOUNDING,
    Cause,
    Check,
    Checked,
    Compare,
    Heard,
    HeardSound,
    HearLines,
    HearVoice,
    ListVoices,
    Look,
    Made,
    MadeVersion,
    Make,
    PageWritten,
    Print,
    Printed,
    ReadPaper,
    Step,
    Voice,
    Voices,
)
from pausewright.desk.paper_work import read as read_paper_of
from pausewright.desk.run_work import run
from pausewright.desk.told import options_of, rows_of
from pausewright.desk.try_messages import TryText
from pausewright.script.voices_of_languages import usual_order
from pausewright.tasks.arrangements import compare_versions, write_comparison_page
from pausewright.tasks.heard_lines import Meanwhile, Wanted, hear_lines
from pausewright.tasks.heard_voice import sample
from pausewright.tasks.recogniser_at_hand import bundled_ear
from pausewright.voice.engines_at_hand import EnginesAtHand
from pausewright.voice.voice_list import all_profiles

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.desk.messages import Answer, Ask


_ENGINES: Final = EnginesAtHand()
"""Of this process: who asks for one question asks for the next."""
_CHECK_FILES: Final = ("captions", "record", "standard", "needs")


def do(ask: Ask, tell: Callable[[Step], None]) -> Answer:
    """Do long work; raises as the function does that the command calls."""
    match ask:
        case Make():
            return _make(ask, tell)
        case Check():
            return _check(ask, tell)
        case Print():
            return _print(ask, tell)
        case Compare():
            return _compare(ask)
        case ListVoices():
            return _voices(ask)
        case ReadPaper():
            return read_paper_of(ask)
        case HearVoice():
            return _hear_voice(ask)
        case HearLines():
            return _hear_lines(ask, tell)
        case Run():
            return run(ask, tell)
        case Look() | TryText():
            raise TypeError("a test is looked at by work that loads nothing heavy")
    return do_day(ask, tell)


def _make(ask: Make, tell: Callable[[Step], None]) -> Made:
    script = Path(ask.script)
    options = options_of(Path(ask.out), ask.choices, tell)
    (found,) = build_scripts([script], options, ask.choices.names).scripts
    warnings = dict.fromkeys(problem for one in found.built for problem in one.warnings)
    return Made(
        tuple(
            MadeVersion(
                one.label,
                one.is_fresh,
                float(one.length_s),
                one.notes,
                tuple(
                    f"{result.track}: {result.loudness_lufs:.1f} LUFS, true peak "
                    f"{result.true_peak_dbtp:.1f} dBTP"
                    for result in one.checks
                    if result.loudness_lufs is not None and result.true_peak_dbtp is not None
                ),
            )
            for one in found.built
        ),
        tuple(report.as_text(result) for result in found.failed),
        rows_of(warnings, script)[0],
    )


def _check(ask: Check, tell: Callable[[Step], None]) -> Checked:
    more = {name: Path(ask.more[name]) for name in _CHECK_FILES if name in ask.more}
    captions = more.pop("captions", None)
    is_heard = "recognise" in ask.more
    found = recheck(
        Path(ask.path),
        script=Path(ask.script) if ask.script else None,
        captions=() if captions is None else (captions,),
        record=more.get("record"),
        standard=more.get("standard"),
        needs=more.get("needs"),
        readers=ask.more.get("readers"),
        arrangement=ask.more.get("arrangement"),
        room=ask.more.get("room", ""),
        password=ask.more.get("password", ""),
        progress=lambda share: tell(Step("checking", round(share * 100), 100)),
        ear=bundled_ear(lambda n, m: tell(Step("hearing", n, m))) if is_heard else None,
    )
    text = page.as_page(found, is_blind=ask.is_blind)
    page.write_page(text, Path(ask.page), is_blind=ask.is_blind)
    part = blind_page.blind_page(found) if ask.is_blind else page.full_page(found)
    return Checked(
        part.heading,
        part.verdict,
        part.counts,
        found.is_good,
        found.is_good and not all(check.has_script for check in found.checks),
        tuple(Cause(one.severity, one.at, one.sentence, one.place, one.hint) for one in part.first),
        tuple(part.cautions),
    )


def _print(ask: Print, tell: Callable[[Step], None]) -> Printed:
    options = Options(
        Path(ask.out),
        progress=lambda one: tell(Step(one.stage, one.n_done, one.n_all)),
        start=ask.start,
        mark_scheme=ask.mark_scheme,
        text_papers=ask.text_papers,
    )
    found = write_papers(Path(ask.script), options, ask.names)
    return Printed(tuple(file.name for file in found.files), found.is_timed, found.notes)


def _compare(ask: Compare) -> PageWritten:
    write_comparison_page(compare_versions(Path(ask.script), Path(ask.out)), Path(ask.page))
    return PageWritten()


def _voices(ask: ListVoices) -> Voices:
    found = all_profiles(Path(ask.folder))
    return Voices(
        tuple(
            Voice(one.name, one.language, one.engine, one.licence, one.origin, one.caution)
            for one in sorted(found.values(), key=lambda one: usual_order(one.language, one.name))
        )
    )


def _hear_voice(ask: HearVoice) -> Heard:
    return Heard(sample(ask.name, Path(ask.folder), Path(ask.sound)))


def _hear_lines(ask: HearLines, tell: Callable[[Step], None]) -> Heard:
    found = hear_lines(
        Path(ask.script),
        Wanted(ask.what, ask.arrangement, ask.tried, Path(ask.sound)),
        lambda n_done, n_all: tell(Step("voicing", n_done, n_all)),
        engines=_ENGINES.kinds(),
        meanwhile=Meanwhile(ask.growing, lambda: tell(Step(SOUNDING, 1, 1))),
    )
    return Heard(
        "",
        float(found.length_s),
        tuple(
            HeardSound(float(one.start_s), one.words, one.voice, one.take, one.n_samples)
            for one in found.sounds
        ),
        found.entry,
    )
