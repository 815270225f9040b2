"""The screens' tables of phases and events, walked through pair by pair, and the machine itself."""

from __future__ import annotations

import re
from dataclasses import dataclass
from importlib import resources
from typing import TYPE_CHECKING, Any

import pytest
from support.browser.screen_modules import evaluated, modules, needs_node

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = needs_node

TABLES = {
    "room": ("room", "TABLE", "loading", {"unusable", "ended"}),
    "practice": ("room", "PRACTICE", "loading", {"unusable"}),
    "reader": ("reader", "TABLE", "before", set()),
}
"""Module's folder, name of the table, first phase, phases from which only a reload leads on."""


@dataclass(frozen=True)
class Phases:
    """A table as the page has it, and what its module says of it."""

    table: dict[str, dict[str, dict[str, Any]]]
    events: list[str]
    first: str
    last: set[str]
    actions: set[str]
    """Names that the type of actions lists."""

    def outcome(self, phase: str, event: str) -> str:
        """Return the phase that follows; without a row it is the same."""
        row = self.table[phase].get(event)
        return row["to"] if row else phase

    def reached(self, start: str) -> set[str]:
        """Return every phase that can follow, near or far."""
        found = {start}
        while True:
            more = {self.outcome(phase, event) for phase in found for event in self.events}
            if more <= found:
                return found
            found |= more


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the modules for Node."""
    return modules(tmp_path_factory.mktemp("modules"))


@pytest.fixture(scope="module", params=TABLES)
def phases(request: pytest.FixtureRequest, folder: Path) -> Phases:
    """Return each table in turn."""
    module, name, first, last = TABLES[request.param]
    table, events = evaluated(
        folder, f'import {{{name}, EVENTS}} from "./{module}/machine.js";', f"[{name}, EVENTS]"
    )
    text = resources.files("pausewright.screen").joinpath(module, "machine.js").read_text("utf-8")
    listed = re.search(r"@typedef \{([^}]*)\} Action", text)
    assert listed
    return Phases(table, events, first, last, set(re.findall(r'"(\w+)"', listed[1])))


def test_every_pair_of_phase_and_event_has_an_outcome(phases: Phases) -> None:
    """Each leads to a phase that there is, by actions that there are; no row is for nothing."""
    pairs = [(phase, event) for phase in phases.table for event in phases.events]
    assert len(pairs) >= 40

    assert {phases.outcome(*pair) for pair in pairs} <= set(phases.table)
    for phase, rows in phases.table.items():
        assert set(rows) <= set(phases.events), phase
        for event, row in rows.items():
            assert set(row["does"]) <= phases.actions, (phase, event)
            assert row["does"] or row["to"] != phase or event.startswith("at"), (phase, event)


def test_no_event_and_no_action_is_idle(phases: Phases) -> None:
    """Every event does something in some phase, and every action is taken."""
    rows = [(event, row) for rows in phases.table.values() for event, row in rows.items()]
    practice_only = {"visit"} if "visit" not in dict(rows) and "visit" in phases.events else set()

    assert set(phases.events) - {event for event, _ in rows} == practice_only
    taken = {action for _, row in rows for action in row["does"]}
    assert phases.actions - taken == ({"visitPlace"} if practice_only else set())


def test_every_phase_is_reached_and_none_is_a_trap(phases: Phases) -> None:
    """From the first phase lead ways to all; from each but the named ends to any later one."""
    assert phases.reached(phases.first) == set(phases.table)

    ends = {phase for phase in phases.table if phases.reached(phase) == {phase}}
    assert ends == phases.last
    goal = "end" if "end" in phases.table else "ended"
    traps = {phase for phase in phases.table if goal not in phases.reached(phase)}
    assert traps == phases.last - {goal}


def test_nothing_sounds_before_a_hand_asked_for_it(folder: Path) -> None:
    """Only a press, a choice or the test of the sound leads to a phase in which it may sound."""
    table = evaluated(folder, 'import {TABLE} from "./room/machine.js";', "TABLE")
    loud = {"starting", "playing", "trying"}
    into = {
        (phase, event)
        for phase, rows in table.items()
        for event, row in rows.items()
        if row["to"] in loud and phase not in loud
    }

    assert into == {
        ("untested", "press"), ("untested", "skip"), ("ready", "press"), ("ready", "test"),
        ("paused", "press"), ("paused", "repeat"), ("halted", "press"), ("offered", "press"),
        ("offered", "repeat"),
    }  # fmt: skip
    silent = set(table) - {"starting", "playing"}
    assert all(table[phase]["sounds"] == {"to": phase, "does": ["hush"]} for phase in silent)


@pytest.mark.parametrize("phase", ["playing", "starting"])
def test_whatever_stops_the_test_silences_it(folder: Path, phase: str) -> None:
    """Every way to standing still begins with silence, unless the browser did not play."""
    table = evaluated(folder, 'import {TABLE} from "./room/machine.js";', "TABLE")
    ways = [r for r in table[phase].values() if r["to"] in {"paused", "halted"}]

    assert len(ways) >= 5
    assert all(row["does"][0] in {"hush", "sayUnplayed"} for row in ways)


MACHINE = """
import {Machine, extended} from "./shared/machine.js";
const seen = [];
const to = (phase, ...does) => ({to: phase, does});
const table = {
  a: {go: to("b", "tell"), stay: to("a", "tell")},
  b: {back: to("a"), more: to("b", "ask")},
};
const machine = new Machine(extended(table, {a: {leap: to("b")}}), "a", {
  tell: (event, detail) => seen.push([event, detail, machine.phase]),
  ask: () => { machine.send("back", 0); seen.push(["asked", 0, machine.phase]); },
}, {entering: left => seen.push(["left", left]), entered: () => seen.push(["now", machine.phase])});
for (const event of ["back", "stay", "go", "go", "more", "leap"]) machine.send(event, 7);
"""


def test_the_machine_takes_one_event_after_the_other(folder: Path) -> None:
    """No row: nothing. An event out of an action waits until the action's own is dealt with."""
    assert evaluated(folder, MACHINE, "[seen, machine.turn, Object.keys(table.a)]") == [
        [
            ["stay", 7, "a"], ["now", "a"],
            ["left", "a"], ["go", 7, "b"], ["now", "b"],
            ["asked", 0, "b"], ["now", "b"], ["left", "b"], ["now", "a"],
            ["left", "a"], ["now", "b"],
        ],
        3,
        ["go", "stay"],
    ]  # fmt: skip


DATA = """{length_ms: 60000, late_ms: 100, practice: false, entries: [],
  cues: [[1000, 2000, ["x"]]],
  silences: [[4000, 6000, "Time to answer"]], turns: [31000],
  stretches: [[0, 30000, "One", 0], [30000, 60000, "Two", 29700]],
  halts: [[10000, 20000, "Stop 1", false], [22000, 25000, "Stop 2", true],
    [40000, 50000, "Stop 3", false]]}"""
TRACK = f'import {{Track}} from "./room/track.js";\nconst track = new Track({DATA});'


def test_the_stop_that_is_waited_at_is_not_to_come(folder: Path) -> None:
    """Two before the first, one at it and between them, none at the second and after it."""
    asked = [
        (5, "", -1),
        (10.2, "", 0),
        (20, "0", -1),
        (40.1, "0", -1),
        (40.2, "0", 2),
        (55, "0, 2", -1),
    ]
    calls = ", ".join(f"track.stopsToCome({s}, new Set([{done}]), {at})" for s, done, at in asked)

    assert evaluated(folder, TRACK, f"[{calls}]") == [2, 1, 1, 1, 0, 0]


def test_what_is_to_come_leaves_out_the_rests_of_holds(folder: Path) -> None:
    """60 s with two holds of 10 s: 0.2 s of each are heard before it waits, 1 s after it."""
    calls = (
        "[track.toCome_s(0, new Set()), track.toCome_s(10.2, new Set()), "
        "track.toCome_s(19, new Set([0])), track.toCome_s(60, new Set([0, 2]))]"
    )

    assert evaluated(folder, TRACK, calls) == pytest.approx([60 - 2 * 8.8, 41 - 8.8, 41 - 8.8, 0])


def test_a_hold_is_due_when_it_is_reached_or_was_run_over(folder: Path) -> None:
    """Reached at 10.2 s; not once it was served; run over by a computer that hung."""
    calls = (
        "[track.holdDue(10.1, 10, new Set()), track.holdDue(10.2, 10.1, new Set()),"
        " track.holdDue(10.2, 10.1, new Set([0])), track.holdDue(23, 9, new Set()),"
        " track.holdDue(26, 21, new Set())]"
    )

    assert evaluated(folder, TRACK, calls) == [-1, 0, -1, 0, -1]


def test_what_follows_a_hold_begins_in_its_end(folder: Path) -> None:
    """A hold from 10 to 20 s waits until 19 s; from there on it is done with."""
    places_s = (10, 10.2, 18.9, 19, 19.7, 20, 30)
    calls = ", ".join(f"track.holdsBefore({s}).size" for s in places_s)

    assert evaluated(folder, TRACK, f"[{calls}]") == [0, 0, 0, 1, 1, 1, 2]


def test_a_timed_rest_counts_and_never_waits(folder: Path) -> None:
    """It is no stop to come, nothing is due in it, and what is next names it."""
    calls = (
        "[track.holdAt(23), track.holdDue(22.3, 22.1, new Set()), track.countedAt(23)[2],"
        " track.countedAt(12), track.nextAhead(0, new Set()), track.nextAhead(21, new Set()),"
        " track.nextAhead(26, new Set()), track.nextAhead(55, new Set())]"
    )

    assert evaluated(folder, TRACK, calls) == [
        -1, -1, "Stop 2", None, {"at_s": 10, "name": "Stop 1"},
        {"at_s": 22, "name": "Stop 2, a timed rest"}, {"at_s": 31, "name": "page turn"}, None,
    ]  # fmt: skip


def test_the_next_change_is_the_nearest_of_all(folder: Path) -> None:
    """Captions, silences, sentences and holds; after the last nothing is waited for."""
    calls = "[0, 1000, 2000, 5000, 6000, 30000, 60000].map(ms => track.nextChange_ms(ms))"

    assert evaluated(folder, TRACK, calls) == [1000, 2000, 4000, 6000, 10200, 40200, None]


def test_all_stops_and_pauses_add_up(folder: Path) -> None:
    """3 s paused and 4 s at a stop, with the ways back to the sound; played and stopped are all."""
    code = """import {Run} from "./room/run.js";
        const run = new Run();
        const seen = [];
        for (const [left, phase, now] of [
            ["starting", "playing", 100], ["playing", "paused", 10000],
            ["paused", "starting", 13000], ["starting", "playing", 13200],
            ["playing", "halted", 20000],
            ["halted", "starting", 24000], ["starting", "playing", 24100]]) {
          run.change(left, now);
          run.hasBegun = true;
          const {stopped_ms, played_ms, all_ms} = run.sums(phase, now);
          seen.push([stopped_ms, played_ms, all_ms]);
        }
        run.change("playing", 30000);"""

    assert evaluated(folder, code, "[seen, run.sums('paused', 32000)]") == [
        [
            [0, 0, 0], [0, 9900, 9900], [3000, 9900, 12900], [3200, 9900, 13100],
            [3200, 16700, 19900], [7200, 16700, 23900], [7300, 16700, 24000],
        ],
        {"here_ms": 2000, "stopped_ms": 9300, "played_ms": 22600, "all_ms": 31900},
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("call", "said"),
    [
        ("lengthInWords(0)", "0 seconds"),
        ("lengthInWords(61)", "1 minute 1 second"),
        ("lengthInWords(7200)", "2 hours"),
        ("placeTime(3725.9)", "62:05"),
        ("lengthInWords(840.859)", "14 minutes"),
        ("exactLength(840859)", "14 min 0.9 s"),
        ("exactLength(-4500)", "−4.5 s"),
        ("tenthsInSeconds(45)", "4.5"),
        ("counted(2, 'stop')", "2 stops"),
        ("dayOf(new Date(2031, 4, 9).getTime())", "2031-05-09"),
        ("clockTime(new Date(2031, 4, 9, 7, 5, 3).getTime(), false)", "07:05"),
    ],
)
def test_times_in_words(folder: Path, call: str, said: str) -> None:
    """Whole seconds, singular and plural, leading noughts on clocks alone."""
    imports = (
        "import {clockTime, counted, dayOf, exactLength, lengthInWords, placeTime, tenthsInSeconds}"
        ' from "./shared/words.js";'
    )

    assert evaluated(folder, imports, call) == said
