"""The doctor tells what cannot be imported and the line that cures it."""

import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from app import doctor
from app.doctor import NEEDS, Result, diagnosis, report, try_import, wanted_version

ROOT = Path(__file__).parents[2]

# What Python 3.11 says on a Debian 12 without libGL, copied from a terminal.
NO_GL = """Traceback (most recent call last):
  File "<string>", line 1, in <module>
    from OCP.TopoDS import TopoDS_Shape
ImportError: libGL.so.1: cannot open shared object file: No such file or directory
"""


def test_every_package_that_is_asked_for_is_tried():
    asked = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["dependencies"]
    assert sorted(NEEDS) == sorted(line.split(">")[0] for line in asked)


def test_a_missing_libgl_is_cured_by_one_apt_line():
    wrong, cure = diagnosis("cadquery", 1, NO_GL)
    assert wrong == "the system library libGL.so.1 is missing"
    assert cure == "apt-get install -y --no-install-recommends libgl1"


def test_an_unknown_library_is_looked_up():
    _, cure = diagnosis("x", 1, "ImportError: libodd.so.7: cannot open shared object file: No such file")
    assert cure.endswith("apt-file search libodd.so.7")


def test_a_missing_module_a_crash_and_an_odd_error_each_have_a_cure():
    assert (
        diagnosis("rich", 1, "ModuleNotFoundError: No module named 'rich'")[0] == "the module rich is missing"
    )
    assert diagnosis("rich", -11, "")[0] == "its import crashed (signal 11)"
    assert diagnosis("rich", 1, "a\nImportError: odd\n")[0] == "ImportError: odd"
    for code, said in [(1, ""), (1, "odd"), (-6, "")]:
        assert f"{sys.executable} -m pip install --force-reinstall" in diagnosis("rich", code, said)[1]


def test_a_package_that_is_not_there_is_found_missing_by_a_real_import():
    result = try_import("no-such-package", "no_such_module")
    assert (result.version, result.wrong) == ("-", "the module no_such_module is missing")
    assert try_import("click", "click").wrong == ""


def test_a_library_that_the_loader_lacks_is_found_by_a_real_import(tmp_path, monkeypatch):
    (tmp_path / "needs_gl.py").write_text("import ctypes\nctypes.CDLL('libnone.so.1')\n")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    assert try_import("needs-gl", "needs_gl").wrong == "the system library libnone.so.1 is missing"


def test_an_import_that_crashes_or_hangs_does_not_take_the_doctor_along(tmp_path, monkeypatch):
    (tmp_path / "crashes.py").write_text("import os, signal\nos.kill(os.getpid(), signal.SIGSEGV)\n")
    (tmp_path / "hangs.py").write_text("import time\ntime.sleep(60)\n")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    assert try_import("crashes", "crashes").wrong == "its import crashed (signal 11)"
    monkeypatch.setattr(doctor, "TIMEOUT", 0.5)
    assert "takes over" in try_import("hangs", "hangs").wrong


def test_the_wanted_version_is_that_of_the_installed_metadata(monkeypatch):
    asked = ["click<9,>=8.2", "pillow<14,>=11", "clicker>=1", 'ruff; extra == "dev"']
    monkeypatch.setattr(doctor.metadata, "requires", lambda name: asked)
    assert wanted_version("click") == "'click<9,>=8.2'"
    assert wanted_version("ruff") == "ruff"


def test_the_report_tells_each_cure_once_and_is_quiet_when_all_is_fine():
    fine = Result("click", "8.2", "", "")
    sick = [Result(name, "1", "gone", "apt-get install -y libgl1") for name in ("cadquery", "embreex")]
    assert report([fine], quiet=True) == []
    assert len(report([fine], quiet=False)) == 1
    lines = report([fine, *sick], quiet=True)
    assert sum("libgl1" in line for line in lines) == 1
    assert not any("click" in line for line in lines)


@pytest.mark.skipif(os.environ.get("PYTHONPATH") is not None, reason="the command runs from this folder")
def test_the_command_ends_with_0_when_every_import_works():
    ran = subprocess.run(
        [sys.executable, "-m", "app.main", "doctor"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert ran.returncode == (1 if "FAILS" in ran.stdout else 0), ran.stdout
    assert all(name in ran.stdout for name in NEEDS)
