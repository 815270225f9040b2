"""What decoders may not do with a file from outside: follow what it names, or take it for a list.

Some kinds of media files are lists of other files or addresses. FFmpeg's libraries open those that
a list names, so the kinds that they may take a file for are named here, and nothing else may be
opened than the file itself (options of libavformat: `format_whitelist`, `protocol_whitelist`).
"""

from __future__ import annotations

from typing import Final

AV_FORMATS: Final = (
    "mov,mp4,m4a,3gp,3g2,mj2,aac,mp3,wav,w64,flac,ogg,aiff,caf,au,amr,asf,matroska,webm"
)
AV_OPTIONS: Final = {"format_whitelist": AV_FORMATS, "protocol_whitelist": "none"}
"""For `av.open` with an opened file."""
