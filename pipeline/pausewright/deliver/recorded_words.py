"""When the words of a recording are said: by its own sound, not by its length."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.alignment.known_words import times_of_words
from pausewright.alignment.phone_words import spoken_words
from pausewright.captions.word_times import WordTime
from pausewright.problems import PausewrightError
from pausewright.sound.sound_reader import read_sound
from pausewright.sound.streamed import LOW_RATE_HZ, low_samples
from pausewright.wording.plain_lines import LineWorder

if TYPE_CHECKING:
    from pausewright.deliver.element_sounds import ElementSounds
    from pausewright.script.declared import Settings
    from pausewright.wording.line_elements import Excerpt


def recorded_word_times(
    sounds: ElementSounds, settings: Settings, element: Excerpt
) -> list[WordTime]:
    """Return when each word of a recording is heard, from the start of its sound.

    None where its words are not known, or cannot be worded: then they share the sound.
    """
    words = element.sound.words
    if not words or element.sound.cues:
        return []
    worder = LineWorder(element.place.file, settings.language, {})
    try:
        (said,) = spoken_words([worder.spoken(words, element.place.line)])
    except PausewrightError:
        return []
    sound = element.sound
    wave, rate_hz = read_sound(sound.file, sound.from_s, sound.to_s, inside=sound.folder)
    samples = low_samples(wave, rate_hz)
    if len(samples) < LOW_RATE_HZ // 2:
        return []
    times = times_of_words(samples, LOW_RATE_HZ, said)
    most = sounds.n_sound_samples(element)
    begins_s = sound.from_s or Fraction(0)

    def sample(at_ms: int) -> int:
        heard_s = sounds.sound_at_s(sound, begins_s + Fraction(at_ms, 1000))
        return max(0, min(most, round(heard_s * sounds.rate_hz)))

    return [WordTime(one.word, sample(one.start_ms), sample(one.end_ms)) for one in times]
