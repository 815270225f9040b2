"""What every reader of a block knows: the file being read, the settings, where problems go."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pausewright.problems import Problems
    from pausewright.script.declared import Settings
    from pausewright.script.source.source_text import Source


@dataclass(slots=True)
class Context:
    """One for a whole script; `source` and `problems` follow the file that is being read."""

    source: Source
    settings: Settings
    problems: Problems
