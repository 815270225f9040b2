"""`pausewright voices`: hearing, adding and removing, with a server of this machine.

The list of Piper models has the form of the publisher's `voices.json`, from memory and from the
package piper-tts, which reads it.
"""

from __future__ import annotations

import hashlib
import json
import threading
import wave
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import TYPE_CHECKING

import pytest
from pausewright import fetch
from pausewright.cli import app
from pausewright.deliver.build import Options, build
from pausewright.deliver.project import open_project
from pausewright.problems import OutputError, PausewrightError, ScriptError, VoiceError
from pausewright.tasks import added_voices, playback
from pausewright.voice import studio as studios
from pausewright.voice.booth import Booth
from pausewright.voice.engine_kinds import built_in_engines
from pausewright.voice.small_voices import SmallVoice, small_voices
from pausewright.voice.store import TakeStore
from pausewright.voice.voice_folders import VARIABLE
from pausewright.voice.voice_list import all_profiles
from support.voices.fake_voice import FakeEngine, fake_engines
from typer.testing import CliRunner

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

NAME = "en_GB-invented-low"
MODEL = b"a model, as far as fetching goes" * 1_000
CARD = "# Model card\n\n* License: CC0\n* Trained from scratch: no\n"
CONFIG = {"audio": {"sample_rate": 22050}, "espeak": {"voice": "en-gb-x-rp"}}


class Publisher(ThreadingHTTPServer):
    """Serves files by their paths."""

    def __init__(self) -> None:
        """Lay out a list with one model."""
        self.files: dict[str, bytes] = {}
        owner = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                body = owner.files.get(self.path.strip("/"))
                self.send_response(404 if body is None else 200)
                self.end_headers()
                self.wfile.write(body or b"")

            def log_message(self, *_: object) -> None:
                pass

        super().__init__(("127.0.0.1", 0), Handler)
        self.put_model(json.dumps(CONFIG).encode())

    @property
    def address(self) -> str:
        """Where everything lies."""
        return f"http://127.0.0.1:{self.server_port}/"

    def put_model(self, config: bytes, **changed: object) -> None:
        """Lay out the model with a configuration; `changed` are fields of the list's entry."""
        held = {f"{NAME}.onnx": MODEL, f"{NAME}.onnx.json": config, "MODEL_CARD": CARD.encode()}
        stated = {
            f"en/{name}": {
                "size_bytes": len(body),
                "md5_digest": hashlib.md5(body, usedforsecurity=False).hexdigest(),
            }
            for name, body in held.items()
        }
        entry = {"language": {"code": "en_GB"}, "files": stated, **changed}
        self.files = {f"en/{name}": body for name, body in held.items()}
        self.files["voices.json"] = json.dumps({NAME: entry}).encode()


@pytest.fixture
def publisher() -> Iterator[Publisher]:
    """Serve until the test ends."""
    with Publisher() as one:
        thread = threading.Thread(target=one.serve_forever, args=(0.01,))
        thread.start()
        yield one
        one.shutdown()
        thread.join()


def _nothing(_file: str, _done: int, _all: int) -> None:
    pass


def test_a_piper_model_is_added_and_removed(publisher: Publisher, tmp_path: Path) -> None:
    """Its card and licence are there before it; afterwards it is a voice with a hash."""
    offer = added_voices.offered(NAME, piper=publisher.address)
    assert (offer.language, offer.licence) == ("en-GB", "CC0")
    assert offer.card == CARD
    assert offer.n_bytes == len(MODEL) + len(json.dumps(CONFIG))
    assert list(tmp_path.iterdir()) == []

    added_voices.add(offer, tmp_path, _nothing)

    profile = all_profiles(tmp_path)[NAME]
    assert profile.sha256 == hashlib.sha256(MODEL).hexdigest()
    assert "research only" in profile.caution
    assert profile.model_file().read_bytes() == MODEL
    with pytest.raises(OutputError, match="already a voice"):
        added_voices.add(offer, tmp_path, _nothing)

    (tmp_path / "t.md").write_text(f"---\nvoice: {NAME}\n---\n", "utf-8")
    what = added_voices.removal(NAME, tmp_path)
    assert [one.name for one in what.scripts] == ["t.md"]
    added_voices.remove(what)
    assert [one.name for one in tmp_path.iterdir()] == ["t.md"]


def test_a_script_that_names_a_removed_voice_is_told_so(
    publisher: Publisher, tmp_path: Path
) -> None:
    """One sentence with the line that names it and the nearest voice; nothing is written."""
    added_voices.add(added_voices.offered(NAME, piper=publisher.address), tmp_path, _nothing)
    script = tmp_path / "t.md"
    script.write_text(
        f"---\ntitle: T\nlanguage: en-GB\nvoice: {NAME}\n---\n\n# A\n\nTurn over.\n", "utf-8"
    )
    assert not open_project(script).has_errors
    added_voices.remove(added_voices.removal(NAME, tmp_path))

    project = open_project(script)
    errors = [one for one in project.problems if one.severity == "error"]
    assert [(one.place.line, one.code) for one in errors] == [(4, "voice-unknown")]
    assert NAME in errors[0].message
    with pytest.raises(ScriptError):
        build(script, Options(tmp_path / "out"))
    assert [one.name for one in tmp_path.iterdir()] == ["t.md"]


def test_a_full_disk_leaves_no_voice(
    publisher: Publisher, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One sentence that says what to do, and nothing that could pass for a voice."""

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    offer = added_voices.offered(NAME, piper=publisher.address)
    monkeypatch.setattr(fetch, "put", full)
    with pytest.raises(OutputError, match="the disk is full") as caught:
        added_voices.add(offer, tmp_path, _nothing)

    assert "--folder DIR" in caught.value.hint
    assert not list(tmp_path.glob("*.yaml"))
    assert not list(tmp_path.glob("*.onnx"))


@pytest.mark.parametrize(
    ("config", "said"),
    [
        ({"audio": {"sample_rate": 22050}, "espeak": {"voice": "de"}}, "speaks de"),
        ({"audio": {"sample_rate": 5}, "espeak": {"voice": "en-gb"}}, "5 samples a second"),
        ({"audio": {}}, "is not one of a Piper model"),
        ([], "is no list"),
    ],
)
def test_a_model_with_an_odd_configuration_is_no_voice(
    publisher: Publisher, tmp_path: Path, config: object, said: str
) -> None:
    """Of another language or rate, or none at all: no profile is written."""
    publisher.put_model(json.dumps(config).encode())

    with pytest.raises(VoiceError, match=said):
        added_voices.add(added_voices.offered(NAME, piper=publisher.address), tmp_path, _nothing)

    assert not list(tmp_path.glob("*.voice.yaml"))


def test_a_model_without_its_configuration_is_refused(publisher: Publisher, tmp_path: Path) -> None:
    """The list states it, the server has it not; or the list tells too little."""
    offer = added_voices.offered(NAME, piper=publisher.address)
    del publisher.files[f"en/{NAME}.onnx.json"]
    with pytest.raises(VoiceError, match="it answers 404"):
        added_voices.add(offer, tmp_path, _nothing)
    assert not list(tmp_path.glob("*.voice.yaml"))

    publisher.put_model(b"{}", files={})
    with pytest.raises(VoiceError, match="tells too little"):
        added_voices.offered(NAME, piper=publisher.address)


def test_a_changed_model_is_refused(publisher: Publisher, tmp_path: Path) -> None:
    """The list's hash is another than that of what the server sends."""
    offer = added_voices.offered(NAME, piper=publisher.address)
    publisher.files[f"en/{NAME}.onnx"] = bytes(len(MODEL))

    with pytest.raises(VoiceError, match="is not the file that its publisher states"):
        added_voices.add(offer, tmp_path, _nothing)
    assert list(tmp_path.iterdir()) == []


def test_small_british_voices_have_sizes_and_hashes_in_their_package() -> None:
    """They are offered without any connection."""
    for name, own in small_voices().items():
        offer = added_voices.offered(name)
        ((file, wanted),) = offer.files
        assert (file, offer.language, wanted.n_bytes) == (f"{name}.onnx", "en-GB", own.n_bytes)
        assert wanted.n_bytes < 9_000_000
        assert len(wanted.digest) == 64
    with pytest.raises(VoiceError, match="can be added") as caught:
        added_voices.offered("ema-small")
    assert "did you mean ‘emma-small’?" in caught.value.hint


def test_a_small_voice_is_added(
    publisher: Publisher, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From a server of this machine, with a file in its place."""
    publisher.files["s.onnx"] = MODEL
    own = SmallVoice("s.onnx", len(MODEL), hashlib.sha256(MODEL).hexdigest(), "en-GB", "a test")
    monkeypatch.setattr(added_voices, "small_voices", lambda: {"emma-small": own})

    added_voices.add(
        added_voices.offered("emma-small", small=publisher.address), tmp_path, _nothing
    )

    assert all_profiles(tmp_path)["emma-small"].engine == "hibari"


def test_a_bundled_voice_cannot_be_removed(tmp_path: Path) -> None:
    """Nor one that is not there."""
    with pytest.raises(VoiceError, match="comes with Pausewright"):
        added_voices.removal("emma", tmp_path)
    with pytest.raises(VoiceError, match="no voice called"):
        added_voices.removal("emmy", tmp_path)


# ---- a centre's folder


def test_a_centre_has_a_folder_of_voices(
    publisher: Publisher, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its voices are there for every script; a changed file is refused, as one without hash."""
    centre, scripts = tmp_path / "centre", tmp_path / "scripts"
    scripts.mkdir()
    added_voices.add(added_voices.offered(NAME, piper=publisher.address), centre, _nothing)
    assert NAME not in all_profiles(scripts)

    monkeypatch.setenv(VARIABLE, str(centre))
    profile = all_profiles(scripts)[NAME]
    Booth(profile, built_in_engines(), TakeStore(scripts), 1)
    assert set(all_profiles(centre)) == set(all_profiles(scripts))

    (centre / f"{NAME}.onnx").write_bytes(b"another model")
    with pytest.raises(VoiceError, match="is not the one that its profile states"):
        Booth(profile, built_in_engines(), TakeStore(scripts), 1)

    file = centre / f"{NAME}.voice.yaml"
    file.write_text(
        "".join(
            row for row in file.read_text("utf-8").splitlines(keepends=True) if "sha256" not in row
        )
    )
    with pytest.raises(VoiceError, match="states no hash"):
        Booth(all_profiles(scripts)[NAME], built_in_engines(), TakeStore(scripts), 1)

    monkeypatch.setenv(VARIABLE, str(tmp_path / "gone"))
    with pytest.raises(VoiceError, match="which is not there"):
        all_profiles(scripts)


# ---- the command


@pytest.fixture
def fake(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Let a fake voice speak in the folder of the test."""
    monkeypatch.chdir(tmp_path)
    engines = {**fake_engines(FakeEngine(ramp_s=0.02))}
    monkeypatch.setattr(studios, "built_in_engines", lambda: {"piper": engines["fake"]})
    (tmp_path / "m.onnx").write_bytes(b"m")
    (tmp_path / "mika.voice.yaml").write_text(
        "engine: piper\nlanguage: es-ES\nlicence: none\norigin: a test\nmodel: m.onnx\n"
        "caution: Needs a speaker's review\n"
        "loudness-offset: 0\npace-table: [[0.5, 300], [3, 60]]\n"
    )


@pytest.mark.usefixtures("fake")
def test_a_voice_is_heard_from_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With --out nothing is played; without it the file is; the take store stays elsewhere."""
    played: list[Path] = []

    def play(file: Path) -> bool:
        played.append(file)
        return True

    monkeypatch.setattr(playback, "play", play)

    done = CliRunner().invoke(app, ["voices", "--hear", "mika", "--out", "m.wav"])
    assert done.exit_code == 0, done.output
    assert played == []
    with wave.open(str(tmp_path / "m.wav")) as opened:
        assert (opened.getnchannels(), opened.getframerate()) == (1, 44_100)
        assert opened.getnframes() > 44_100

    done = CliRunner().invoke(app, ["voices", "--hear", "mika"])
    assert "start low" in done.output
    assert "Needs a speaker's review" in done.output
    assert [one.name for one in played] == ["mika.wav"]
    assert not (tmp_path / ".pausewright").exists()


@pytest.mark.usefixtures("fake")
def test_removing_asks_first(tmp_path: Path) -> None:
    """Without a terminal `--yes` is needed."""
    done = CliRunner().invoke(app, ["voices", "--remove", "mika"])
    assert isinstance(done.exception, PausewrightError)
    assert (tmp_path / "mika.voice.yaml").exists()

    done = CliRunner().invoke(app, ["voices", "--remove", "mika", "--yes"])
    assert done.exit_code == 0, done.output
    assert list(tmp_path.iterdir()) == []


@pytest.mark.usefixtures("fake")
def test_two_things_at_once_are_refused() -> None:
    """One call, one thing."""
    done = CliRunner().invoke(app, ["voices", "--add", "a", "--remove", "b"])
    assert isinstance(done.exception, OutputError)
