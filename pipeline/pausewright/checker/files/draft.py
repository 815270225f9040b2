"""What a track's tags say of its state, and what is found where it is signed by now."""

from __future__ import annotations

from typing import Final

from pausewright.checker.result.findings import Finding

DRAFT: Final = "draft"
"""What the tags of a track say that nobody signed for yet."""
EXCERPT: Final = "excerpt"
"""What the tags of some questions of a track, to be heard again, say."""


def copied_before(name: str) -> Finding:
    """Return what to say of a track that was copied before it was signed."""
    return Finding(
        "track-draft",
        "warning",
        f"‘{name}’ says that it is a draft, and it was signed since then",
        "copy it again from the build, or lay the rooms out again (needs)",
    )
