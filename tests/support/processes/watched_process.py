"""A process under strace: every socket that it and its children ask for, every file they touch.

strace (strace.io) asks the kernel, so compiled libraries and threads are seen too. A ring of
io_uring would hide calls from it: asking for one counts as a socket.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

STRACE: Final = shutil.which("strace") or ""
SOCKET_CALLS: Final = ("socket", "socketcall", "connect", "bind", "io_uring_setup")
"""Without one of them nothing goes over a network; a socketpair stays inside the process."""
FILE_CALLS: Final = (
    "open", "openat", "openat2", "creat", "truncate", "mkdir", "mkdirat", "mknod", "mknodat",
    "rename", "renameat", "renameat2", "link", "linkat", "symlink", "symlinkat", "unlink",
    "unlinkat", "rmdir", "execve", "execveat",
)  # fmt: skip
LISTING: Final = "names of"
"""In place of the call that opens a folder: nothing but the names in it can be read then."""

_ASKED: Final = "import sys; print(sys.prefix, sys.base_prefix, *sys.path, sep='\\n')"
INSTALLATION: Final = tuple(
    str(Path(one).resolve())
    for one in (
        *subprocess.run(
            [sys.executable, "-P", "-c", _ASKED],
            stdout=subprocess.PIPE,
            encoding="utf-8",
            check=True,
        ).stdout.splitlines(),
        str(Path(__file__).with_name("held_open.py")),
    )
)
"""Python, the packages, and the product's own code; programs of packages lie in them too."""

SYSTEM: Final = (
    *("/lib", "/lib64", "/usr/lib", "/usr/lib64", "/usr/local/lib"),  # shared libraries
    *("/etc/ld.so.cache", "/etc/ld.so.preload"),  # where the loader finds them
    *("/proc", "/sys", "/dev/null", "/dev/urandom", "/dev/random", "/dev/tty"),
    *("/usr/share/locale", "/usr/share/zoneinfo", "/etc/localtime", "/etc/timezone"),
    *("/etc/locale.alias", "/etc/ssl/openssl.cnf"),  # languages; read for hashes, too
    *("/usr/share/fonts", "/usr/local/share/fonts", "/usr/share/fontconfig"),
    *("/etc/fonts", "/var/cache/fontconfig"),  # letters in videos
    "/opt/pyca/cryptography/openssl",  # where cryptography was built: pypdf loads it if it is there
    "/..namedfork/rsrc",  # libsndfile asks for it where it does not know a file; it is never there
)
"""What every program on the system reads. Files about names and the network are not among it."""

_MANNERS: Final = ("--seccomp-bpf", "-f", "-qq", "-y", "-s", "4096", "-e", "signal=none")
_CALL: Final = re.compile(r"^(\w+)\((.*)\)\s+= (-?\d+|\?)(.*)$")
_PATH: Final = re.compile(r'(?:AT_FDCWD|\d+)?(?:<((?:[^>\\]|\\.)*)>, )?"((?:[^"\\]|\\.)*)"')


@dataclass(frozen=True, slots=True)
class Watched:
    """What a process did."""

    exit_code: int
    said: str
    """Standard output and standard error."""
    sockets: tuple[str, ...]
    """Calls of the kernel that make or connect one, of any family."""
    files: tuple[tuple[str, str], ...]
    """Call and absolute path, each once: everything that was opened, made, moved or run."""

    def unknown_files(self, own: Sequence[Path]) -> list[str]:
        """Return what lies outside the given folders, the installation and the system.

        Names in the folders that hold them may be read: a check looks there for stopped builds.
        """
        known = (*(str(one.resolve()) for one in own), *INSTALLATION, *SYSTEM)
        return [
            f"{call} {path}"
            for call, path in self.files
            if not _is_in(_real(path, follows=call in {"open", "openat", "openat2"}), known)
            and not (call == LISTING and any(_is_in(str(one.resolve()), [path]) for one in own))
        ]

    @property
    def programs(self) -> tuple[str, ...]:
        """Names of the programs that were run."""
        return tuple(dict.fromkeys(Path(p).name for call, p in self.files if "exec" in call))


def why_not() -> str:
    """Return why nothing can be watched here, "" if it can."""
    if not STRACE:
        return "strace is not installed (Debian: apt install strace)"
    trial = subprocess.run(
        [STRACE, *_MANNERS, "-e", "trace=?openat", "-o", os.devnull, sys.executable, "-c", ""],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, encoding="utf-8", check=False,
    )  # fmt: skip
    return f"strace may not watch here ({trial.stdout.strip()})" if trial.returncode else ""


def watch(
    command: Sequence[str | Path],
    folder: Path,
    logs: Path,
    *,
    environment: Mapping[str, str],
    stdin: str = "",
) -> Watched:
    """Run a command in a folder and return what it did; `logs` is an empty one for the notes."""
    calls = ",".join(f"?{name}" for name in (*FILE_CALLS, *SOCKET_CALLS))
    done = subprocess.run(
        [
            *(STRACE, *_MANNERS, "-ff", "-e", f"trace={calls}", "-o", logs / "log"),
            *command,
        ],
        cwd=folder, env=dict(environment), input=stdin, stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT, encoding="utf-8", errors="replace", check=False, timeout=280,
    )  # fmt: skip
    sockets: dict[str, None] = {}
    files: dict[tuple[str, str], None] = {}
    notes = sorted(logs.iterdir())
    assert notes, done.stdout
    for note in notes:
        for line in note.read_text(encoding="latin-1").splitlines():
            found = _CALL.match(line)
            name = found[1] if found else line.partition("(")[0]
            if name in SOCKET_CALLS:
                sockets[line[:200]] = None
            elif found:
                call = LISTING if "O_DIRECTORY" in found[2] else name
                files.update(((call, path), None) for path in _paths(name, found[2], folder))
    return Watched(done.returncode, done.stdout, tuple(sockets), tuple(files))


def _paths(call: str, arguments: str, folder: Path) -> Iterator[str]:
    """Yield the absolute paths among the arguments of a call.

    What a new link leads to counts when it is opened; after what is run come its own arguments.
    """
    found = _PATH.findall(arguments)
    if "symlink" in call:
        found = found[-1:]
    if "exec" in call:
        found = found[:1]
    for start, quoted in found:
        path = quoted.encode("latin-1").decode("unicode_escape").encode("latin-1").decode()
        yield os.path.normpath(os.path.join(start or str(folder), path))  # noqa: PTH118  no links


def _real(path: str, *, follows: bool) -> str:
    """Return where a path leads; what makes or moves a link does not follow that link itself."""
    if follows:
        return os.path.realpath(path)
    folder, name = os.path.split(path)
    return os.path.join(os.path.realpath(folder), name)  # noqa: PTH118  same as above


def _is_in(path: str, places: Sequence[str]) -> bool:
    return any(path == place or path.startswith(f"{place}/") for place in places)
