"""The room screen in Firefox: every pair of phase and event, a stop by hand, axe in all colours."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from support.browser.firefox import DARK, FORCED, LIGHT, in_firefox, needs_firefox
from support.browser.open_pages import with_room
from support.browser.pages import AXE, TAGS
from support.browser.screen_modules import evaluated, modules
from support.browser.transitions import PAIRS, STILL

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from support.browser.screen_pages import Made

pytestmark = needs_firefox

READY = """async () => {
    for (let k = 0; k < 600 && document.body.dataset.phase !== "untested"; k += 1) {
        await new Promise(done => setTimeout(done, 50));
    }
    document.getElementById("main").focus();
    return document.body.dataset.phase;
}"""
AXE_RUN = """async ([source, tags]) => {
    (0, eval)(source);
    const found = await axe.run(document, {runOnly: {type: "tag", values: tags}});
    return [found.passes.length, found.violations.map(one => `${one.id}: ${one.nodes[0].html}`)];
}"""
NO_DEVICE = "OnMediaSinkAudioError"
"""What Firefox says where it finds no sound device, not even one that is silent."""
PLAYED = """async () => {
    const sound = document.getElementById("sound");
    let wrong = "";
    sound.addEventListener("error", () => { wrong = sound.error.message; });
    const seen = [];
    const until = async phase => {
        for (let k = 0; k < 400 && document.body.dataset.phase !== phase; k += 1) {
            if (wrong) return;
            await new Promise(done => setTimeout(done, 50));
        }
        seen.push(document.body.dataset.phase);
    };
    const rest = () => new Promise(done => setTimeout(done, 900));
    document.getElementById("second").click();
    await until("halted");
    if (wrong) {
        room.machine.phase = "ended";
        return wrong;
    }
    seen.push(document.activeElement.id, sound.paused);
    await rest();
    document.getElementById("main").click();
    await until("playing");
    await rest();
    document.getElementById("main").click();
    await until("paused");
    const at_s = sound.currentTime;
    await rest();
    seen.push(sound.currentTime === at_s && sound.paused);
    seen.push(document.getElementById("incident").textContent);
    seen.push(room.log.entries.map(one => one.what));
    room.machine.phase = "ended";
    return seen;
}"""


def test_every_pair_does_in_firefox_what_the_table_says(
    built: Made, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """As in Chromium: the phase that follows, the actions, what the page shows, silence."""
    table, events = evaluated(
        modules(tmp_path / "modules"),
        'import {TABLE, EVENTS} from "./room/machine.js";',
        "[TABLE, EVENTS]",
    )
    pairs = [(phase, event) for phase in table for event in events]
    page = with_room(built.room, tmp_path / "room")
    found = in_firefox(
        page, [("ready", READY, None), ("seen", PAIRS, [pairs, sorted(STILL)])], tmp_path
    )
    record_property("n_pairs", len(found["seen"]))
    record_property("firefox", found["version"])

    assert found["ready"] == "untested"
    assert len(found["seen"]) == len(pairs) >= 300
    for phase, event, after, done, drawn, is_body, is_silent in found["seen"]:
        row = table[phase].get(event)
        assert after == (row["to"] if row else phase), (phase, event)
        assert done == (row["does"] if row else []), (phase, event)
        assert is_silent, (phase, event)
        assert not is_body, (phase, event)
        if row:
            assert drawn == after, (phase, event)
    assert found["complaints"] == []


SOUNDLESS = """async () => {
    document.getElementById("second").click();
    for (let k = 0; k < 200 && document.body.dataset.phase !== "paused"; k += 1) {
        await new Promise(done => setTimeout(done, 50));
        if (room.run.hasBegun && room.media.now_s > 1) break;
    }
    const text = name => document.getElementById(name).textContent;
    const seen = [document.body.dataset.phase, text("says"), text("trouble")];
    room.machine.phase = "ended";
    return seen;
}"""


def test_a_lost_sound_output_is_no_lost_file(built: Made, tmp_path: Path) -> None:
    """Without a sound device Firefox gives an error of the recording: it is not told as one."""
    page = with_room(built.room, tmp_path / "room")
    found = in_firefox(page, [("ready", READY, None), ("seen", SOUNDLESS, None)], tmp_path)
    phase, says, trouble = found["seen"]
    if phase == "playing":
        pytest.skip("this machine has a sound device")
    assert phase == "paused"
    assert "no sound output" in says
    assert "stick" not in trouble
    assert "Plug in or switch on" in trouble


def test_it_plays_pauses_and_waits_at_a_stop(built: Made, tmp_path: Path) -> None:
    """By hand: start, the first stop, on, pause; nothing sounds while it stands."""
    page = with_room(built.room, tmp_path / "room")
    found = in_firefox(page, [("ready", READY, None), ("seen", PLAYED, None)], tmp_path)
    if NO_DEVICE in found["seen"]:
        pytest.skip("Firefox plays nothing on a machine without a sound device")
    halted, focused, is_silent, playing, paused, stood, told, log = found["seen"]
    assert (halted, playing, paused) == ("halted", "playing", "paused"), log
    assert stood
    assert told.startswith("Stopped ")
    assert focused == "main"
    assert is_silent
    assert found["complaints"] == []


@pytest.mark.skipif(not AXE.is_file(), reason="axe-core is missing: npm ci in tests/axe")
@pytest.mark.parametrize("prefs", [LIGHT, DARK, FORCED], ids=["light", "dark", "forced"])
def test_axe_finds_nothing_in_firefox(
    built: Made, tmp_path: Path, prefs: Mapping[str, int]
) -> None:
    """Light, dark and forced colours, before the start (WCAG 2.0 to 2.2, A and AA)."""
    asked: list[tuple[str, str, Any]] = [
        ("ready", READY, None),
        ("dark", "() => matchMedia('(prefers-color-scheme: dark)').matches", None),
        ("forced", "() => matchMedia('(forced-colors: active)').matches", None),
        ("axe", AXE_RUN, [AXE.read_text(encoding="utf-8"), TAGS]),
    ]
    found = in_firefox(built.room, asked, tmp_path, prefs)
    assert found["dark"] == (prefs is DARK)
    assert found["forced"] == (prefs is FORCED)
    n_passes, violations = found["axe"]
    assert n_passes > 10
    assert violations == []
