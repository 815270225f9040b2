"""Voice engines without their voices: for what must be made from takes that are kept."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.problems import VoiceError
from pausewright.voice.engine_kinds import built_in_engines

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.voice.engine import Engine
    from pausewright.voice.engine_kinds import EngineKind
    from pausewright.voice.profile import VoiceProfile


def without_voices(
    engines: Mapping[str, EngineKind] | None, doing: str
) -> Mapping[str, EngineKind]:
    """Return engines that find kept takes and refuse to make others.

    Parameters
    ----------
    engines : by name; None: the built-in ones
    doing : what voices nothing, for the sentence: "signing"
    """

    def refuse(profile: VoiceProfile) -> Engine:
        raise VoiceError(
            f"what ‘{profile.name}’ said is no longer kept, and {doing} voices nothing",
            "build the script again first",
        )

    known = built_in_engines() if engines is None else engines
    return {name: replace(kind, load=refuse) for name, kind in known.items()}
