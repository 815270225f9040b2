"""The network of the bundled British voices: its weights, put together and prepared in memory.

The weights (Kokoro-82M, int8, ONNX) come in four packages because a package index takes no larger
files. Their makers state Apache-2.0 for the weights and MIT for the export; both texts lie in
`pausewright_voices/licences`.
"""

from __future__ import annotations

import hashlib

import onnx

from pausewright.intake.file_kinds import VOICE_FILE
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import VoiceError
from pausewright.voice.kokoro_parts import REINSTALL, SHA256, kokoro_parts
from pausewright.voice.model_graph import pace_by_symbol


def model(voice: str) -> bytes:
    """Return the model with a speed for each symbol (`model_graph.pace_by_symbol`).

    Raises
    ------
    VoiceError
        If a part is missing, or all of them together are not the known weights.
    """
    joined = b"".join(file_bytes(file, VOICE_FILE) for file in kokoro_parts(voice))
    if hashlib.sha256(joined).hexdigest() != SHA256:
        raise VoiceError(
            f"the model of the voice ‘{voice}’ is damaged: its four parts are not the known ones",
            REINSTALL,
        )
    graph = onnx.load_model_from_string(joined)
    del joined
    if not pace_by_symbol(graph):
        raise AssertionError("the known weights have one node that rounds lengths")
    content: bytes = graph.SerializeToString()
    return content
