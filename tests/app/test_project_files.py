"""The files that a stranger starts from agree with each other."""

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
LOCK = ROOT / "requirements.lock"


def project():
    return tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]


def locked():
    rows = [row for row in LOCK.read_text().splitlines() if row and not row.startswith("#")]
    return dict(row.split("==") for row in rows)


def numbers(version):
    return [int(part) for part in re.findall(r"\d+", version)]


def test_every_package_that_is_asked_for_is_locked_within_its_range():
    asked = project()["dependencies"] + project()["optional-dependencies"]["dev"]
    for line in asked:
        name, bounds = re.fullmatch(r"([\w-]+)(.*)", line).groups()
        version = numbers(locked()[name.lower()])
        for sign, bound in re.findall(r"(>=|<)([\d.]+)", bounds):
            inside = version >= numbers(bound) if sign == ">=" else version < numbers(bound)
            assert inside, f"{line} but {version} is locked"


def test_every_dependency_of_the_project_has_an_upper_guard():
    assert all(re.search(r"<\d", line) for line in project()["dependencies"])


def test_the_lock_holds_exact_versions_once_each_and_nothing_else():
    rows = [row for row in LOCK.read_text().splitlines() if row and not row.startswith("#")]
    assert all(re.fullmatch(r"[a-z0-9-]+==[0-9][0-9a-z.]*", row) for row in rows)
    assert len(locked()) == len(rows)


def test_the_licence_is_the_one_that_is_declared():
    assert project()["license"] == "MIT"
    assert (ROOT / "LICENSE").read_text().startswith("MIT License\n\nCopyright (c) 2026 The Athwart authors")
