"""A build takes the place of the last one whole, or not at all, and never of anything else."""

import fcntl
import os
import subprocess
import sys

import pytest

from app.build_folder import MARKER, check_target, fresh_build
from parts.faults import BadInput


def build(target, **files):
    with fresh_build(target) as folder:
        for name, text in files.items():
            path = folder / name.replace("__", "/")
            path.parent.mkdir(exist_ok=True)
            path.write_text(text)


def tree(folder):
    return {
        str(p.relative_to(folder)): p.read_text()
        for p in folder.rglob("*")
        if p.is_file() and p.name != MARKER
    }


def test_a_first_build_makes_the_folder_and_those_above_it(tmp_path):
    build(tmp_path / "out" / "loon", saw="1", sheets__a="2")
    assert tree(tmp_path / "out" / "loon") == {"saw": "1", "sheets/a": "2"}
    assert os.listdir(tmp_path / "out") == ["loon"]


def test_the_next_build_replaces_the_last_whole(tmp_path):
    build(tmp_path / "loon", saw="1", gone="1")
    build(tmp_path / "loon", saw="2")
    assert tree(tmp_path / "loon") == {"saw": "2"}
    assert os.listdir(tmp_path) == ["loon"]


def test_an_empty_folder_may_be_built_into(tmp_path):
    build(tmp_path, saw="1")
    assert tree(tmp_path) == {"saw": "1"}


@pytest.mark.parametrize("error", [ValueError, KeyboardInterrupt, SystemExit])
def test_a_failed_build_leaves_the_last_good_one_and_no_litter(tmp_path, error):
    build(tmp_path / "loon", saw="1")
    with pytest.raises(error), fresh_build(tmp_path / "loon") as folder:  # noqa: PT012
        (folder / "saw").write_text("2")
        raise error
    assert tree(tmp_path / "loon") == {"saw": "1"}
    assert os.listdir(tmp_path) == ["loon"]


def test_a_failed_first_build_leaves_no_folder(tmp_path):
    with pytest.raises(ValueError, match="x"), fresh_build(tmp_path / "loon"):
        raise ValueError("x")
    assert os.listdir(tmp_path) == []


def test_a_folder_that_is_no_build_is_refused_and_kept(tmp_path):
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "boat.jpg").write_text("precious")
    with pytest.raises(BadInput, match=r"boat\.jpg, which no build wrote; move it"):
        build(tmp_path / "photos", saw="1")
    assert tree(tmp_path) == {"photos/boat.jpg": "precious"}


def test_a_file_laid_into_a_build_by_hand_is_kept(tmp_path):
    build(tmp_path / "loon", saw="1")
    (tmp_path / "loon" / "notes.txt").write_text("precious")
    with pytest.raises(BadInput, match=r"notes\.txt"):
        check_target(tmp_path / "loon")


def test_a_file_laid_into_it_during_the_build_is_kept(tmp_path):
    build(tmp_path / "loon", saw="1")
    with pytest.raises(BadInput, match=r"notes\.txt"), fresh_build(tmp_path / "loon"):
        (tmp_path / "loon" / "notes.txt").write_text("precious")
    assert tree(tmp_path) == {"loon/saw": "1", "loon/notes.txt": "precious"}


def test_a_file_and_a_forged_list_are_refused(tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(BadInput, match="this is a file"):
        check_target(tmp_path / "file")
    (tmp_path / "forged").mkdir()
    (tmp_path / "forged" / MARKER).write_text('["not", "a list of ours"]')
    with pytest.raises(BadInput, match="no build wrote"):
        check_target(tmp_path / "forged")


def test_a_link_to_a_build_stays_a_link(tmp_path):
    build(tmp_path / "real", saw="1")
    (tmp_path / "link").symlink_to("real")
    build(tmp_path / "link", saw="2")
    assert (tmp_path / "link").is_symlink()
    assert tree(tmp_path / "real") == {"saw": "2"}


def test_a_link_laid_into_a_build_is_not_followed(tmp_path):
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "boat.jpg").write_text("precious")
    build(tmp_path / "loon", saw="1")
    (tmp_path / "loon" / "sheets").symlink_to(tmp_path / "photos")
    with pytest.raises(BadInput, match="sheets"):
        build(tmp_path / "loon", saw="2")
    assert tree(tmp_path / "photos") == {"boat.jpg": "precious"}


def test_a_build_killed_between_the_two_moves_is_put_back_by_the_next(tmp_path):
    build(tmp_path / "loon", saw="1")
    (tmp_path / "loon").rename(tmp_path / ".loon.last")
    with pytest.raises(ValueError, match="x"), fresh_build(tmp_path / "loon"):
        raise ValueError("x")
    assert tree(tmp_path / "loon") == {"saw": "1"}


def test_a_build_killed_while_the_earlier_one_was_removed_is_tidied(tmp_path):
    build(tmp_path / ".loon.last", saw="1", sheets__a="1")
    (tmp_path / ".loon.last" / "saw").unlink()
    build(tmp_path / "loon", saw="2")
    assert os.listdir(tmp_path) == ["loon"]


def test_a_killed_builds_fresh_folder_goes_and_a_living_ones_stays(tmp_path):
    killed = """if True:
        import os, signal, sys
        from app.build_folder import fresh_build
        with fresh_build(sys.argv[1]) as folder:
            (folder / "saw").write_text("half")
            os.kill(os.getpid(), signal.SIGKILL)
    """
    subprocess.run([sys.executable, "-c", killed, str(tmp_path / "loon")], check=False)
    (dead,) = os.listdir(tmp_path)
    living = tmp_path / ".loon.new-0123456789ab"
    living.mkdir()
    held = os.open(living, os.O_RDONLY)
    fcntl.flock(held, fcntl.LOCK_EX)
    build(tmp_path / "loon", saw="1")
    os.close(held)
    assert dead.startswith(".loon.new-")
    assert sorted(os.listdir(tmp_path)) == [living.name, "loon"]
