"""Reads one voice profile; every fault becomes a problem with its line."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Literal, TypeAlias, get_args

from ruamel.yaml import MappingNode, ScalarNode, SequenceNode
from ruamel.yaml.error import MarkedYAMLError, YAMLError

from pausewright.intake.file_kinds import VOICE_PROFILE
from pausewright.intake.plain_file import file_text
from pausewright.problems import FileError, Place, nearest
from pausewright.script.settings.strict_yaml import silent_yaml
from pausewright.voice.profile import VoiceProfile

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.problems import Problems

EngineName: TypeAlias = Literal["piper", "hibari", "kokoro", "recorded"]
SUFFIX = ".voice.yaml"

_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
_LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*")
_TEXTS = (
    "name",
    "engine",
    "language",
    "licence",
    "origin",
    "model",
    "config",
    "package",
    "style",
    "sha256",
    "caution",
)
_FIELDS = (*_TEXTS, "speaker", "loudness-offset", "pace-table")
_REQUIRED = ("engine", "language", "licence", "origin")


class ProfileReader:
    """Reads one profile file."""

    def __init__(self, file: Path, problems: Problems, *, bundled: bool) -> None:
        """Name the file and where faults go."""
        self.file = file
        self.problems = problems
        self.bundled = bundled
        self.faults = 0
        self.seen: set[str] = set()
        self.nodes: dict[str, ScalarNode | SequenceNode | MappingNode] = {}

    def read(self) -> VoiceProfile | None:
        """Return the profile, or None if it has faults; they are in `problems`."""
        root = self._root()
        if root is None:
            return None
        for key, value in root.value:
            self._field(key, value)
        for name in _REQUIRED:
            if name not in self.seen:
                self._error(root, f"`{name}:` is missing", f"write `{name}: …`")
        profile = self._profile()
        return None if self.faults else profile

    def _root(self) -> MappingNode | None:
        try:
            held = file_text(self.file, VOICE_PROFILE, None if self.bundled else self.file.parent)
            root = silent_yaml().compose(held)
        except FileError as refused:
            self.problems.error(self._top(), refused.message, refused.hint, code="file-unreadable")
            return None
        except MarkedYAMLError as fault:
            mark = fault.problem_mark
            place = Place(self.file, mark.line + 1, mark.column + 1) if mark else self._top()
            self.problems.error(
                place,
                f"this voice profile cannot be read: {fault.problem or fault.context}",
                "write one `name: value` a line; put values with a colon in quotes",
                code="voice-profile",
            )
            return None
        except (YAMLError, ValueError, RecursionError) as fault:
            self.problems.error(
                self._top(),
                f"this voice profile cannot be read: {fault}",
                "save it as plain text in UTF-8",
                code="voice-profile",
            )
            return None
        if not isinstance(root, MappingNode):
            self.problems.error(
                self._top(),
                "a voice profile consists of lines such as `engine: piper`",
                "write `name: value`, one a line",
                code="voice-profile",
            )
            return None
        return root

    def _top(self) -> Place:
        return Place(self.file, 1, 1)

    def _field(self, key: ScalarNode, value: ScalarNode | SequenceNode | MappingNode) -> None:
        name = str(key.value)
        self.seen.add(name)
        if name not in _FIELDS:
            close = nearest(name, _FIELDS)
            self._error(
                key,
                f"a voice profile has no `{name}:`",
                f"did you mean `{close}:`?" if close else f"known are {', '.join(_FIELDS)}",
            )
        elif name in self.nodes:
            self._error(key, f"`{name}:` stands here twice", "keep one of them")
        elif name in _TEXTS and not (isinstance(value, ScalarNode) and value.value.strip()):
            self._error(key, f"`{name}:` needs one text", f"write `{name}: …` on one line")
        else:
            self.nodes[name] = value

    def _profile(self) -> VoiceProfile:
        default_name = self.file.name.removesuffix(SUFFIX).removesuffix(".yaml")
        name = self._text("name") or default_name
        if not _NAME.fullmatch(name):
            self._fault_at("name", f"‘{name}’ is no name for a voice", "use letters, digits and -")
        engine = self._text("engine") or ""
        if engine and engine not in get_args(EngineName):
            known = get_args(EngineName)
            close = nearest(engine, known)
            self._fault_at(
                "engine",
                f"there is no engine ‘{engine}’; there are {', '.join(known)}",
                f"did you mean ‘{close}’?" if close else f"write `engine: {known[0]}`",
            )
        language = self._text("language") or ""
        if language and not _LANGUAGE.fullmatch(language):
            self._fault_at("language", f"‘{language}’ is no language", "write it as in `en-GB`")
        if engine == "recorded" and "model" not in self.nodes:
            self._fault_at(
                "engine",
                "a recorded voice needs a list of its recordings",
                "write `model: NAME.recordings.yaml`",
            )
        if engine == "piper" and "model" not in self.nodes:
            self._fault_at("engine", "this engine needs a model", "write `model: FILE.onnx`")
        if engine == "kokoro" and "style" not in self.nodes:
            self._fault_at("engine", "this engine needs a style", "write `style: FILE.npy`")
        sha256 = self._text("sha256")
        if sha256 is not None and not re.fullmatch(r"[0-9a-f]{64}", sha256):
            self._fault_at(
                "sha256",
                "a SHA-256 has 64 digits 0 to 9 and a to f",
                "copy it whole, in small letters",
            )
        return VoiceProfile(
            name=name,
            engine=engine,
            language=language,
            licence=self._text("licence") or "",
            origin=self._text("origin") or "",
            file=self.file,
            bundled=self.bundled,
            model=self._text("model"),
            config=self._text("config"),
            package=self._text("package"),
            speaker=self._whole("speaker"),
            style=self._text("style"),
            sha256=sha256,
            caution=self._text("caution") or "",
            pace_table=self._table(),
            loudness_offset_lu=self._number_field("loudness-offset"),
        )

    def _text(self, name: str) -> str | None:
        node = self.nodes.get(name)
        return " ".join(str(node.value).split()) if node is not None else None

    def _whole(self, name: str) -> int | None:
        text = self._text(name)
        if text is None:
            return None
        if not text.isascii() or not text.isdigit():
            self._fault_at(name, f"`{name}: {text}` is no whole number", f"write `{name}: 0`")
            return None
        return int(text)

    def _number_field(self, name: str) -> float | None:
        return self._number(self.nodes[name]) if name in self.nodes else None

    def _number(self, node: ScalarNode | SequenceNode | MappingNode) -> float:
        try:
            return float(node.value)
        except (TypeError, ValueError):
            self._error(node, "this is no number", "write a number such as 1.25")
            return 0.0

    def _table(self) -> tuple[tuple[float, float], ...]:
        node = self.nodes.get("pace-table")
        if node is None:
            return ()
        rows = node.value if isinstance(node, SequenceNode) else []
        if len(rows) < 2 or not all(
            isinstance(row, SequenceNode) and len(row.value) == 2 for row in rows
        ):
            self._fault_at(
                "pace-table",
                "a pace table has at least two rows of setting and words a minute",
                "write `- [1.0, 200.0]`, one a line",
            )
            return ()
        table = [(self._number(row.value[0]), self._number(row.value[1])) for row in rows]
        rates = [rate for _, rate in table]
        if rates != sorted(set(rates), reverse=True) or rates[-1] <= 0:
            self._fault_at(
                "pace-table", "the words a minute must fall from row to row", "sort the rows"
            )
        return tuple(table)

    def _fault_at(self, name: str, message: str, hint: str) -> None:
        self._error(self.nodes.get(name), message, hint)

    def _error(
        self, node: ScalarNode | SequenceNode | MappingNode | None, message: str, hint: str
    ) -> None:
        self.faults += 1
        place = self._top()
        if node is not None:
            mark = node.start_mark
            length = len(node.value) if isinstance(node, ScalarNode) else 1
            place = Place(self.file, mark.line + 1, mark.column + 1, max(1, length))
        self.problems.error(place, message, hint, code="voice-profile")
