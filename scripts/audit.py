"""What the packages under Pausewright bring with them: licences, and known vulnerabilities.

    python3 scripts/audit.py licences          a table of all that are installed; needs no network
    python3 scripts/audit.py vulnerabilities   asks pip-audit's services by names and versions

Exit codes: 0 nothing was found, or nobody could be asked (the last line says so); 1 a licence that
does not go with ours, or a known vulnerability.
"""

from __future__ import annotations

import argparse
import json
import re
import subprocess
import sys
import tempfile
import tomllib
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple, TypedDict

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

ROOT: Final = Path(__file__).resolve().parent.parent
SERVICES: Final = ("pypi", "osv")
ANSWER_S: Final = 600

COMPATIBLE: Final = frozenset(
    {
        "0BSD", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "CC0-1.0", "GPL-2.0-or-later",
        "GPL-3.0-only", "GPL-3.0-or-later", "ISC", "LGPL-2.1-or-later", "LGPL-3.0-or-later",
        "MIT", "MIT-0", "MPL-2.0", "OFL-1.1", "PSF-2.0", "Python-2.0", "Unlicense", "Zlib",
    }
)  # fmt: skip
"""Licences (SPDX) whose works may go together with one under GPL-3.0-or-later.

As the Free Software Foundation's list of licences has them (from memory). OFL-1.1 is a font's.
"""
SPELLED: Final = {
    "3-clause bsd license": "BSD-3-Clause",
    "apache 2.0": "Apache-2.0",
    "apache software license": "Apache-2.0",
    "bsd": "BSD-3-Clause",  # partd, zict: their licence texts have three clauses
    "bsd 3-clause license": "BSD-3-Clause",
    "bsd license": "BSD-3-Clause",
    "gnu library or lesser general public license (lgpl)": "LGPL-2.1-or-later",
    "isc license": "ISC",
    "isc license (iscl)": "ISC",
    "lgpl": "LGPL-2.1-or-later",
    "mit license": "MIT",
    "mozilla public license 2.0 (mpl 2.0)": "MPL-2.0",
    "python software foundation license": "PSF-2.0",
}
"""What packages write in place of an SPDX name; without a version, what is mostly meant."""


class Package(NamedTuple):
    """One installed package and what its metadata says."""

    name: str
    version: str
    licence: str
    """As stated; empty if it states none."""


class Vulnerability(TypedDict):
    """One of those that pip-audit lists under a package."""

    id: str
    fix_versions: list[str]


class Told(TypedDict, total=False):
    """What a service says about a package; without `vulns` it does not know the package."""

    name: str
    version: str
    vulns: list[Vulnerability]


def main() -> int:
    """Do what was asked for; return the exit code."""
    parser = argparse.ArgumentParser(description="Licences and known vulnerabilities.")
    parser.add_argument("what", choices=("licences", "vulnerabilities"))
    packages = installed(required())
    return licences(packages) if parser.parse_args().what == "licences" else known(packages)


def required() -> list[str]:
    """Return the names of what pyproject.toml asks for, with the ear and seasons."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    rows = (*project["dependencies"], *extras["ear"], *extras["season"])
    return [_name(row) for row in rows]


def installed(names: Iterable[str]) -> list[Package]:
    """Return these packages and all that they require, as far as they are installed."""
    found: dict[str, Package] = {}
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name in found:
            continue
        try:
            one = metadata.distribution(name)
        except metadata.PackageNotFoundError:
            continue  # for another system or Python, or an extra that is not there
        found[name] = Package(name, one.version, stated(one.metadata))
        waiting += [_name(row) for row in one.requires or () if "extra ==" not in row]
    return sorted(found.values())


def stated(about: metadata.PackageMetadata) -> str:
    """Return the licence that a package's metadata states: SPDX, else in its own words."""
    rows: list[str] = about.get_all("Classifier") or []
    named = [row.rsplit(" :: ", 1)[-1] for row in rows if row.startswith("License ::")]
    free: list[str] = about.get_all("License") or []
    short = [row for row in free if row and "\n" not in row and len(row) < 80]
    exact: list[str] = about.get_all("License-Expression") or []
    for words in (*exact, *short, *named):
        return SPELLED.get(words.lower(), words)
    return ""


def goes_with_ours(licence: str) -> bool:
    """Tell whether a stated licence is compatible; of several to choose from one is enough."""
    plain = licence.replace("(", " ").replace(")", " ")
    choices = re.split(r"\s+OR\s+", plain) if "(" not in licence else [plain]
    return any(
        all(part.strip() in COMPATIBLE for part in re.split(r"\s+(?:AND|OR)\s+", choice))
        for choice in choices
    )


def licences(packages: Sequence[Package]) -> int:
    """Print the table; return the exit code."""
    wrong = [one for one in packages if not goes_with_ours(one.licence)]
    for one in packages:
        mark = "PROBLEM" if one in wrong else ""
        print(f"{one.name:26} {one.version:12} {one.licence or 'states none':60} {mark}".rstrip())
    if wrong:
        print(f"{len(wrong)} of {len(packages)} licences do not go with GPL-3.0-or-later")
        return 1
    print(f"{len(packages)} packages, all compatible with GPL-3.0-or-later by their metadata")
    return 0


def known(packages: Sequence[Package]) -> int:
    """Ask pip-audit's services until one answers; print what they know; return the exit code."""
    with tempfile.TemporaryDirectory() as folder:
        asked = Path(folder, "installed.txt")
        asked.write_text("".join(f"{one.name}=={one.version}\n" for one in packages), "utf-8")
        for service in SERVICES:
            answer = _answer(asked, service)
            told = [one for one in answer if "vulns" in one]
            if told:
                return _report(told, len(packages), service)
            print(f"pip-audit could not ask {service}")
    print("no service for known vulnerabilities could be asked from this machine: nothing is known")
    return 0


def _answer(asked: Path, service: str) -> list[Told]:
    """Return what a service says about each package, nothing if it cannot be reached."""
    command = [
        *(sys.executable, "-m", "pip_audit", "--requirement", str(asked), "--no-deps"),
        *("--disable-pip", "--vulnerability-service", service, "--format", "json"),
        *("--progress-spinner", "off"),
    ]
    try:
        done = subprocess.run(
            command, capture_output=True, encoding="utf-8", errors="replace", check=False,
            timeout=ANSWER_S,
        )  # fmt: skip
        return list(json.loads(done.stdout)["dependencies"])
    except (subprocess.TimeoutExpired, ValueError, KeyError):
        return []


def _report(told: Sequence[Told], n_packages: int, service: str) -> int:
    n_found = 0
    for one in told:
        for each in one["vulns"]:
            n_found += 1
            mended = ", ".join(each["fix_versions"]) or "no release yet"
            print(f"{one['name']} {one['version']}: {each['id']}, mended in {mended}")
    unknown = n_packages - len(told)
    beside = f"; it does not know {unknown} packages" if unknown else ""
    print(f"{n_found} known vulnerabilities in {len(told)} packages, by {service}{beside}")
    return 1 if n_found else 0


def _name(requirement: str) -> str:
    """Return a requirement's name as the packaging rules compare names (PEP 503)."""
    return re.sub(r"[-_.]+", "-", re.split(r"[\s<>=!~;\[(]", requirement)[0]).lower()


if __name__ == "__main__":
    sys.exit(main())
