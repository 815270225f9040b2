"""Files are opened by a name in one place only, `pausewright.intake`; read from the source.

What else opens one by its name stands in a list with its reason.
"""

from __future__ import annotations

import ast
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator

PIPELINE = Path(__file__).resolve().parent.parent / "pipeline" / "pausewright"

METHODS = frozenset({"open", "read_text", "read_bytes", "fdopen"})
"""Of a path, of `os`, `io`, `av` …: they open what is named."""
READERS = frozenset(
    {
        "SoundFile", "File", "FLAC", "MP4", "MP3", "ID3", "load", "InferenceSession", "connect",
        "fromfile", "memmap", "ZipFile", "copyfile", "copy2", "copy", "copyfileobj", "copytree",
        "getinfo", "info", "blocks", "open_code", "FileIO", "load_model",
    }
)  # fmt: skip
"""Of libraries that take a name; those given bytes or an opened file are in the list too."""
OWNERS = frozenset(
    {"soundfile", "sf", "av", "mutagen", "onnx", "onnxruntime", "np", "numpy", "shutil", "io",
     "sqlite3", "zipfile", "os", "flac", "mp4", "id3"}
)  # fmt: skip

PACKAGE_DATA = "a file of this package"
OUR_STAGE = "a file that this build has just written into its own folder"
NEW = "a file that is made new, and never one that is there"
TAKES_OPENED = "takes what the gate has opened"

ALLOWED = {
    "checker/faults/voice_edges.py": PACKAGE_DATA,
    "checker/report/blind.py": PACKAGE_DATA,
    "phones/english.py": PACKAGE_DATA,
    "checker/expect/voice_lengths.py": PACKAGE_DATA,
    "checker/files/by_av.py": TAKES_OPENED,
    "checker/original/exact_samples.py": TAKES_OPENED,
    "checker/report/folder_report.py": PACKAGE_DATA,
    "checker/report/report.py": PACKAGE_DATA,
    "checker/result/codes.py": PACKAGE_DATA,
    "checker/files/tags.py:_id3_of": "bytes of a tag that the gate has measured",
    "checker/files/tags.py:_read": TAKES_OPENED,
    "cli/library_lines.py": "nothing: the system's sink, and a stream of this process",
    "deliver/build_key.py:program_digest": "files of a program that is installed",
    "deliver/editor_schemas.py:write_schemas": "files of this package, and new ones",
    "deliver/room_layout.py:_copy": NEW,
    "desk/start.py": "the system's browser, for a page that was just written",
    "desk/uploads.py:_headers_end": NEW,
    "desk/worker.py": "the system's sink, and what comes from the desk",
    "cli/window.py": "the system's sink, a new file of its own, and the browser for it",
    "documents/packed.py:refuse_strange": TAKES_OPENED,
    "deliver/pack.py:pack": NEW,
    "deliver/zip_files.py:_new": "a zip that is made new",
    "deliver/zip_files.py:_old": TAKES_OPENED,
    "deliver/zip_files.py:write_zip": "entries of a zip that is made new",
    "deliver/zip_files.py:_unpack": "entries of a zip that the gate has opened, and new files",
    "fetch.py": "an address that a person asked for, and its own part of a file",
    "fault_report.py:write_fault_report": "a file that the system has just made new",
    "pages/page.py": PACKAGE_DATA,
    "papers/typeset/template_files.py:own_templates": PACKAGE_DATA,
    "screen/room_screen.py:_read": OUR_STAGE,
    "season/parts.py:link_files": "a part that this season has made, under a new name",
    "sound/recording/source.py": TAKES_OPENED,
    "sound/sound_reader.py": TAKES_OPENED,
    "sound/mp3.py": OUR_STAGE,
    "sound/pcm.py": OUR_STAGE,
    "sound/streamed.py:low_sound": TAKES_OPENED,
    "sound/track_tags.py": OUR_STAGE,
    "tasks/new_script.py": "a file of this package, and a new one",
    "tasks/playback.py": "a file that was just made, and the system's player for it",
    "video/ffmpeg.py": OUR_STAGE,
    "video/video_file.py": "the font of a package, copied into the build's own folder",
    "voice/calibrate.py": PACKAGE_DATA,
    "voice/kokoro.py": "bytes of a model that the gate has read",
    "voice/piper.py": "bytes of a model that the gate has read",
    "voice/speaker_style.py": TAKES_OPENED,
    "voice/symbols.py": "a table of a package that is installed",
    "wording/cues.py": PACKAGE_DATA,
    "wording/lexicon.py": PACKAGE_DATA,
    "wording/language.py": PACKAGE_DATA,
}
"""Module, or module and function, and why it may."""


def openings(folder: Path) -> Iterator[tuple[str, str, int]]:
    """Give module, function and line of each call that opens a file by a name, but the gate's."""
    for path in sorted(folder.rglob("*.py")):
        module = path.relative_to(folder).as_posix()
        if module.startswith(("intake/", "files/")):
            continue
        yield from _of(ast.parse(path.read_text(encoding="utf-8")), module, "")


def _of(node: ast.AST, module: str, function: str) -> Iterator[tuple[str, str, int]]:
    for inner in ast.iter_child_nodes(node):
        name = inner.name if isinstance(inner, ast.FunctionDef) and not function else function
        if isinstance(inner, ast.Call) and _opens(inner.func):
            yield module, name, inner.lineno
        yield from _of(inner, module, name)


def _opens(called: ast.expr) -> bool:
    if isinstance(called, ast.Name):
        return called.id == "open" or called.id in READERS - {"info", "copy", "blocks", "load"}
    if not isinstance(called, ast.Attribute):
        return False
    owner = called.value
    is_library = isinstance(owner, ast.Name) and owner.id in OWNERS
    return called.attr in METHODS or (is_library and called.attr in READERS)


def not_allowed(folder: Path) -> list[str]:
    """Return where a file is opened by a name without a reason in the list."""
    return [
        f"{module}:{line} in {function or 'the module'}"
        for module, function, line in openings(folder)
        if module not in ALLOWED and f"{module}:{function}" not in ALLOWED
    ]


def test_only_the_gate_opens_files_by_a_name() -> None:
    """No module but those of the list opens a file that it was given the name of."""
    assert not_allowed(PIPELINE) == []


def test_the_list_holds_nothing_superfluous() -> None:
    """Each place of the list does open a file."""
    found = Counter(
        key
        for module, function, _ in openings(PIPELINE)
        for key in (module, f"{module}:{function}")
    )
    assert [place for place in ALLOWED if place not in found] == []


@pytest.mark.parametrize("file", ["plan/a.py", "plan/deep/a.py"])
@pytest.mark.parametrize(
    "source",
    [
        "def f(p):\n    return open(p)",
        "def f(p):\n    return p.read_text()",
        "def f(p):\n    with p.open('rb') as file:\n        return file",
        "import os\ndef f(p):\n    return os.open(p, 0)",
        "import av\ndef f(p):\n    return av.open(str(p))",
        "import soundfile\ndef f(p):\n    return soundfile.SoundFile(p)",
        "import soundfile\nclass A:\n    def f(self, p):\n        return soundfile.info(p)",
        "from mutagen.flac import FLAC\ndef f(p):\n    return FLAC(p)",
        "import onnx\nMODEL = onnx.load('x.onnx')",
        "import shutil\ndef f(p, q):\n    def g():\n        shutil.copyfile(p, q)\n    g()",
    ],
)
def test_an_opening_is_found(tmp_path: Path, file: str, source: str) -> None:
    """A planted opening is found, in a function, a method, a class or the module."""
    (tmp_path / file).parent.mkdir(parents=True)
    (tmp_path / file).write_text(source, encoding="utf-8")

    assert len(not_allowed(tmp_path)) == 1
