"""The settings of one script, read by the table: values, speakers, tones, patterns."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from pausewright.frozen import frozen
from pausewright.intake.file_kinds import LEXICON
from pausewright.intake.plain_file import file_text
from pausewright.problems import PausewrightError, Problems, name_hint
from pausewright.script.attributes import values
from pausewright.script.attributes.attribute_table import VALUES, YES_WORDS
from pausewright.script.attributes.scope import (
    CAPTIONS,
    SCOPED,
    VOICE,
    Scope,
    read_scoped,
)
from pausewright.script.attributes.values import ValueProblem
from pausewright.script.declared import (
    Lexicon,
    LexiconEntry,
    Pattern,
    Settings,
    SpeakerSpec,
    ToneSpec,
)
from pausewright.script.limits import MOST_LEXICONS
from pausewright.script.model import InForce
from pausewright.script.settings.lexicon_files import read_lexicon, read_words
from pausewright.script.settings.settings_table import SETTINGS, STRUCTURED
from pausewright.script.settings.strict_yaml import Node, YamlReader
from pausewright.script.settings.structured import (
    read_patterns,
    read_speakers,
    read_styles,
    read_tones,
)
from pausewright.script.source.preparing import prepare
from pausewright.script.voices_of_languages import speakers_voices, usual_voice

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from pausewright.problems import Place
    from pausewright.script.source.source_text import Source


@frozen
class DeclaredArrangements:
    """What stands under `arrangements:`, still to be read."""

    yaml: YamlReader
    node: Node


def read_settings(
    source: Source, problems: Problems
) -> tuple[Settings, dict[str, InForce[object]], DeclaredArrangements | None]:
    """Read the settings of a script.

    Returns the settings, the attribute values that they put in force for the whole test, and
    what stands under `arrangements` (None without).
    """
    return _Reader(source, problems).read()


def settings_from(file: Path, language: str, chosen: Mapping[str, str]) -> Settings:
    """Return settings for text without a script: a language, `zero` and ways of reading.

    Raises
    ------
    PausewrightError
        If one of them is not known.
    """
    rows = ["---", "title: lines", f'language: "{language}"']
    rows += [f'zero: "{chosen["zero"]}"'] if "zero" in chosen else []
    styles = [f'  "{name}": "{value}"' for name, value in chosen.items() if name != "zero"]
    rows += ["wording:", *styles] if styles else []
    problems = Problems()
    source = prepare(file, "\n".join([*rows, "---", ""]), problems, settings=True)
    settings, _, _ = read_settings(source, problems)
    for problem in problems.errors:
        raise PausewrightError(problem.message, problem.hint)
    return settings


class _Reader:
    def __init__(self, source: Source, problems: Problems) -> None:
        self._source = source
        self._problems = problems
        self._yaml = YamlReader(source.lines, source.settings_line, source.place, problems)
        self._found: dict[str, Any] = {}
        self._places: dict[str, Place] = {}
        self._scoped: dict[str, InForce[object]] = {}
        self._speakers: dict[str, SpeakerSpec] = {}
        self._tones: dict[str, ToneSpec] = {}
        self._patterns: dict[str, Pattern] = {}
        self._styles: dict[str, str] = {}
        self._words: tuple[LexiconEntry, ...] = ()
        self._lexicons: list[Lexicon] = []
        self._arrangements: DeclaredArrangements | None = None

    def read(self) -> tuple[Settings, dict[str, InForce[object]], DeclaredArrangements | None]:
        root = self._yaml.compose(self._source.settings_text, "title: Unit 3")
        if root is not None:
            self._yaml.mapping(root, self._setting)
        if self._source.settings_line and "title" not in self._places:
            self._missing("title", "title: Unit 3 arithmetic")
        if self._source.settings_line and "language" not in self._places:
            self._missing("language", "language: en-GB")
        return self._settings(), self._scoped, self._arrangements

    def _missing(self, name: str, example: str) -> None:
        place = self._source.place(self._source.settings_line, 1, 3)
        message = f"the settings do not give ‘{name}’"
        self._problems.error(place, message, f"add a line: {example}", code="setting-missing")

    def _setting(self, name: str, key: Node, node: Node) -> None:
        self._places[name] = self._yaml.place(key)
        if name in STRUCTURED:
            getattr(self, f"_read_{name}")(node)
            return
        if name not in SETTINGS and name not in SCOPED and name != "pace":
            if name in VALUES or name in YES_WORDS:
                places = sorted(VALUES.get(name, YES_WORDS.get(name, frozenset())))
                hint = f"it belongs on: {', '.join(places)}"
            else:
                known = [*SETTINGS, *SCOPED, *STRUCTURED, "pace"]
                hint = name_hint(name, known, "see docs/script-language.md")
            self._yaml.error(key, f"‘{name}’ is not a setting", hint, "setting-unknown")
            return
        text = self._yaml.scalar(name, node)
        if text is None:
            return
        try:
            if name == "pace":
                self._found["pace"] = values.words_a_minute(text)
            elif name in SETTINGS:
                if not text.strip() and name in {"title", "language"}:
                    raise ValueProblem(f"‘{name}’ is empty", f"write {name}: …")
                self._found[name] = SETTINGS[name].read(text)
            else:
                value = read_scoped(name, text)
                self._scoped[name] = InForce(value, self._yaml.place(node), "settings")
        except ValueProblem as problem:
            self._yaml.error(node, f"{name}: {problem.message}", problem.hint)
            if name in SCOPED:  # told here, and not missing further down
                self._scoped[name] = InForce(
                    SCOPED[name].default, self._yaml.place(node), "settings"
                )

    # ---- structured settings

    def _read_speakers(self, node: Node) -> None:
        self._speakers = read_speakers(self._yaml, node)

    def _with_voices(self, language: str) -> dict[str, SpeakerSpec]:
        """Return the speakers; those that name no voice have one of their language."""
        given = speakers_voices(self._speakers, language)
        return {
            name: replace(one, voice=one.voice or given.get(name, ""))
            for name, one in self._speakers.items()
        }

    def _read_tones(self, node: Node) -> None:
        self._tones = read_tones(self._yaml, node)

    def _read_patterns(self, node: Node) -> None:
        self._patterns = read_patterns(self._yaml, node)

    def _read_wording(self, node: Node) -> None:
        self._styles = read_styles(self._yaml, node)

    def _read_words(self, node: Node) -> None:
        self._words = read_words(self._yaml, node)

    def _read_lexicon(self, node: Node) -> None:
        """Read the lexicon files that are named; they lie in the script's folder or below it."""
        names = self._yaml.texts("lexicon", node)
        if len(names) > MOST_LEXICONS:
            message = f"{len(names):,} lexicons are named, and {MOST_LEXICONS} are read at most"
            self._yaml.error(node, message, "join some of them")
        for name in names[:MOST_LEXICONS]:
            folder = self._source.file.parent
            file = folder / name
            try:
                held = file_text(file, LEXICON, folder)
            except PausewrightError as error:
                self._yaml.error(node, error.message, error.hint, "lexicon-unreadable")
                continue
            self._lexicons.append(read_lexicon(file, held, self._problems))

    def _read_arrangements(self, node: Node) -> None:
        self._arrangements = DeclaredArrangements(self._yaml, node)

    def _settings(self) -> Settings:
        def get(name: str) -> Any:  # noqa: ANN401  one of many types, by the table
            if name in self._found:
                return self._found[name]
            default = SETTINGS[name].default
            return SETTINGS[name].read(default) if default else ""

        scope = Scope("", self._scoped)
        language = get("language") or "en-GB"
        return Settings(
            title=get("title"),
            use=get("use"),
            language=language,
            voice=scope.get(VOICE).value or usual_voice(language, language),
            channels=get("channels"),
            loudness=get("loudness"),
            recording_rights=get("recording-rights"),
            numbering=get("numbering"),
            pace_wpm=self._found.get("pace", Fraction(140)),
            paragraph_pause_s=get("paragraph-pause"),
            sentence_pause_s=get("sentence-pause"),
            announcement_pause_s=get("announcement-pause"),
            zero=get("zero") or ("zero" if get("language") == "en-US" else "nought"),
            captions=scope.get(CAPTIONS).value,
            captions_reason=get("captions-reason"),
            caption_profile=get("caption-profile"),
            countdown=get("countdown"),
            countdown_wording=get("countdown-wording"),
            show_time=get("show-time"),
            test_time_s=self._found.get("test-time"),
            extra_time=get("extra-time"),
            extra_time_reason=get("extra-time-reason"),
            accept_voice_language=get("accept-voice-language"),
            withdrawn_wording=get("withdrawn-wording"),
            continues_wording=get("continues-wording"),
            time_cue_wording=get("time-cue-wording"),
            writing_rate_wpm=get("writing-rate"),
            slate=get("slate"),
            sheet_head=self._found.get("sheet-head"),
            paper_templates=get("paper-templates"),
            mark_scheme=get("mark-scheme"),
            speakers=self._with_voices(language),
            tones=self._tones,
            patterns=self._patterns,
            words=self._words,
            lexicons=tuple(self._lexicons),
            styles=self._styles,
            places=self._places,
        )
