"""Undamaged tracks of all bundled voices, and of every field of an arrangement that is heard."""

from __future__ import annotations

import contextlib
import random
from typing import TYPE_CHECKING, Final

from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.problems import ScriptError
from pausewright.voice.voice_list import bundled_profiles

from support.spoiling.tracks import good_track, short_script, with_settings

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from pausewright.deliver.version import Version

    from support.spoiling.tracks import GoodTrack

OTHER_LANGUAGES: Final = {
    "fr": """
---
title: Le quai
language: fr-FR
voice: {voice}
readings: 2
between-readings: 1.5 s
announce: "Question {{number}}."
captions: everything
captions-reason: made for tests
---

# Début

Écrivez chaque réponse sur votre feuille.

# Questions {{answer-time="2.5 s"}}

1. Combien de roues ont sept voitures ? {{key="x"}}
2. Nommez le mois qui vient après mars. {{key="x"}}
3. Quel nombre est le double de douze ? {{key="x"}}

# Fin

Posez votre feuille ici, s'il vous plaît.
""",
    "es": """
---
title: El muelle
language: es-ES
voice: {voice}
readings: 2
between-readings: 1.5 s
announce: "Pregunta {{number}}."
captions: everything
captions-reason: made for tests
---

# Inicio

Escriba cada respuesta en su hoja.

# Preguntas {{answer-time="2.5 s"}}

1. ¿Cuántas ruedas tienen siete coches? {{key="x"}}
2. Nombre el mes que viene después de marzo. {{key="x"}}
3. ¿Qué número es el doble de doce? {{key="x"}}

# Final

Deje su hoja aquí, por favor.
""",
}
"""A short test in each language that has a voice and is not English."""

ARRANGEMENTS: Final = """
standard: {label: A}
longer:
  label: B
  basis: made for tests
  extra-time: 25 %
  share-of: listed-silences
  stretch: [answer-time, between-readings]
  where: each-gap
read-again:
  label: C
  basis: made for tests
  readings: 3
slower:
  label: D
  basis: made for tests
  pace: 85 %
at-marks:
  label: E
  basis: made for tests
  pauses: {sentence: 1.4 s, clause: 0.9 s}
breaks:
  label: F
  basis: made for tests
  rest-breaks: {after-questions: "2"}
looks:
  label: G
  basis: made for tests
  look-time: {before-questions: 4 s}
without-start:
  label: H
  basis: made for tests
  leave-out: [Start]
shown-less:
  label: I
  basis: made for tests
  captions: instructions
another-voice:
  label: J
  basis: made for tests
  voice: iris
loud:
  label: K
  basis: made for tests
  loudness: -18 LUFS
all-at-once:
  label: L
  basis: made for tests
  readings: 3
  pace: 90 %
  pauses: {sentence: 1.2 s}
  look-time: {before-questions: 3 s}
  extra-time: 12 s
  stretch: [answer-time]
  where: fixed-and-remainder
  fixed-pause: 2 s
  extra-words: "You now have {time} more to check your answers."
"""
"""Each field that changes what is heard or shown, and several at once."""


def at_level(source: GoodTrack, level: str, folder: Path) -> GoodTrack:
    """Return a track of the same script at another declared loudness, such as "-20 LUFS"."""
    text = with_settings(source.script.read_text(encoding="utf-8"), {"loudness": level})
    path = folder / f"{source.name}{level.partition(' ')[0]}.md"
    path.write_text(text, encoding="utf-8")
    return good_track(path)


def in_all_voices(folder: Path, seed: int) -> Iterator[GoodTrack]:
    """Yield a short test in each bundled voice, in a language that it speaks."""
    for nth, (name, profile) in enumerate(sorted(bundled_profiles().items())):
        language = profile.language.partition("-")[0]
        text = OTHER_LANGUAGES.get(language, "").lstrip("\n").format(voice=name)
        path = folder / f"all-{name}.md"
        path.write_text(text or short_script(seed + nth, voice=name), encoding="utf-8")
        yield good_track(path)


def in_all_arrangements(folder: Path, seed: int) -> Iterator[GoodTrack]:
    """Yield a short test in each arrangement, its standard track too, with what it promises."""
    path = folder / f"arranged-{seed}.md"
    path.with_suffix(".arrangements.yaml").write_text(ARRANGEMENTS.lstrip(), encoding="utf-8")
    dice = random.Random(seed)  # noqa: S311  no secret
    versions: Sequence[Version] = ()
    while not versions:
        path.write_text(short_script(dice.randrange(1 << 20), voice="joe"), encoding="utf-8")
        with contextlib.suppress(ScriptError):  # drawn without a mark that `pauses` could lengthen
            versions = made_versions(open_project(path))
    for version in versions:
        yield good_track(path, version=version, name=f"{path.stem}-{version.label}")
