"""Lexicon files: how words are said, shown and told apart; read strictly, every fault placed.

A lexicon is a YAML file of this shape:

    language: en
    words:
      Ceilidh: KAY-lee                       # said so
      nth: {ipa: ˈɛnθ, voices: joe}          # these sounds, for this voice
      Ossel: {say: oss-el, shown: Ossel Hill}
    heteronyms:
      read:
        readings: {reed: ɹˈiːd, red: ɹˈɛd}   # respelling: sounds
        usual: reed
        after: {red: have has had}
        before: {red: aloud}
        at-start: reed
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.problems import Place, name_hint
from pausewright.script.attributes.values import is_language
from pausewright.script.declared import Heteronym, Lexicon, LexiconEntry
from pausewright.script.settings.strict_yaml import Node, YamlReader, is_mapping

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from pausewright.problems import Problems

SUFFIX: Final = ".lexicon.yaml"
_ENTRY_FIELDS: Final = ("say", "ipa", "shown", "voices", "language")
_HETERONYM_FIELDS: Final = ("readings", "usual", "after", "before", "at-start")
_MARKUP: Final = re.compile(r"[{}\[\]`]|::")


def read_lexicon(file: Path, text: str, problems: Problems) -> Lexicon:
    """Read a lexicon file; what cannot be read is left out and is a problem with its place."""

    def where(line: int, column: int, length: int) -> Place:
        return Place(file, line, column, length)

    yaml = YamlReader(text.splitlines(), 0, where, problems)
    root = yaml.compose(text, "language: en")
    return Lexicon() if root is None else _FileReader(yaml).read(root)


def read_words(yaml: YamlReader, node: Node) -> tuple[LexiconEntry, ...]:
    """Read a list of words of a script's settings."""
    reader = _FileReader(yaml)
    yaml.mapping(node, reader.word)
    return tuple(reader.entries)


class _FileReader:
    def __init__(self, yaml: YamlReader) -> None:
        self._yaml = yaml
        self.entries: list[LexiconEntry] = []
        self._heteronyms: list[Heteronym] = []
        self._language = ""

    def read(self, root: Node) -> Lexicon:
        later: list[tuple[str, Node]] = []
        for name, key, value in self._yaml.entries(root):
            if name == "language":
                self._language = self._tag(value)
            elif name in {"words", "heteronyms"}:
                later.append((name, value))
            else:
                self._unknown(key, name, ("language", "words", "heteronyms"), "a lexicon")
        for name, value in later:
            self._yaml.mapping(value, self.word if name == "words" else self._heteronym)
        return Lexicon(tuple(self.entries), tuple(self._heteronyms))

    def _unknown(self, key: Node, name: str, known: Sequence[str], what: str) -> None:
        hint = name_hint(name, known, "write one of: " + ", ".join(known))
        self._yaml.error(key, f"‘{name}’ is not known in {what}", hint, "setting-unknown")

    def _tag(self, node: Node) -> str:
        text = self._yaml.scalar("language", node) or ""
        if not is_language(text):
            self._yaml.error(node, f"‘{text}’ is not a language tag", "for example: language: en")
            return ""
        return text

    def word(self, name: str, key: Node, value: Node) -> None:
        """Read one word: its respelling, or a list of fields."""
        if not any(sign.isalnum() for sign in name) or _MARKUP.search(name):
            self._yaml.error(key, f"‘{name}’ is no word that a script can hold", "write a word")
            return
        fields: dict[str, str] = {}
        is_understood = True
        if not is_mapping(value):
            fields["say"] = self._words(name, value)
        for field, field_key, node in self._yaml.entries(value) if is_mapping(value) else ():
            if field not in _ENTRY_FIELDS:
                is_understood = False
                self._unknown(field_key, field, _ENTRY_FIELDS, "an entry of a lexicon")
            elif field == "language":
                fields[field] = self._tag(node)
            elif field == "voices":
                fields[field] = " ".join(self._yaml.texts(field, node))
            else:
                fields[field] = self._words(field, node)
        if "say" in fields and "ipa" in fields:
            self._yaml.error(key, f"‘{name}’ has both say and ipa", "keep one of them")
            return
        if not {"say", "ipa", "shown"} & fields.keys():
            if is_understood:
                self._yaml.error(key, f"‘{name}’ has no say, ipa or shown", 'write say: "…"')
            return
        self.entries.append(
            LexiconEntry(
                name,
                fields.get("say", ""),
                fields.get("ipa", "").strip("/[] "),
                fields.get("shown", ""),
                fields.get("language", self._language),
                tuple(fields.get("voices", "").replace(",", " ").split()),
                self._yaml.place(key),
            )
        )

    def _words(self, name: str, node: Node) -> str:
        text = " ".join((self._yaml.scalar(name, node) or "").split())
        if not text:
            self._yaml.error(node, f"‘{name}’ is empty", 'write words: "…"')
        elif found := _MARKUP.search(text):
            self._yaml.error(node, f"‘{found[0]}’ stands in ‘{text}’", "write plain words")
        return text

    def _heteronym(self, name: str, key: Node, value: Node) -> None:
        readings: dict[str, str] = {}
        lists: dict[str, dict[str, str]] = {"readings": readings, "after": {}, "before": {}}
        single: dict[str, str] = {}
        is_understood = True
        for field, field_key, node in self._yaml.entries(value):
            if field not in _HETERONYM_FIELDS:
                is_understood = False
                self._unknown(field_key, field, _HETERONYM_FIELDS, "a heteronym")
            elif field in {"usual", "at-start"}:
                single[field] = self._words(field, node)
            else:
                for said, _, inner in self._yaml.entries(node):
                    lists[field][said] = self._words(said, inner)
        if not is_understood:
            return
        if len(readings) < 2:
            hint = "write readings: {reed: ɹˈiːd, red: ɹˈɛd}"
            self._yaml.error(key, f"‘{name}’ needs two readings", hint)
            return
        for said in (*single.values(), *lists["after"], *lists["before"]):
            if said not in readings:
                self._unknown(key, said, tuple(readings), f"the readings of ‘{name}’")
                return
        self._heteronyms.append(
            Heteronym(
                name,
                tuple(readings.items()),
                single.get("usual", ""),
                _listed(lists["after"]),
                _listed(lists["before"]),
                single.get("at-start", ""),
                self._language,
                self._yaml.place(key),
            )
        )


def _listed(found: Mapping[str, str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    return tuple((said, tuple(words.lower().split())) for said, words in found.items())
