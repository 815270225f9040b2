"""`pausewright draft`."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pausewright.cli.late import loaded_late
from pausewright.cli.printing import counted, tell, tell_json
from pausewright.cli.progress import meter
from pausewright.cli.shared_options import JsonOption, QuietOption

with loaded_late():
    from pausewright.tasks import drafts

if TYPE_CHECKING:
    from pausewright.tasks.drafts import Drafted


def draft(
    recording: Annotated[Path, typer.Argument(metavar="RECORDING", help="A sound or video file.")],
    *,
    script: Annotated[
        Path, typer.Option("--out", "-o", metavar="SCRIPT", help="The script to write, a .md file.")
    ],
    text: Annotated[
        Path | None,
        typer.Option("--text", metavar="PAPER", help="Its words: .txt, .html, .docx or .odt."),
    ] = None,
    language: Annotated[
        str, typer.Option("--language", metavar="TAG", help="Language of the script.")
    ] = "en-GB",
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Write a first script for a recording: its readings found, silences measured, doubts told.

    With --text the words of the paper are used and the recording is only timed; else the machine's
    ear writes them down. Every place to listen to is marked with its time.
    """
    with meter(silent=quiet or as_json) as shown:
        found = drafts.draft_script(
            recording, text, script, language, lambda stage, n, m: shown.counter(stage)(n, m)
        )
    if as_json:
        tell_json(_data(found))
        return
    questions = found.draft.questions
    tell(f"wrote {found.script}: {counted(len(questions), 'question')}")
    for caution in found.cautions:
        tell(f"note: {caution}")
    for doubt in found.draft.all_doubts:
        tell(doubt.whole)
    tell("compare every word, number and time with the recording before you use it")
    tell(f"next: pausewright outline {found.script}")


def _data(found: "Drafted") -> dict[str, object]:
    return {
        "script": str(found.script),
        "length_s": found.draft.length_ms / 1000,
        "speech_dbfs": round(found.draft.speech_dbfs, 1),
        "noise_dbfs": round(found.draft.noise_dbfs, 1),
        "heard": found.has_heard,
        "cautions": list(found.cautions),
        "lines": [
            {
                "question": one.number or None,
                "words": one.words,
                "readings": [
                    {
                        "start_s": reading.start_ms / 1000,
                        "start_within_s": reading.start_within_ms / 1000,
                        "end_s": reading.end_ms / 1000,
                        "end_within_s": reading.end_within_ms / 1000,
                        "heard": reading.heard,
                    }
                    for reading in one.readings
                ],
                "silence_after_s": None if one.after_ms is None else one.after_ms / 1000,
                "answer_time_s": None if one.after_value_ms is None else one.after_value_ms / 1000,
            }
            for one in found.draft.said
        ],
        "doubts": [
            {"at_s": None if one.at_ms is None else one.at_ms / 1000, "sentence": one.sentence}
            for one in found.draft.all_doubts
        ],
    }
