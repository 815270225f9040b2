"""The configuration that comes with a Piper model."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from piper.config import PhonemeType, PiperConfig

from pausewright.intake.file_kinds import VOICE_CONFIG
from pausewright.intake.plain_file import file_text
from pausewright.problems import VoiceError
from pausewright.voice.profile import same_language

if TYPE_CHECKING:
    from pausewright.voice.profile import VoiceProfile

BEGIN, END, PAD = "^", "$", "_"
"""Symbols that every model has."""
LEAST_RATE_HZ, MOST_RATE_HZ = 8_000, 48_000
"""Models are made for 16,000 and 22,050 (common practice, no source)."""


def read_config(profile: VoiceProfile) -> PiperConfig:
    """Read a voice's configuration.

    Raises
    ------
    VoiceError
        If it is missing or damaged, tells another language than the profile or no usual rate, or
        asks for a pronunciation engine that is not here.
    """
    file = profile.config_file()
    try:
        config = PiperConfig.from_dict(json.loads(file_text(file, VOICE_CONFIG, profile.place)))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as fault:
        raise VoiceError(
            f"the configuration {file.name} of the voice ‘{profile.name}’ cannot be read",
            "put the model’s own .json file beside it",
        ) from fault
    if config.phoneme_type not in (PhonemeType.ESPEAK, PhonemeType.TEXT):
        raise VoiceError(
            f"the voice ‘{profile.name}’ needs {config.phoneme_type.value}, which is not supported",
            "name another voice",
        )
    if not LEAST_RATE_HZ <= config.sample_rate <= MOST_RATE_HZ:
        raise VoiceError(
            f"the voice ‘{profile.name}’ gives {config.sample_rate} samples a second by "
            f"{file.name}; {LEAST_RATE_HZ:,} to {MOST_RATE_HZ:,} can be used",
            "put the model’s own .json file beside it",
        )
    is_espeak = config.phoneme_type == PhonemeType.ESPEAK and config.espeak_voice
    if is_espeak and not same_language(config.espeak_voice, profile.language):
        raise VoiceError(
            f"the model of the voice ‘{profile.name}’ speaks {config.espeak_voice} by {file.name}, "
            f"and its profile says {profile.language}",
            f"correct `language:` in {profile.file.name}, or put the model’s own .json file beside "
            "it",
        )
    if any(symbol not in config.phoneme_id_map for symbol in (BEGIN, END, PAD)):
        raise VoiceError(
            f"the configuration {file.name} of the voice ‘{profile.name}’ lacks its sounds",
            "put the model’s own .json file beside it",
        )
    return config


def speaker_number(profile: VoiceProfile, config: PiperConfig) -> int | None:
    """Return which of a model's speakers is meant; None if it has but one.

    Raises
    ------
    VoiceError
        If there is no such speaker.
    """
    speaker = profile.speaker
    if config.num_speakers <= 1:
        if speaker:
            raise VoiceError(
                f"the model of the voice ‘{profile.name}’ has one speaker, not number {speaker}",
                f"take `speaker:` out of {profile.file.name}",
            )
        return None
    if speaker is not None and speaker >= config.num_speakers:
        raise VoiceError(
            f"the model of the voice ‘{profile.name}’ has no speaker {speaker}; "
            f"they are 0 to {config.num_speakers - 1}",
            f"correct `speaker:` in {profile.file.name}",
        )
    return speaker if speaker is not None else int(config.default_speaker_id)
