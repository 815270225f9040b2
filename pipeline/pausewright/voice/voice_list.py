"""Which voices there are: the bundled ones and those declared beside a script.

A profile is a YAML file. Those of the bundled voices lie in the package `pausewright_voices`; a
user's own stand beside the script as `NAME.voice.yaml`, a centre's in a folder of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from pausewright.package_data import package_folder
from pausewright.problems import Place, Problems, VoiceError, nearest
from pausewright.voice.profile import VoiceProfile, same_language
from pausewright.voice.profile_reader import SUFFIX, ProfileReader
from pausewright.voice.voice_folders import centre_folder

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


class _BundledProfiles(Mapping[str, VoiceProfile]):
    """The profiles of a folder by name, each read when it is asked for: an outline needs one.

    A file is called as the voice in it is.
    """

    def __init__(self, folder: Path) -> None:
        self._files = {file.stem: file for file in sorted(folder.glob("*.yaml"))}
        self._read: dict[str, VoiceProfile] = {}

    def __getitem__(self, name: str) -> VoiceProfile:
        if name not in self._read:
            self._read |= _read_all([self._files[name]], {})
        return self._read[name]

    def __contains__(self, name: object) -> bool:
        return name in self._files

    def __iter__(self) -> Iterator[str]:
        return iter(self._files)

    def __len__(self) -> int:
        return len(self._files)


def bundled_profiles() -> Mapping[str, VoiceProfile]:
    """Return the profiles that come with Pausewright, by name."""
    return _BundledProfiles(package_folder("pausewright_voices"))


def all_profiles(script_folder: Path) -> Mapping[str, VoiceProfile]:
    """Return the bundled voices, the centre's, and those declared beside the script, by name.

    Raises
    ------
    ScriptError
        If a profile beside the script has problems; carries all of them with their lines.
    VoiceError
        If the centre's folder is named and not there.
    """
    found = bundled_profiles()
    centre = centre_folder()
    folders = {folder.resolve(): folder for folder in (script_folder, centre) if folder is not None}
    for folder in reversed(folders.values()):
        own = _read_all(sorted(folder.glob(f"*{SUFFIX}")), found)
        found = {**found, **own} if own else found
    return found


def find_profile(profiles: Mapping[str, VoiceProfile], name: str) -> VoiceProfile:
    """Return the profile called `name`.

    Raises
    ------
    VoiceError
        If there is none; the hint names the nearest one and how to add a voice.
    """
    if name in profiles:
        return profiles[name]
    close = nearest(name, profiles)
    suggestion = f"did you mean ‘{close}’? " if close else ""
    raise VoiceError(
        f"there is no voice called ‘{name}’; there are {', '.join(sorted(profiles))}",
        f"{suggestion}to add a voice, write {name}{SUFFIX} beside the script, "
        "or see pausewright voices",
    )


def _read_all(files: list[Path], taken: Mapping[str, VoiceProfile]) -> dict[str, VoiceProfile]:
    problems = Problems()
    found: dict[str, VoiceProfile] = {}
    for file in files:
        profile = ProfileReader(file, problems, bundled=not taken).read()
        if profile is None:
            continue
        other = found.get(profile.name) or taken.get(profile.name)
        if other is not None:
            problems.error(
                Place(file, 1, 1),
                f"there is already a voice called ‘{profile.name}’ ({other.file.name})",
                "give this one another name",
                code="voice-name-taken",
            )
        found[profile.name] = profile
    problems.raise_errors()
    return found


def language_warning(profile: VoiceProfile, language: str) -> str | None:
    """Return a sentence if the voice's language or region differs from `language`, else None."""
    if profile.language.lower() == language.lower():
        return None
    kind = "region" if same_language(profile.language, language) else "language"
    return (
        f"the voice ‘{profile.name}’ speaks {profile.language}, "
        f"but the script’s {kind} is that of {language}"
    )
