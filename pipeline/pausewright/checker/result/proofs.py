"""What was proved about a track: extra time, and what it has in common with the standard track."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from fractions import Fraction


@frozen
class ExtraTimeProof:
    """Extra time as declared and as measured on the file."""

    entitled_s: Fraction
    given_s: Fraction
    """In whole samples of the file: each silence rounded up."""
    measured_s: Fraction | None
    """None where one of the silences could not be measured."""
    n_places: int
    n_silences: int
    """Silences that are longer by it: both halves of one with a cue, and one with two shares."""
    n_unmeasured: int
    """Those of them that were not found between the two sounds that they belong between."""

    @property
    def sentence(self) -> str:
        """The line for reports."""
        places = "1 place" if self.n_places == 1 else f"{self.n_places} places"
        return (
            f"entitled {seconds_text(self.entitled_s)} s, given {seconds_text(self.given_s, 3)} s "
            f"in {places} {self._measured}"
        )

    @property
    def _measured(self) -> str:
        if self.measured_s is not None:
            return f"(measured {seconds_text(self.measured_s, 3)} s), none inside speech"
        if self.n_unmeasured == self.n_silences:
            return "(not measured: none of its silences was found), where on the track is not known"
        others = f"{self.n_unmeasured} of {self.n_silences} silences"
        was = "was" if self.n_unmeasured == 1 else "were"
        return f"(not measured: {others} {was} not found), none inside speech of those that were"


@frozen
class FieldProof:
    """What was found of one declared field of an arrangement, or of what every script declares."""

    field: str
    """As authors write it: "readings"; "words", "captions" and "tones" are there always."""
    n_asked: int
    n_found: int
    sentence: str
    """The line for reports, with figures."""
    is_kept: bool | None
    """Whether all that was asked was found; None where this check cannot tell."""

    @property
    def verdict(self) -> str:
        """One word for it, "kept" only for what was found."""
        return {True: "kept", False: "NOT KEPT", None: "unproven"}[self.is_kept]


@frozen
class Comparison:
    """How a version compares with the standard track."""

    standard: str
    """File name of the standard track."""
    n_sounds: int
    n_partners: int
    """Sounds that the standard track has too."""
    n_same: int
    """Partners that are the same recording."""
    n_silences: int
    """Untouched silences between partners that are the same."""
    pace: Fraction
    pace_over_all: Fraction | None
    pace_of_one: tuple[Fraction, Fraction] | None
    """Least and greatest of single utterances."""
    keeps_voice: bool = True
    """False where another voice is declared, so that no sound can be the same."""

    @property
    def sentence(self) -> str:
        """The line for reports."""
        both = _counted(self.n_partners, "sound belongs", "sounds belong")
        own = _counted(self.n_sounds - self.n_partners, "is", "are")
        silences = _counted(self.n_silences, "untouched silence is", "untouched silences are")
        text = (
            f"against {self.standard}: {both} on both tracks, {own} the arrangement's own, "
            f"{silences} the same"
        )
        if not self.keeps_voice:
            return f"{text}; another voice is declared"
        if self.pace == 1:
            return f"{text}, {_counted(self.n_same, 'sound is', 'sounds are')} the same recording"
        if self.pace_over_all is None or self.pace_of_one is None:
            return f"{text}, no pace could be measured"
        least, most = self.pace_of_one
        return (
            f"{text}; pace {float(self.pace_over_all * 100):.2f} % of the standard over all, "
            f"{float(least * 100):.1f} to {float(most * 100):.1f} % by utterance, "
            f"{float(self.pace * 100):g} % declared"
        )


def seconds_text(wait_s: Fraction, places: int = 0) -> str:
    """Return seconds with thousands marked, rounded half up; more places only where needed."""
    if not places:
        places = next((n for n in range(3) if (wait_s * 10**n).denominator == 1), 3)
    scaled = (wait_s.numerator * 10**places * 2 + wait_s.denominator) // (2 * wait_s.denominator)
    whole, rest = divmod(scaled, 10**places)
    return f"{whole:,}.{rest:0{places}d}" if places else f"{whole:,}"


def _counted(n: int, one: str, more: str) -> str:
    return f"{n} {one if n == 1 else more}"
