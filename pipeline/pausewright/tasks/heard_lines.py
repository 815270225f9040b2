"""A question, an announcement or a line of a script to listen to, as it will sound on the track."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright.arrange.arrangement import STANDARD
from pausewright.arrange.declarations import named
from pausewright.deliver.chosen_steps import chosen, read_choice
from pausewright.deliver.element_sounds import ElementSounds
from pausewright.deliver.studios import studio_of
from pausewright.deliver.take_check import begins_whole
from pausewright.deliver.track_sound import RATE_HZ
from pausewright.deliver.version import make_version
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import SCRIPT
from pausewright.intake.plain_file import file_text
from pausewright.plan.timeline import Say, Wait, timeline
from pausewright.problems import OutputError, PausewrightError, Problems
from pausewright.script.settings.lexicon_files import read_lexicon
from pausewright.sound.lay import lay
from pausewright.tasks.heard_in_turn import in_turn
from pausewright.tasks.outlines import open_script
from pausewright.tasks.playback import growing_wav, write_wav
from pausewright.voice.store import FOLDER
from pausewright.wording.line_elements import Excerpt, Utterance
from pausewright.wording.worded import Worded

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from pausewright.deliver.project import Project
    from pausewright.script.declared import LexiconEntry, Settings
    from pausewright.voice.engine_kinds import EngineKind
    from pausewright.wording.line_elements import SpokenPart

KEPT_SOUND: Final = "heard.wav"
"""In the folder of kept takes, where no other file is named; the next one takes its place."""


@frozen
class HeardSound:
    """One sound of what was chosen."""

    start_s: Fraction
    words: str
    """As spoken; "" for a tone or a recording."""
    voice: str
    line: int
    take: str = ""
    """Mark of its sound; "" for a tone."""
    n_samples: int = 0


@frozen
class HeardLines:
    """What was chosen, as a sound."""

    file: Path
    length_s: Fraction
    sounds: tuple[HeardSound, ...]
    entry: str
    """What to write under `words:` to keep a word that was tried; "" if none was."""


@frozen
class Wanted:
    """What a person asks to hear."""

    what: str
    """"17", "17b", "4-7", "practice:1", "announcement:3" or "line:42"."""
    arrangement: str = ""
    """Name or label of a declared version; "" for the standard track."""
    tried: str = ""
    """"WORD=as it is said" or "WORD=/sounds in IPA/": as if the script's `words` had it."""
    out: Path | None = None
    """A WAV file that is not there yet; None: with the kept takes."""


@frozen
class Meanwhile:
    """How what was chosen can be listened to before all of it is voiced."""

    file: Path
    """A WAV file that is not there yet; it grows by what is voiced, and stays."""
    begins: Callable[[], None]
    """Called once, when the first sound is in it."""


def hear_lines(
    script: Path,
    wanted: Wanted,
    progress: Callable[[int, int], None] | None = None,
    *,
    engines: Mapping[str, EngineKind] | None = None,
    meanwhile: Meanwhile | None = None,
) -> HeardLines:
    """Voice what was chosen, and write it as WAV.

    Parameters
    ----------
    script : the script
    wanted : what is to be heard
    progress : called with utterances voiced and in all
    engines : voice engines by name; the built-in ones unless given
    meanwhile : where the sound is written as it comes, besides

    Raises
    ------
    PausewrightError
        If the script has errors, nothing of the kind is in it, a word that is tried is not in what
        was chosen, `out` exists or cannot be written, or a voice fails.
    """
    choice = read_choice(wanted.what)
    if wanted.out is not None and wanted.out.exists():
        raise OutputError(f"{wanted.out} exists already", "give another name after --out")
    entry = _entry(wanted.tried) if wanted.tried else None
    project = open_script(script)
    arrangement = named(project.arrangements, wanted.arrangement or STANDARD)
    lines = file_text(script, SCRIPT).splitlines()

    def steps_with(worded: Worded) -> tuple[tuple[Say | Wait, ...], Settings]:
        version = make_version(worded.script, worded, arrangement)
        version.raise_errors()
        return chosen(version.steps, choice, script, lines), version.script.settings

    steps, settings = steps_with(project.worded)
    if entry is not None:
        before = steps
        steps, settings = steps_with(_worded_with(project, entry))
        if _spoken(before) == _spoken(steps):
            raise PausewrightError(
                f"‘{entry.word}’ changes nothing in what was chosen",
                "write the word as the script has it",
            )
    studio = studio_of(
        project,
        settings,
        progress=progress if meanwhile is None else None,
        engines=engines,
        is_usable=begins_whole,
    )
    sounds = ElementSounds(studio, settings)
    said = [step.element for step in steps if isinstance(step, Say)]
    sounds.refuse_bad_excerpts(one for one in said if isinstance(one, Excerpt))
    if meanwhile is not None:
        _write_meanwhile(steps, sounds, meanwhile, progress)
    studio.record(one for one in said if isinstance(one, Utterance))
    laid = timeline(steps, sounds.n_sound_samples, RATE_HZ)
    file = wanted.out or script.parent / FOLDER / KEPT_SOUND
    blocks = lay(laid, sounds.take, channels=settings.channels)
    write_wav(file, blocks, RATE_HZ, settings.channels)
    return HeardLines(
        file,
        Fraction(laid.n_samples, RATE_HZ),
        tuple(
            replace(
                _heard(one.step, Fraction(one.start_sample, RATE_HZ)),
                take=sounds.mark(one.step.element),
                n_samples=one.end_sample - one.start_sample,
            )
            for one in laid.placed
            if isinstance(one.step, Say)
        ),
        "" if entry is None else _as_yaml(entry),
    )


def _write_meanwhile(
    steps: Sequence[Say | Wait],
    sounds: ElementSounds,
    meanwhile: Meanwhile,
    progress: Callable[[int, int], None] | None,
) -> None:
    """Write what is voiced as it comes, and say when the first of it can be heard."""
    has_begun = False
    with growing_wav(meanwhile.file, sounds.rate_hz, sounds.channels) as add:
        for block in in_turn(steps, sounds, progress):
            add(block)
            if not has_begun and block.any():
                has_begun = True
                meanwhile.begins()


def _heard(say: Say, start_s: Fraction) -> HeardSound:
    element = say.element
    if isinstance(element, Utterance):
        return HeardSound(start_s, element.words, element.speech.voice, element.place.line)
    return HeardSound(start_s, "", "", element.place.line)


def _spoken(steps: Sequence[Say | Wait]) -> list[tuple[SpokenPart, ...]]:
    return [
        step.element.spoken
        for step in steps
        if isinstance(step, Say) and isinstance(step.element, Utterance)
    ]


def _entry(tried: str) -> LexiconEntry:
    """Read a word that is tried as strictly as a lexicon is read."""
    word, equals, said = (part.strip() for part in tried.partition("="))
    if not equals:
        raise PausewrightError(f"‘{tried}’ does not say how", 'write --try "WORD=as it is said"')
    is_ipa = said.startswith("/") and said.endswith("/")
    rule = {word: {"ipa": said} if is_ipa else said}
    problems = Problems()
    text = f"words: {json.dumps(rule, ensure_ascii=False)}"
    entries = read_lexicon(Path("--try"), text, problems).entries
    for problem in problems.errors:
        raise PausewrightError(problem.message, problem.hint)
    return entries[0]


def _worded_with(project: Project, entry: LexiconEntry) -> Worded:
    """Return the words of a script as if its settings had one more rule, before all others."""
    settings = project.script.settings
    tried = replace(settings, words=(entry, *settings.words))
    worded = Worded(replace(project.script, settings=tried))
    worded.problems.raise_errors()
    return worded


def _as_yaml(entry: LexiconEntry) -> str:
    said = f"{{ipa: {entry.ipa}}}" if entry.ipa else entry.say
    return f"{entry.word}: {said}"
