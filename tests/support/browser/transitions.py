"""Every pair of phase and event of the room screen, tried in a page that gives `room` away."""

from __future__ import annotations

STILL = {"begin", "goOn", "goOnAfterStop", "repeatQuestion", "resumeHere", "resumeQuestion",
         "testSound", "askOthers", "finish"}  # fmt: skip
"""Actions that go on by themselves: while pairs are tried they are noted and not done."""

PAIRS = """([rows, still]) => {
    const {machine, media} = room;
    const done = [];
    const own = {...machine.actions};
    for (const name of Object.keys(own)) {
        machine.actions[name] = (event, detail) => {
            done.push(name);
            if (!still.includes(name)) own[name](event, detail);
        };
    }
    room.interruption.last = {place_s: 8, phase: "playing", at: Date.now()};
    const seen = [];
    for (const [phase, event] of rows) {
        machine.phase = phase;
        done.length = 0;
        machine.send(event, {hold: 0, why: "test", place_s: 3});
        seen.push([phase, event, machine.phase, [...done], document.body.dataset.phase,
            document.activeElement === document.body, media.audio.paused]);
    }
    return seen;
}"""
