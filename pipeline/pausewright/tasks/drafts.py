"""A first script for a recording that somebody already has."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.alignment.given_sound import given_sound
from pausewright.checker.ear.recogniser import BundledRecogniser, EarMissingError
from pausewright.documents.reader import read_paper
from pausewright.drafting.drafter import drafted
from pausewright.drafting.paper_units import units_of
from pausewright.drafting.script_text import script_text
from pausewright.files.writing import unwritable, write_new_file
from pausewright.frozen import frozen
from pausewright.problems import OutputError, PausewrightError, ScriptError
from pausewright.script.reader import read
from pausewright.wording.plain_lines import LineWorder

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pausewright.checker.ear.recogniser import Recogniser
    from pausewright.documents.model import Paper
    from pausewright.drafting.draft_model import Draft

    Told = Callable[[str, int, int], None]


@frozen
class Drafted:
    """A draft, and the script that was written of it."""

    draft: Draft
    script: Path
    cautions: tuple[str, ...]
    """What to say of the paper, and of what was missing."""
    has_heard: bool
    """Whether a recogniser has heard the words."""


def draft_script(
    recording: Path,
    paper: Path | None,
    script: Path,
    language: str,
    told: Told,
    listener: Recogniser | None = None,
) -> Drafted:
    """Write a first script for a recording.

    Parameters
    ----------
    paper : the paper with its words; None lets the machine's ear write them down
    script : the file to write, which must not be there
    language : of the script
    told : called with a stage, steps done and in all
    listener : the ear; None takes that of this machine, if it is installed

    Raises
    ------
    PausewrightError
        If a file cannot be read or written, the recording does not lie below the script's folder,
        the paper does not belong to it, or there is neither paper nor ear.
    """
    relative = _relative(recording, script)
    ear = listener if listener is not None else _ear_at_hand(is_needed=paper is None)
    read_in: Paper | None = None if paper is None else read_paper(paper)
    given = given_sound(recording, lambda n, m: told("reading", n, m))
    worder = LineWorder(script, language, {})
    units = None if read_in is None else units_of(read_in)
    draft = drafted(given, units, ear, worder.spoken, told)
    text = script_text(
        draft, relative, recording.stem, language, lambda line: _is_readable(script, language, line)
    )
    _refuse_unreadable(script, text)
    try:
        write_new_file(script, text)
    except FileExistsError:
        raise OutputError(
            f"‘{script}’ is there already and was left as it is", "choose another name"
        ) from None
    except OSError as why:
        raise unwritable(script, why, "choose a folder that you may write to") from None
    cautions = [] if read_in is None else list(read_in.cautions)
    if ear is None:
        cautions.append(
            "nothing has heard the words: whether the paper is what is read was not looked at "
            '(pip install "pausewright[ear]")'
        )
    return Drafted(draft, script, tuple(cautions), ear is not None)


def _relative(recording: Path, script: Path) -> str:
    if script.suffix != ".md":
        raise OutputError(f"‘{script.name}’ does not end in .md", f"write: -o {script.stem}.md")
    if script.exists():
        raise OutputError(
            f"‘{script}’ is there already and was left as it is", "choose another name"
        )
    folder = script.resolve().parent
    if not folder.is_dir():
        raise OutputError(f"the folder ‘{folder}’ is not there", "make it first")
    whole = recording.resolve()
    if not whole.is_relative_to(folder):
        raise OutputError(
            f"the recording ‘{recording.name}’ does not lie below the script's folder",
            f"write the script beside it: -o {recording.with_name(script.name)}",
        )
    return whole.relative_to(folder).as_posix()


def _ear_at_hand(*, is_needed: bool) -> Recogniser | None:
    try:
        return BundledRecogniser()
    except EarMissingError as why:
        if is_needed:
            raise EarMissingError(
                "without the paper the machine's ear is needed, which is not installed",
                'type: pip install "pausewright[ear]", or name the paper: --text PAPER.docx',
            ) from why
        return None


def _is_readable(script: Path, language: str, line: str) -> bool:
    """Return whether a line can be worded; sounds and brackets with attributes are none."""
    if any(sign in line for sign in "[]{}`<>"):
        return False
    worder = LineWorder(script, language, {})
    try:
        worder.spoken(line)
    except PausewrightError:
        return False
    return not worder.problems.errors


def _refuse_unreadable(script: Path, text: str) -> None:
    """See that the script reads without an error."""
    errors = [one for one in read(script, text).problems if one.severity == "error"]
    if errors:
        raise ScriptError(errors)
