"""A voice to listen to: a neutral sentence, as a WAV file."""

from __future__ import annotations

import tempfile
from fractions import Fraction
from pathlib import Path
from typing import Final

from pausewright.problems import Place
from pausewright.script.model import Speech
from pausewright.tasks.playback import write_wav
from pausewright.voice.studio import Studio
from pausewright.voice.voice_list import all_profiles, find_profile
from pausewright.wording.line_elements import SpokenPart, Utterance

RATE_HZ: Final = 44_100
SENTENCES: Final = {
    "en": "Question seven. Take nineteen from forty-two, and write the word lantern on the line.",
    "es": "Pregunta siete. El barco sale a las cuatro y media, y vuelve antes de la noche.",
    "fr": "Question sept. Le bateau part à quatre heures et demie, et revient avant la nuit.",
    "de": "Frage sieben. Das Schiff fährt um halb fünf, und kommt vor dem Abend zurück.",
}
"""What a voice says of its language; of another one, the numbers of an English voice."""


def sample(name: str, folder: Path, out: Path) -> str:
    """Write what a voice sounds like at 140 words a minute and −23 LUFS, as WAV.

    Returns what its profile cautions about; "" for nothing.

    Raises
    ------
    PausewrightError
        If there is no such voice, it cannot speak, or the file exists or cannot be written.
    """
    profiles = all_profiles(folder)
    profile = find_profile(profiles, name)
    words = SENTENCES.get(profile.language.split("-")[0].lower(), SENTENCES["en"])
    speech = Speech(name, profile.language, Fraction(1), 1)
    said = Utterance((SpokenPart(words),), words, speech, Place(profile.file, 1, 1))
    with tempfile.TemporaryDirectory(prefix="pausewright-") as held:
        studio = Studio(
            profiles=profiles, script_folder=Path(held), pace_wpm=Fraction(140), rate_hz=RATE_HZ
        )
        samples = studio.take(said).samples
    write_wav(out, [samples], RATE_HZ, channels=1)
    return profile.caution
