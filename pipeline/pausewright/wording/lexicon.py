"""How single words are said: the script's own rules, a centre's lexicon, the bundled lexicons.

The first that knows a word in this language and for this voice is taken, in that order.
"""

from __future__ import annotations

import re
import tomllib
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.package_data import package_folder
from pausewright.problems import Place
from pausewright.script.declared import Heteronym, Lexicon, LexiconEntry
from pausewright.wording.letters import marked
from pausewright.wording.scan import Choice, Doubt, Reading

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.script.declared import Settings
    from pausewright.wording.scan import Scan

_FOLDER: Final = "lexicons"


@cache
def bundled_lexicons() -> tuple[Lexicon, ...]:
    """Return the lexicons that come with Pausewright; they are TOML, which is read fast."""
    folder = package_folder("pausewright_voices") / _FOLDER
    return tuple(_bundled(file) for file in sorted(folder.glob("*.lexicon.toml")))


def _bundled(file: Path) -> Lexicon:
    data = tomllib.loads(file.read_text(encoding="utf-8"))
    place, language = Place(file, 1, 1), str(data["language"])
    entries = tuple(
        LexiconEntry(word, "", fields["ipa"], "", language, (fields["voices"],), place)
        for word, fields in data["words"].items()
    )
    heteronyms = tuple(
        Heteronym(
            word,
            tuple(fields["readings"].items()),
            fields["usual"],
            _neighbours(fields.get("after", {})),
            _neighbours(fields.get("before", {})),
            fields.get("at-start", ""),
            language,
            place,
        )
        for word, fields in data["heteronyms"].items()
    )
    return Lexicon(entries, heteronyms)


def _neighbours(table: dict[str, str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    return tuple((said, tuple(words.split())) for said, words in table.items())


class Lookup:
    """The words with a rule of their own, for one language and one voice."""

    def __init__(self, settings: Settings, language: str, voice: str) -> None:
        """Take a script's settings; `language` is BCP 47, `voice` the name of a voice."""
        lexicons = (*settings.lexicons, *bundled_lexicons())
        entries = [*settings.words, *(e for lexicon in lexicons for e in lexicon.entries)]
        mine = [
            entry
            for entry in entries
            if _is_of(entry.language, language) and (not entry.voices or voice in entry.voices)
        ]
        self._entries: dict[str, LexiconEntry] = {}
        for entry in mine:
            self._entries.setdefault(entry.word, entry)
        self._pattern = _pattern([entry.word for entry in mine])
        self._longest = max((len(entry.word) for entry in mine), default=0)
        self._heteronyms: dict[str, Heteronym] = {}
        for lexicon in lexicons:
            for heteronym in lexicon.heteronyms:
                if _is_of(heteronym.language, language):
                    self._heteronyms.setdefault(heteronym.word, heteronym)
        self.heteronyms = frozenset(self._heteronyms)
        self.firsts = self.heteronyms | {
            found[0].lower() for entry in mine if (found := re.match(r"[^\W\d_]+", entry.word))
        }
        """Words, in small letters, at which a rule of this lookup may begin."""

    def entry(self, text: str, at: int) -> tuple[int, LexiconEntry] | None:
        """Return the longest entry whose word begins at `at`, and where it ends."""
        found = self._pattern.match(text, at) if self._pattern is not None else None
        if found is None or (at and text[at - 1].isalnum() and text[at].isalnum()):
            return None
        entry = self._entries.get(found[0]) or self._entries.get(found[0].lower())
        return None if entry is None else (found.end(), entry)

    def next_entry(self, text: str, at: int, end: int) -> int | None:
        """Return where the next word with an entry begins, from `at` and before `end`."""
        if self._pattern is None:
            return None
        for found in self._pattern.finditer(text, at, end + self._longest + 1):
            if found.start() >= end:
                return None
            if self.entry(text, found.start()) is not None:
                return found.start()
        return None

    def heteronym(self, scan: Scan, at: int, word: str) -> Reading | None:
        """Read a word with two readings: by its neighbours, else as usual and doubted."""
        found = self._heteronyms.get(word.lower())
        if found is None:
            return None
        end = at + len(word)
        said = _told(found, scan, at, end)
        sounds = dict(found.readings)
        if said:
            return Reading(end, marked(sounds[said], word), "word")
        usual = found.usual or found.readings[0][0]
        others = [other for other, _ in found.readings if other != usual]
        doubt = Doubt(
            at, end, tuple(Choice(f'[{word}]{{say="{one}"}}', one) for one in (usual, *others))
        )
        return Reading(end, marked(sounds[usual], word), "word", (doubt,))


def _is_of(language: str, spoken: str) -> bool:
    return not language or spoken == language or spoken.startswith(f"{language}-")


def _pattern(words: list[str]) -> re.Pattern[str] | None:
    if not words:
        return None
    rows = []
    for word in sorted(dict.fromkeys(words), key=len, reverse=True):
        piece = re.escape(word) if word != word.lower() else f"(?i:{re.escape(word)})"
        rows.append(piece + (r"(?!\w)" if word[-1].isalnum() else ""))
    return re.compile("|".join(rows))


def _told(heteronym: Heteronym, scan: Scan, at: int, end: int) -> str:
    """Return the reading that the words beside it tell; "" if nothing does."""
    before, following = scan.word_before(at), scan.word_after(end).lower()
    head = scan.text[:at].rstrip("\"“‘'( \u00a0")
    if heteronym.at_start and (not head or head[-1] in ".?!:") and scan.text[at].isupper():
        return heteronym.at_start
    for said, words in heteronym.after:
        if before.strip(".,;:") in words and before[-1:] not in {".", ";", ":"}:
            return said
    for said, words in heteronym.before:
        if following in words:
            return said
    return ""
