"""`pausewright excerpt`."""

from pathlib import Path
from typing import Annotated

import typer

from pausewright.cli.late import loaded_late
from pausewright.cli.printing import minutes, tell, tell_json
from pausewright.cli.shared_options import JsonOption, OutOption, ScriptArgument

with loaded_late():
    from pausewright.deliver import build_options
    from pausewright.deliver import excerpt as excerpts


def excerpt(
    script: ScriptArgument,
    *,
    questions: Annotated[
        str,
        typer.Option("--questions", metavar="4-7", help="One question, or several in a row."),
    ],
    target: Annotated[
        Path, typer.Option("--as", metavar="FILE", help="NAME.mp3, NAME.wav or NAME.flac.")
    ],
    version: Annotated[
        str, typer.Option("--version", metavar="NAME", help="Label or name of the version.")
    ] = "",
    out: OutOption = Path("out"),
    as_json: JsonOption = False,
) -> None:
    """Write some questions of a built track as a file to be heard again, with a sheet.

    It is laid from the same takes with the version's silences, and compared with the delivered
    track sample by sample. A slate says what is heard again. Whether a part may be heard again is
    for your awarding body's rules.
    """
    options = build_options.Options(out)
    found = excerpts.make_excerpt(script, questions, version, target, options)
    if as_json:
        tell_json(
            {
                "file": str(found.file),
                "sheet": str(found.sheet),
                "version_label": found.label,
                "edition": found.edition,
                "from_s": round(float(found.from_s), 3),
                "to_s": round(float(found.to_s), 3),
                "length_s": round(float(found.length_s), 3),
                "n_compared": found.compared.n_samples,
                "is_exact": found.compared.is_exact,
                "n_differing": found.compared.n_differing,
                "loudness_lufs": found.checked.loudness_lufs,
                "true_peak_dbtp": found.checked.true_peak_dbtp,
            }
        )
        return
    for file in (found.file, found.sheet):
        tell(f"wrote {file}")
    tell(f"version {found.label}, {minutes(found.length_s)}: {_compared(found)}")
    tell(excerpts.checked_sentence(found.checked))


def _compared(found: "excerpts.ExcerptMade") -> str:
    return excerpts.compared_sentence(found.compared)
