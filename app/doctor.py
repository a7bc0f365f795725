"""Tries each thing that Athwart stands on and names the one line that cures it."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from importlib import metadata

TIMEOUT = 120
"""Seconds; the CAD kernel takes 20 from a cold disk."""

NEEDS: dict[str, str] = {
    "cadquery": "cadquery",
    "trimesh": "trimesh",
    "embreex": "embreex",
    "numpy": "numpy",
    "scipy": "scipy",
    "shapely": "shapely",
    "highspy": "highspy",
    "pyyaml": "yaml",
    "pydantic": "pydantic",
    "click": "click",
    "rich": "rich",
    "ezdxf": "ezdxf",
    "openpyxl": "openpyxl",
    "pillow": "PIL",
    "reportlab": "reportlab",
    "svglib": "svglib.svglib",
    "manifold3d": "manifold3d",
    "spyrrow": "spyrrow",
    "pynitefea": "Pynite",
    "starlette": "starlette",
    "uvicorn": "uvicorn",
    "websockets": "websockets",
    "watchfiles": "watchfiles",
    "networkx": "networkx",
    "fluids": "fluids",
    "schemdraw": "schemdraw",
}
"""The module to import for each package that pyproject.toml asks for."""

LIBRARIES = {
    "libGL.so.1": "libgl1",
    "libEGL.so.1": "libegl1",
    "libX11.so.6": "libx11-6",
    "libXext.so.6": "libxext6",
    "libXrender.so.1": "libxrender1",
    "libexpat.so.1": "libexpat1",
    "libfontconfig.so.1": "libfontconfig1",
    "libfreetype.so.6": "libfreetype6",
    "libgomp.so.1": "libgomp1",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libstdc++.so.6": "libstdc++6",
}
"""The Debian package of each system library that a dependency's import may miss."""

_MISSING_LIBRARY = re.compile(r"(lib[\w.+-]+\.so[.\d]*): cannot open shared object file")
_MISSING_MODULE = re.compile(r"No module named '([\w.]+)'")


@dataclass(frozen=True)
class Result:
    """How one package fared: `wrong` is empty if it imports; `cure` is a line for the shell."""

    package: str
    version: str
    wrong: str = ""
    cure: str = ""


def examine() -> list[Result]:
    """Imports every needed package, each in a process of its own, a few at a time."""
    with ThreadPoolExecutor(max_workers=min(4, os.cpu_count() or 1)) as pool:
        return [_python(), *pool.map(lambda need: try_import(*need), NEEDS.items())]


def _python() -> Result:
    version = ".".join(str(part) for part in sys.version_info[:3])
    if (3, 11) <= sys.version_info[:2] < (3, 13):
        return Result("python", version)
    return Result("python", version, "Athwart is for Python 3.11 and 3.12", "apt-get install -y python3.11")


def try_import(package: str, module: str) -> Result:
    """Imports `module` in a process of its own, so that a crash or a hang there is a finding here."""
    try:
        version = metadata.version(package)
    except metadata.PackageNotFoundError:
        version = "-"
    try:
        ran = subprocess.run(
            [sys.executable, "-c", f"import {module}"],
            capture_output=True, text=True, errors="replace", timeout=TIMEOUT, check=False,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return Result(package, version, f"its import takes over {TIMEOUT} s", reinstall(package))
    if ran.returncode == 0:
        return Result(package, version)
    return Result(package, version, *diagnosis(package, ran.returncode, ran.stderr))


def diagnosis(package: str, code: int, said: str) -> tuple[str, str]:
    """What kept a package from being imported and the line that cures it, from its exit code and stderr."""
    library = _MISSING_LIBRARY.search(said)
    if library:
        wanted = LIBRARIES.get(library[1])
        find = f"apt-get install -y apt-file && apt-file update && apt-file search {library[1]}"
        cure = f"apt-get install -y --no-install-recommends {wanted}" if wanted else find
        return f"the system library {library[1]} is missing", cure
    module = _MISSING_MODULE.search(said)
    if module:
        return f"the module {module[1]} is missing", reinstall(package)
    if code < 0:
        return f"its import crashed (signal {-code})", reinstall(package)
    last = (said.strip().splitlines() or [f"exit code {code}"])[-1]
    return last[:200], reinstall(package)


def reinstall(package: str) -> str:
    """The line that installs a package again, in the versions that Athwart asks for."""
    return f"{sys.executable} -m pip install --force-reinstall {wanted_version(package)}"


def wanted_version(package: str) -> str:
    """The requirement on a package in shell quotes, such as `'click<9,>=8.2'`; its bare name if unknown."""
    try:
        asked = metadata.requires("athwart") or []
    except metadata.PackageNotFoundError:
        asked = []
    for line in asked:
        if re.match(rf"{re.escape(package)}(?![\w.-])", line, re.IGNORECASE) and "extra ==" not in line:
            return f"'{line}'"
    return package


def report(results: list[Result], quiet: bool) -> list[str]:
    """The lines to print: each package unless `quiet`, then each cure once."""
    lines = [
        f"{r.package:<10} {r.version:<14} {'fine' if not r.wrong else 'FAILS: ' + r.wrong}"
        for r in results
        if r.wrong or not quiet
    ]
    cures = list(dict.fromkeys(r.cure for r in results if r.wrong))
    if cures:
        lines += ["", "To cure, as root where it is apt-get:", *(f"  {cure}" for cure in cures)]
    return lines
