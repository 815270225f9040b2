"""A stop at any place of a delivered track, against ffmpeg's silences and the script."""

from __future__ import annotations

import json
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import pytest
from pausewright.deliver.build import build_versions
from pausewright.deliver.interrupted import Stop, where_stopped
from pausewright.deliver.outputs import track_output
from pausewright.deliver.production import Production
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.papers.timed.day_time import read_place
from pausewright.papers.timed.interruption import (
    Interruption as Found,
)
from pausewright.papers.timed.interruption import (
    interruption,
    minutes_seconds,
    round_tenths,
    seconds,
    told,
    where_at,
)
from pausewright.papers.timed.running_sheet import running_times
from pausewright.problems import OutputError
from pausewright.records.record_files import read_as
from pausewright.records.shapes import RunningTimes
from pausewright.screen.room_screen import page_row
from pausewright.screen.where_table import where_table
from support.amounts import cases
from support.browser.screen_modules import evaluated, modules, needs_node
from support.browser.screen_pages import island
from support.interruptions import Oracle
from support.paper_text import text_of
from support.places import DEMO
from support.scripts.demo_scripts import SCRIPTS, copy_of_demos
from support.scripts.versions import END, HEAD, built_track, options, written
from support.voices.fake_voice import fake_profile, fake_profiles

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pausewright.deliver.build_options import Options
    from support.command_line import Run

EDGE_S = 0.12
"""So near the edge of a silence either side is right: our own edge is at 0.1 s."""
TEXT = (
    HEAD
    + """# Opening

Welcome to the test. Listen well.

::: stop {for="20 s"}
Ask now.
:::

::: stop {for="9 s" .rest}
Have a rest.
:::

# Test {answer-time="6 s" readings="2" between-readings="3 s" announce="Number {number}."}

1. How many boats lie on the quay?
2. How many boats have left?

::: page-turn {for="5 s"}
Turn over.
:::

3. How many are left now?"""
    + END
)
MORE = """longer: {label: B, basis: f, extra-time: 25 %, stretch: [answer-time],
  share-of: listed-silences, where: each-gap}
thrice: {label: C, basis: g, readings: 3}"""


@pytest.fixture(scope="module")
def tide(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Options]:
    """Return a script built in three versions, and how."""
    folder = tmp_path_factory.mktemp("tide")
    script, how = written(folder, TEXT, MORE), options(folder)
    build_versions(script, how)
    return script, how


def times_of(how: Options, label: str) -> RunningTimes:
    """Return what was recorded of a track."""
    file = how.out / "tide" / "confidential" / f"running-times_{label}.json"
    times = read_as(file, RunningTimes)
    assert times is not None
    return times


@pytest.mark.parametrize("label", ["A", "B", "C"])
def test_any_stop_agrees_with_ffmpeg_and_the_script(tide: tuple[Path, Options], label: str) -> None:
    """The place to go on is in a silence, never later than the stop; what is owed is right."""
    script, how = tide
    times = times_of(how, label)
    (version,) = made_versions(open_project(script, how.profiles), [label])
    track = built_track(how, label, "wav")
    oracle = Oracle(track, version.worded)
    draw = np.random.default_rng(ord(label))
    length_ms = int(Fraction(times.length_s) * 1000)
    cuts = set()
    for _ in range(cases(300, 3000)):
        at_s = Fraction(int(draw.integers(length_ms)), 1000)
        cuts.add(agreed(times, oracle, at_s).cut)
    assert cuts >= {"speech", "silence", "hold", "pause"}


def agreed(times: RunningTimes, oracle: Oracle, at_s: Fraction, near_s: float = 1e-3) -> Found:
    """Return what a stop means, once the oracle has said the same.

    The place to go on is in a silence, `near_s` from its ends at most, and not after the stop.
    """
    found = interruption(times, at_s)
    oracled = oracle.told(float(at_s), EDGE_S)
    resume_s = float(found.resume_s)
    told = f"at {float(at_s)}: {found}, {oracled}"
    assert any(g.start_s - near_s <= resume_s <= g.end_s + near_s for g in oracle.gaps), told
    assert found.resume_s <= at_s, told
    if not oracled.is_edge:
        assert oracled.resume[0] - near_s <= resume_s <= oracled.resume[1] + near_s, told
        assert float(found.owed_s) == pytest.approx(oracled.owed_s or 0, abs=0.1), told
        assert (found.cut == "silence") == (oracled.owed_s is not None), told
    return found


ARRANGED = sorted((DEMO / "arrangements").glob("*.md"))
RECORDED_NEAR_S = 0.05
"""docs/the-check.md: a silence beside a sound as recorded."""


@pytest.mark.parametrize("demo", [*SCRIPTS, *ARRANGED], ids=lambda path: path.stem)
def test_any_stop_of_any_demo_agrees_with_ffmpeg_and_the_script(
    demo: Path, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """Every demo in every version, music and recordings with it: as above.

    Tracks are laid as a build lays them, with the voice without a model.
    """
    script = copy_of_demos(tmp_path) / demo.relative_to(DEMO)
    profiles = {**fake_profiles(tmp_path), "nela": fake_profile(tmp_path, "nela")}
    project = open_project(script, profiles)
    how = options(tmp_path, profiles=profiles)
    versions = made_versions(project)
    made = Production(
        project,
        how,
        versions,
        keys={one.label: "" for one in versions},
        folder=tmp_path / "none",
        stage=tmp_path / "stage",
    ).jobs()
    n_tried = 0
    for job in made:
        job.add(track_output.write(job))
        (track,) = job.paths("track")
        where = where_table(job.version.script, job.line)
        times = running_times(job.version.script, job.line, track=track.name, where=where)
        oracle = Oracle(track, job.version.worded)
        draw = np.random.default_rng([24, ord(job.label)])
        length_ms = 1000 * job.line.n_samples // job.line.rate_hz
        for at_ms in draw.integers(length_ms, size=cases(60, 200)):
            agreed(times, oracle, Fraction(int(at_ms), 1000), RECORDED_NEAR_S)
            n_tried += 1
    record_property("n_tried", n_tried)
    assert n_tried >= 60 * len(versions)


@needs_node
@pytest.mark.parametrize("label", ["A", "B", "C"])
def test_the_room_s_screen_and_the_command_agree(
    tide: tuple[Path, Options], run: Run, tmp_path: Path, label: str
) -> None:
    """One table: what was cut, how much of it, what is owed, where another player goes on."""
    script, how = tide
    times = times_of(how, label)
    folder = how.out / "tide"
    (page,) = (folder / f"version-{label}").glob("*_room-screen.html")
    table = island(page)["where"]
    assert table == [page_row(one) for one in times.where]
    draw = np.random.default_rng(ord(label) + 24)
    asked = sorted(map(int, draw.integers(int(Fraction(times.length_s) * 1000), size=700)))
    (tmp_path / "table.json").write_text(json.dumps([table, asked]), encoding="utf-8")
    said = evaluated(
        modules(tmp_path),
        """import {choices, told, whereAt} from "./room/incident.js";
        import {readFileSync} from "node:fs";
        const [table, asked] = JSON.parse(readFileSync("table.json", "utf-8"));""",
        "asked.map(ms => [told(whereAt(table, ms), ms), choices(whereAt(table, ms), ms)])",
    )
    for ms, (meant, choice) in zip(asked, said, strict=True):
        found = interruption(times, Fraction(ms, 1000))
        assert meant == told(found.row, ms)
        if found.cut != "hold":
            assert choice.endswith(f"On another player: from {minutes_seconds(found.resume_s)}.")
            assert found.row.back_to in choice
        if found.cut == "silence":
            owed = round_tenths(found.row.end_ms - found.row.start_ms) - int(found.heard_s * 10)
            assert f"{seconds(owed)} s owed" in meant
    for ms, (meant, choice) in list(zip(asked, said, strict=True))[::100]:
        place = f"{ms // 60_000}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"
        code, out, err = run(
            "where", str(script), place, "--out", str(how.out), "--version", label, "--json"
        )
        assert code == 0, err
        data = json.loads(out)
        assert data["told"] == meant
        if choice:
            resume_s = Fraction(str(data["resume_s"]))
            assert choice.endswith(f"from {minutes_seconds(resume_s)}.")


def test_a_silence_goes_on_at_exactly_the_same_place(tide: tuple[Path, Options]) -> None:
    """As one body asks for its tracks (AA-07), but for the last 0.1 s before words."""
    times = times_of(tide[1], "B")
    silent = 0
    for tenth in range(int(Fraction(times.length_s) * 10)):
        at_s = Fraction(tenth, 10) + Fraction(1, 100)
        found = interruption(times, at_s)
        if found.cut in {"silence", "hold"}:
            silent += 1
            assert at_s - Fraction(1, 10) <= found.resume_s <= at_s
    assert silent > 100


def test_the_command_says_it_and_fills_in_a_sheet(
    tide: tuple[Path, Options], run: Run, tmp_path: Path
) -> None:
    """From a place or from clock times; the sheet says the same; a second one is refused."""
    script, how = tide
    length_s = Fraction(times_of(how, "B").length_s)
    asked = ("where", str(script), "--out", str(how.out), "--version", "B")
    sheet = tmp_path / "incident.pdf"
    code, out, err = run(
        *asked, "0:58.2", "--start", "09:15", "--again", "09:22:30", "--sheet", str(sheet), "--json"
    )
    assert code == 0, err
    data = json.loads(out)
    text = " ".join(text_of(sheet).split())
    assert data["at_s"] == 58.2
    assert "0:58.2" in text
    assert "09:15:58" in text
    assert data["end"] in text
    hours, minutes, seconds = map(int, data["end"].split(":"))
    since_again_s = ((hours - 9) * 60 + minutes - 22) * 60 + seconds - 30
    assert since_again_s == int(length_s - Fraction(str(data["resume_s"])))
    assert "boats" not in text

    code, out, _ = run(*asked, "--start", "09:15:00", "--clock", "09:16:00", "--waited", "0:02")
    assert code == 0
    assert "0:58.0" in out
    code, _, err = run(*asked, "0:58", "--sheet", str(sheet))
    assert (code, "left as it is" in err) == (2, True)
    for bad in (("61:00",), ("seven",), (), ("0:10", "--start", "9.15")):
        code, _, err = run(*asked, *bad)
        assert (code, "hint:" in err) == (2, True), err


def test_a_track_that_is_not_the_built_one_is_refused(
    tide: tuple[Path, Options], tmp_path: Path
) -> None:
    """Places are those of the delivered bytes and of no others."""
    script, _ = tide
    build_versions(script, how_else := options(tmp_path), ["A"])
    track = built_track(how_else, "A", "wav")
    track.write_bytes(track.read_bytes()[:-2])
    with pytest.raises(OutputError, match="is not the track that was built"):
        where_stopped(script, how_else.out, "A", Stop("0:10"))


@pytest.mark.parametrize(
    ("written_place", "at_s"),
    [("07:13", 433), ("1:02:03", 3723), ("7:13.25", Fraction(1733, 4)), ("75:00", 4500)],
)
def test_places_are_read_as_a_counter_shows_them(written_place: str, at_s: Fraction) -> None:
    """Minutes may go beyond 59."""
    assert read_place(written_place) == at_s


@pytest.mark.parametrize("label", ["A", "B"])
def test_a_stop_has_one_time_and_the_sheet_names_the_sound_check(
    tide: tuple[Path, Options], label: str
) -> None:
    """When its silence begins: in the screen's list and countdown, on the sheet, by `where`."""
    _, how = tide
    folder = how.out / "tide"
    times = times_of(how, label)
    (page,) = (folder / f"version-{label}").glob("*_room-screen.html")
    data = island(page)
    listed = [start_ms for kind, _, start_ms in data["entries"] if kind == "stop"]
    on_sheet = [
        Fraction(row.at_s) * 1000
        for row in times.rows
        if row.kind in {"stop", "rest"} and row.at_s is not None
    ]
    assert listed == [one[0] for one in data["halts"]]
    assert [float(one) for one in on_sheet] == pytest.approx(listed, abs=0.5)
    assert len(listed) == 2
    for start_ms in listed:
        row = where_at(times.where, start_ms + 150)
        assert row.start_ms == start_ms
        assert row.happens in {"held", "given"}
    (sheet,) = (folder / "print" / "staff").glob(f"running-sheet_{label}_*.pdf")
    text = "".join(text_of(sheet).split())
    assert (folder / f"version-{label}" / times.sound_check).is_file()
    assert times.sound_check in text
    assert "playthesoundcheckbesidethetrack" in text
