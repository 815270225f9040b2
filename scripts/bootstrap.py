"""A virtual environment with Pausewright in it, made with the standard library alone.

Shared by demo.py and test.py. The environment is `.venv` in the project's folder; a stamp in it
says what was installed, so that a second run starts at once. Needs no more of an old Python than
to say that it is too old.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib.util
import json
import os
import subprocess
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

ROOT: Final = Path(__file__).resolve().parent.parent
VENV: Final = ROOT / ".venv"
STAMP: Final = VENV / "pausewright-installed.json"
REQUIRED: Final = (3, 11)
"""The oldest Python that serves; the same as in pyproject.toml."""

_FAILED: Final = 2
_QUIET_S: Final = 5.0
"""Between two lines of progress where the output is no terminal."""
_WORDS_OF_FAILURE: Final = 30
"""Lines of the installer's output that are shown if it fails."""

_MISSING_VENV: Final = (
    ("debian", "sudo apt install python3-venv  (or, for this version, python{v}-venv)"),
    ("fedora", "sudo dnf install python3 python3-pip"),
    ("suse", "sudo zypper install python3 python3-pip"),
    ("alpine", "sudo apk add python3 py3-pip"),
    ("arch", "sudo pacman -S python python-pip"),
)
"""What brings Python's venv and ensurepip, by family of distribution (common practice)."""


class SetupError(Exception):
    """Something is missing that a person must install; `hint` says what."""

    def __init__(self, message: str, hint: str) -> None:
        """Keep what is wrong and what to do about it."""
        super().__init__(message)
        self.message = message
        self.hint = hint


class Stamp(NamedTuple):
    """What was installed into the environment."""

    key: str = ""
    """See `wanted_key`."""
    python: str = ""
    """`sys.version` of the Python that made it."""
    extras: tuple[str, ...] = ()


def run_script(main: Callable[[], int]) -> None:
    """Run a script's `main` and end with its exit code; what is missing shows no traceback."""
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(AttributeError, ValueError):
            stream.reconfigure(encoding="utf-8", errors="replace")  # type: ignore[union-attr]
    try:
        code = main()
    except SetupError as error:
        print(f"error: {error.message}\n  hint: {error.hint}", file=sys.stderr)
        code = _FAILED
    except KeyboardInterrupt:
        print("\nstopped", file=sys.stderr)
        code = 130
    sys.exit(code)


def ready(extras: Sequence[str]) -> Path:
    """Return the Python of an environment in which Pausewright and these extras are installed.

    Makes or mends `.venv` as needed and does nothing if it is as it should be.

    Raises
    ------
    SetupError
        If this Python is too old, its venv module is missing, or the installation fails.
    """
    check_python(sys.version_info[:2])
    key = wanted_key((ROOT / "pyproject.toml").read_bytes(), sys.version, sys.base_prefix, ROOT)
    stamp = read_stamp(STAMP)
    python = program("python")
    works = python.is_file() and _works(python)
    if works and stamp.key == key and set(extras) <= set(stamp.extras):
        return python
    if not works or stamp.python not in {"", sys.version}:
        _make_environment()
        stamp = Stamp()
    STAMP.unlink(missing_ok=True)
    _install(python, extras)
    kept = stamp.extras if stamp.key == key else ()
    _write_stamp(Stamp(key, sys.version, tuple(sorted({*extras, *kept}))))
    return python


def program(name: str, folder: Path = VENV, system: str = os.name) -> Path:
    """Return where a program of the environment lies on this system."""
    return folder / "Scripts" / f"{name}.exe" if system == "nt" else folder / "bin" / name


def child_environment() -> dict[str, str]:
    """Return the environment for programs that we start: UTF-8 output, shown as it comes."""
    return {**os.environ, "PYTHONIOENCODING": "utf-8", "PYTHONUNBUFFERED": "1"}


def check_python(version: tuple[int, ...]) -> None:
    """Raise a `SetupError` if this version of Python is too old."""
    if tuple(version[:2]) < REQUIRED:
        needed = ".".join(map(str, REQUIRED))
        found = ".".join(map(str, version[:2]))
        raise SetupError(
            f"this is Python {found}; Pausewright needs {needed} or newer",
            f"install a newer Python and start this script with it, for example python{needed}",
        )


def wanted_key(pyproject: bytes, version: str, prefix: str, root: Path) -> str:
    """Return a mark that changes with the dependencies, the interpreter and the folder."""
    body = "\0".join((hashlib.sha256(pyproject).hexdigest(), version, prefix, str(root)))
    return hashlib.sha256(body.encode()).hexdigest()


def read_stamp(file: Path) -> Stamp:
    """Return what the stamp says, an empty one if it is missing or damaged."""
    try:
        found = json.loads(file.read_text(encoding="utf-8"))
        return Stamp(str(found["key"]), str(found["python"]), tuple(map(str, found["extras"])))
    except (OSError, ValueError, TypeError, KeyError):
        return Stamp()


def missing_venv_hint(release: Mapping[str, str], version: tuple[int, ...]) -> str:
    """Return what to install if Python's venv is missing, by the system's os-release values."""
    family = f"{release.get('ID', '')} {release.get('ID_LIKE', '')}".lower()
    family = (
        family.replace("ubuntu", "debian").replace("rhel", "fedora").replace("centos", "fedora")
    )
    found = ".".join(map(str, version[:2]))
    for name, command in _MISSING_VENV:
        if name in family:
            return command.format(v=found)
    return "install the complete Python of your system, with the modules venv and ensurepip"


def os_release(file: Path = Path("/etc/os-release")) -> dict[str, str]:
    """Return the values of an os-release file, none if there is no such file."""
    try:
        rows = file.read_text(encoding="utf-8").splitlines()
    except OSError:
        return {}
    pairs = (row.split("=", 1) for row in rows if "=" in row)
    return {name.strip(): value.strip().strip("\"'") for name, value in pairs}


def _make_environment() -> None:
    hint = missing_venv_hint(os_release(), sys.version_info[:2])
    for name in ("venv", "ensurepip"):
        if importlib.util.find_spec(name) is None:
            raise SetupError(f"this Python comes without its module {name}", hint)
    import venv  # noqa: PLC0415  may be missing, see above

    if VENV.exists() and not (VENV / "pyvenv.cfg").is_file():
        raise SetupError(
            f"{VENV} is there and is no virtual environment", "move it away and start again"
        )
    print(f"making {VENV}", flush=True)
    try:
        venv.create(VENV, clear=True, symlinks=os.name != "nt", with_pip=True)
    except subprocess.CalledProcessError as error:
        raise SetupError(f"pip could not be put into {VENV} ({error})", hint) from None
    except OSError as error:
        raise SetupError(
            f"{VENV} cannot be written ({error.strerror or error})",
            "make room, or put the project into a folder that you may write to",
        ) from None


def _works(python: Path) -> bool:
    code = f"import sys, pip; sys.exit(sys.version_info[:2] < {REQUIRED})"
    try:
        done = subprocess.run(
            [str(python), "-c", code], stdin=subprocess.DEVNULL, capture_output=True, check=False
        )
    except OSError:
        return False
    return done.returncode == 0


def _install(python: Path, extras: Sequence[str]) -> None:
    target = f".[{','.join(extras)}]" if extras else "."
    print(f"installing pausewright{target[1:]} (a few minutes the first time)", flush=True)
    said: list[str] = []
    for attempt in (1, 2):
        code, said = _pip(python, "install", "--editable", target)
        if code == 0:
            return
        if attempt == 1:
            print("  that did not work; trying once more", flush=True)
            time.sleep(2)
    print("\n".join(f"  pip: {row}" for row in said[-_WORDS_OF_FAILURE:]), file=sys.stderr)
    raise SetupError(
        "pip could not install what Pausewright needs; its last words stand above",
        "see that this machine reaches a package index and has 1 GB free, then start again",
    )


def _pip(python: Path, *arguments: str) -> tuple[int, list[str]]:
    """Run pip with a line of progress; return its exit code and all that it said."""
    command = [str(python), "-m", "pip", "--no-input", "--disable-pip-version-check"]
    with subprocess.Popen(
        [*command, *arguments, "--progress-bar", "off"],
        cwd=ROOT, env=child_environment(), stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT, encoding="utf-8", errors="replace",
    ) as process:  # fmt: skip
        said: list[str] = []
        progress = _Progress()
        for row in process.stdout or ():
            said.append(row.rstrip())
            progress.show(said[-1].strip())
        progress.end()
    return process.returncode, said


class _Progress:
    """What pip is at: one line that changes on a terminal, else a line every few seconds."""

    def __init__(self) -> None:
        self._terminal = sys.stdout.isatty()
        self._told_s = self._start_s = time.monotonic()

    def show(self, row: str) -> None:
        final = row.startswith("Installing collected packages")
        if not final and not row.startswith(("Collecting ", "Downloading ")):
            return
        now_s = time.monotonic()
        words = f"Installing {row.count(',') + 1} packages" if final else row
        text = f"  {now_s - self._start_s:4.0f} s  {words}"[:78]
        if self._terminal:
            print(f"\r{text:<78}", end="", flush=True)
        elif final or now_s - self._told_s >= _QUIET_S:
            print(text, flush=True)
            self._told_s = now_s

    def end(self) -> None:
        if self._terminal:
            print("\r" + " " * 78 + "\r", end="", flush=True)


def _write_stamp(stamp: Stamp) -> None:
    part = STAMP.with_suffix(".part")
    part.write_text(json.dumps(stamp._asdict(), indent=2), encoding="utf-8")
    part.replace(STAMP)
