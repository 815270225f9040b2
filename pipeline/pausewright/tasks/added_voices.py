"""Voices that can be added from the network, each with what it weighs and on what terms it comes.

There are two kinds. Small British voices of the engine that speaks as iris: their sizes and hashes
are pinned in the package that brings the engine. Models of the Piper kind: their sizes and hashes
(MD5) are in a list that the publisher keeps beside them, and each has a card with its terms. What
the card says is shown before anything is fetched.
"""

from __future__ import annotations

import hashlib
import json
import re
import tempfile
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pausewright.fetch import Wanted, fetched
from pausewright.files.writing import part_of, unwritable
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import SCRIPT, VOICE_CONFIG, VOICE_FILE
from pausewright.intake.plain_file import file_bytes, file_text
from pausewright.problems import OutputError, VoiceError, nearest
from pausewright.voice.profile import same_language
from pausewright.voice.profile_reader import SUFFIX
from pausewright.voice.small_voices import ADDRESS, small_voices
from pausewright.voice.voice_list import all_profiles

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.voice.small_voices import SmallVoice

PIPER: Final = "https://huggingface.co/rhasspy/piper-voices/resolve/main/"
"""Where the list of Piper models, the models and their cards lie."""
LIST_BYTES: Final = 16_000_000
CARD_BYTES: Final = 200_000
_PIPER_NAME: Final = re.compile(r"[a-z]{2,3}_[A-Z]{2}-[A-Za-z0-9_]+-[a-z_]+")
_CAUTION: Final = (
    "Read its terms before you use it. Many models of this kind were trained further from a model "
    "whose recordings are for research only; the card may not say so"
)


@frozen
class Offer:
    """A voice that can be added, before anything of it but its terms is here."""

    name: str
    files: tuple[tuple[str, Wanted], ...]
    """Names of the files in the folder, and where they come from; the model first."""
    engine: str
    language: str
    licence: str
    origin: str
    card: str
    """What its publisher says of it, whole."""

    @property
    def n_bytes(self) -> int:
        """What there is to fetch."""
        return sum(wanted.n_bytes for _, wanted in self.files)


def offered(name: str, piper: str = PIPER, small: str = ADDRESS) -> Offer:
    """Return a voice that can be added; a Piper model's list and card are fetched for that.

    Raises
    ------
    VoiceError
        If there is none of that name, or the list cannot be fetched.
    """
    known = small_voices()
    if name in known:
        return _small(name, known[name], small)
    if _PIPER_NAME.fullmatch(name):
        return _piper(name, piper)
    close = nearest(name, known)
    raise VoiceError(
        f"no voice called ‘{name}’ can be added",
        (f"did you mean ‘{close}’? " if close else "")
        + f"there are {', '.join(known)}, and models of the Piper kind by their full name, for "
        "example en_GB-cori-medium",
    )


def add(offer: Offer, folder: Path, progress: Callable[[str, int, int], None]) -> Path:
    """Fetch a voice into a folder and describe it there; return its profile.

    What broke off before is gone on with. The profile comes last, so that a voice is there whole or
    not at all. `progress` is called with a file's name, bytes that are there and in all.

    Raises
    ------
    PausewrightError
        If the name is taken, a file cannot be fetched or written, or is not the stated one.
    """
    if offer.name in all_profiles(folder):
        raise OutputError(
            f"there is already a voice called ‘{offer.name}’",
            f"remove it first: pausewright voices --remove {offer.name}",
        )
    profile = folder / f"{offer.name}{SUFFIX}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, wanted in offer.files:
            if not _is_here(folder / name, wanted):
                fetched(wanted, folder / name, partial(progress, name))
        if offer.engine == "piper":
            _refuse_odd_config(folder / f"{offer.files[0][0]}.json", offer)
        with part_of(profile) as part:
            part.write_text(_described(offer, folder), encoding="utf-8")
    except OSError as fault:
        raise unwritable(
            folder, fault, "make room, or choose another folder: --folder DIR"
        ) from fault
    return profile


@frozen
class Removal:
    """An added voice and what there is to take away of it."""

    name: str
    files: tuple[Path, ...]
    scripts: tuple[Path, ...]
    """Scripts beside it that name it."""


def removal(name: str, folder: Path) -> Removal:
    """Return what removing an added voice would take away; nothing is touched.

    Raises
    ------
    PausewrightError
        If there is no such voice in the folder, or it is a bundled one.
    """
    profile = all_profiles(folder).get(name)
    if profile is None:
        raise VoiceError(
            f"there is no voice called ‘{name}’ in {folder}", "run: pausewright voices"
        )
    if profile.bundled:
        raise VoiceError(f"the voice ‘{name}’ comes with Pausewright", "it cannot be removed alone")
    place = profile.file.parent.resolve()
    named = [
        profile.model,
        profile.config or (profile.model and f"{profile.model}.json"),
        profile.style,
    ]
    files = [profile.file, *(profile.file.parent / one for one in named if one)]
    files.append(profile.file.with_name(f"{name}.card.txt"))
    own = tuple(file for file in files if file.is_file() and file.resolve().parent == place)
    mentions = re.compile(rf"voice[:=]\s*[\"']?{re.escape(name)}\b")
    scripts = tuple(
        script
        for script in sorted(folder.glob("*.md"))
        if mentions.search(file_text(script, SCRIPT, folder))
    )
    return Removal(name, own, scripts)


def remove(what: Removal) -> None:
    """Take an added voice away, its profile first.

    Raises
    ------
    OutputError
        If a file cannot be removed.
    """
    for file in what.files:
        try:
            file.unlink(missing_ok=True)
        except OSError as fault:
            raise OutputError(
                f"{file} cannot be removed: {fault.strerror or fault}", "remove it by hand"
            ) from fault


def _small(name: str, own: SmallVoice, base: str) -> Offer:
    wanted = Wanted(base + own.file, own.n_bytes, "sha256", own.sha256)
    licence = "Apache-2.0"
    return Offer(
        name,
        ((f"{name}.onnx", wanted),),
        "hibari",
        own.language,
        licence,
        own.origin,
        f"{own.origin}. Licence: {licence}, as the package states.",
    )


def _piper(name: str, base: str) -> Offer:
    with tempfile.TemporaryDirectory(prefix="pausewright-") as held:
        listed = _json(_fetched_text(f"{base}voices.json", LIST_BYTES, Path(held) / "voices.json"))
        entry = listed.get(name)
        if not isinstance(entry, dict):
            close = nearest(name, listed)
            raise VoiceError(
                f"the publisher's list has no model ‘{name}’",
                f"did you mean ‘{close}’?" if close else "look for its full name",
            )
        try:
            stated = {Path(path).name: (path, facts) for path, facts in entry["files"].items()}
            files = tuple(
                (
                    ours,
                    Wanted(
                        base + stated[theirs][0],
                        int(stated[theirs][1]["size_bytes"]),
                        "md5",
                        str(stated[theirs][1]["md5_digest"]),
                    ),
                )
                for ours, theirs in (
                    (f"{name}.onnx", f"{name}.onnx"),
                    (f"{name}.onnx.json", f"{name}.onnx.json"),
                )
            )
            card_path = base + stated["MODEL_CARD"][0]
            language = str(entry["language"]["code"]).replace("_", "-")
        except (KeyError, TypeError, ValueError, AttributeError) as fault:
            raise VoiceError(
                f"the publisher's list tells too little of ‘{name}’ to fetch it safely",
                "choose another voice",
            ) from fault
        card = _fetched_text(card_path, CARD_BYTES, Path(held) / "MODEL_CARD")
    licence = re.search(r"licen[cs]e:?\s*\**\s*(.+)", card, re.IGNORECASE)
    return Offer(
        name,
        files,
        "piper",
        language,
        licence[1].strip(" *`") if licence else "not stated on its card: ask its makers",
        f"A Piper model; its card lies beside it as {name}.card.txt",
        card,
    )


def _fetched_text(address: str, most_bytes: int, file: Path) -> str:
    fetched(Wanted(address, most_bytes, "", "", is_most=True), file)
    return file_bytes(file, VOICE_CONFIG).decode("utf-8", errors="replace")


def _json(text: str) -> dict[str, Any]:
    try:
        found = json.loads(text)
    except (ValueError, RecursionError) as fault:
        raise VoiceError(
            "the publisher's list of models cannot be read", "try again later"
        ) from fault
    if not isinstance(found, dict):
        raise VoiceError("the publisher's list of models is no list", "try again later")
    return found


def _is_here(file: Path, wanted: Wanted) -> bool:
    """Return whether a file is there already and the wanted one."""
    if not file.is_file() or file.stat().st_size != wanted.n_bytes or not wanted.hash_name:
        return False
    found = hashlib.new(wanted.hash_name, usedforsecurity=False)
    found.update(file_bytes(file, VOICE_FILE))
    return found.hexdigest() == wanted.digest


def _refuse_odd_config(file: Path, offer: Offer) -> None:
    """Refuse a Piper model whose configuration tells another language, or no rate."""
    config = _json(file_text(file, VOICE_CONFIG))
    try:
        rate_hz = int(config["audio"]["sample_rate"])
        spoken = str(config["espeak"]["voice"])
    except (KeyError, TypeError, ValueError) as fault:
        raise VoiceError(
            f"the configuration {file.name} is not one of a Piper model", "choose another voice"
        ) from fault
    if not 8_000 <= rate_hz <= 48_000:
        raise VoiceError(f"{file.name} states {rate_hz} samples a second", "choose another voice")
    if not same_language(spoken, offer.language):
        raise VoiceError(
            f"{file.name} speaks {spoken}, but the publisher's list says {offer.language}",
            "choose another voice",
        )


def _described(offer: Offer, folder: Path) -> str:
    """Return the text of a profile."""
    model = offer.files[0][0]
    (folder / f"{offer.name}.card.txt").write_text(offer.card, encoding="utf-8")
    rows = {
        "name": offer.name,
        "engine": offer.engine,
        "language": offer.language,
        "licence": offer.licence,
        "origin": offer.origin,
        "caution": _CAUTION if offer.engine == "piper" else "",
        "model": model,
        "sha256": hashlib.sha256(file_bytes(folder / model, VOICE_FILE)).hexdigest(),
    }
    return "".join(
        f"{name}: {json.dumps(value, ensure_ascii=False)}\n"
        for name, value in rows.items()
        if value
    )
