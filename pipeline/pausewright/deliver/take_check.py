"""What the check would say of a take, asked before it is laid: so that another can be taken."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.checker.faults.hard_edges import begins_as_if_cut

if TYPE_CHECKING:
    from pausewright.sound.take import Take

MARGIN_DB: Final = 3.0
"""How much earlier another take is taken than the check would tell a cut: on the track the level of
the speech is measured anew, and coders move rises a little."""


def begins_whole(take: Take, rate_hz: int, active_dbfs: float, voice: str) -> bool:
    """Return whether no speech in a take begins so suddenly that it would pass for cut off.

    Some voices begin a word so softly by nature that its start passes for missing. `active_dbfs`
    is the active level of the speech.
    """
    return not begins_as_if_cut(take.samples[:, 0], rate_hz, active_dbfs, MARGIN_DB, voice)
