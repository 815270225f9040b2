"""Fields of an arrangement, and halves of fields, that change nothing: refused at both ends."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from pausewright.arrange.declarations import named
from pausewright.checker.promises.effect import without_effect
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.problems import ScriptError
from support.scripts.versions import END, HEAD, written

if TYPE_CHECKING:
    from pathlib import Path

TEXT = (
    HEAD.replace("voice: joe\n", 'voice: joe\nannounce: "Number {number}."\n')
    + '# One {answer-time="6 s"}\n\nLook at your sheet. {look-time="10 s"}\n\n'
    '1. A rope, and a bell. What is left?\n2. Two?\n\n::: stop {for="9 s"}\nStop here.\n:::\n\n'
    "3. Three?" + END
)
QUARTER = "extra-time: 25 %, share-of: listed-silences, where: each-gap, stretch: "
WHOLE = (
    "extra-time: 25 %, share-of: whole-test, where: test-end, extra-time-confirmed: 225 s, "
    "extra-words: 'You have {time} more.'"
)
IDLE = {
    "pauses: {clause: 0.1 s}": "pauses",
    "pauses: {sentence: 0.4 s}": "pauses",
    "pauses: {sentence: 0.2 s}": "pauses",
    "pauses: {sentence: 0.4 s, clause: 0.6 s}": "pauses: sentence",
    "pauses: {sentence: 0.9 s, clause: 0.2 s}": "pauses: clause",
    QUARTER + "[answer-time], extra-words: 'You have {time} more.'": "extra-words",
    QUARTER + "[answer-time, phrase-time]": "stretch: phrase-time",
    "extra-time: 60 s, where: test-end, share-of: whole-test, "
    "extra-words: 'You have {time} more.'": "share-of",
    "background: off": "background",
    "look-time: {in-script: 10 s, before-questions: 5 s}": "look-time: in-script",
    "look-time: {before-questions: 5 s, words: 'Number {number}.'}": "look-time: words",
    "pace: 80 %, test-time: 15 min": "test-time",
}
USED = (
    "pauses: {sentence: 0.9 s, clause: 0.6 s}",
    "extra-time: 60 s, where: test-end, extra-words: 'You have {time} more.'",
    QUARTER + "[answer-time, look-time]",
    "format: [mp3, wav]",
    "format: [mp3]",
    "look-time: {in-script: 20 s, before-questions: 5 s}",
    f"{WHOLE}, test-time: 15 min",
    "pace: 80 %, split: at-stops",
)


@pytest.mark.parametrize("fields", IDLE)
def test_what_changes_nothing_is_refused_at_both_ends(tmp_path: Path, fields: str) -> None:
    """At the build with its place and a hint; by the check's own promise with the same name."""
    wanted = IDLE[fields]
    project = open_project(written(tmp_path, TEXT, "x: {label: B, basis: f, " + fields + "}"))
    with pytest.raises(ScriptError) as refused:
        made_versions(project)
    (told,) = [p for p in refused.value.problems if p.severity == "error"]
    (idle,) = without_effect(project.script, named(project.arrangements, "x"))

    assert (told.code, idle.written) == ("arrangement-without-effect", wanted)
    assert "changes nothing" in told.message
    assert told.place.file.name == "tide.arrangements.yaml"
    assert told.hint
    assert idle.hint


@pytest.mark.parametrize("fields", USED)
def test_what_changes_something_is_built(tmp_path: Path, fields: str) -> None:
    """The same fields where they do something."""
    project = open_project(written(tmp_path, TEXT, "x: {label: B, basis: f, " + fields + "}"))
    made_versions(project)

    assert without_effect(project.script, named(project.arrangements, "x")) == ()


def test_pieces_need_a_stop(tmp_path: Path) -> None:
    """A track that never stops is one stretch."""
    text = TEXT.replace('::: stop {for="9 s"}\nStop here.\n:::\n\n', "")
    written(tmp_path, text, "x: {label: B, basis: f, pace: 80 %, split: at-stops}")
    with pytest.raises(ScriptError, match="‘split’ changes nothing"):
        made_versions(open_project(tmp_path / "tide.md"))


def test_a_test_time_that_a_sum_or_a_sentence_needs_is_used(tmp_path: Path) -> None:
    """Where parts are left out it must be said even if it is the script's; and where it is told."""
    head = TEXT.replace("voice: joe\n", "voice: joe\ntest-time: 15 min\n")
    parted = head.replace("3. Three?", '# Two {answer-time="6 s"}\n\n3. Three?\n\n# End')
    told = head.replace("Look at", 'You have [fifteen minutes]{states="test-time"}. Look at')
    left_out = f"{WHOLE}, leave-out: [Two], test-time: 15 min"
    for text, fields in ((parted, left_out), (told, "pace: 80 %, test-time: 20 min")):
        written(tmp_path, text, "x: {label: B, basis: f, " + fields + "}")
        project = open_project(tmp_path / "tide.md")
        made_versions(project)
        assert without_effect(project.script, named(project.arrangements, "x")) == ()
