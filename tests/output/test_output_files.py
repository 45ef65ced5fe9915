from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from pocketref.output import files as module
from pocketref.output.files import recover_folders, refuse_filled
from pocketref.problems import PocketrefError

MARKER = "manifest.json"
OLD = {MARKER: b"{}", "cards/plate.pdf": b"old plate", "gone.txt": b"gone"}
NEW = {MARKER: b"{}", "cards/plate.pdf": b"new plate", "sheets/deep/er/stake.pdf": b"stake"}


def publish_folder(target: Path, files: dict[str, bytes]) -> None:
    """Whatever is in the target but somebody's thesis may go."""

    def check(folder: Path) -> None:
        if (folder / "thesis.txt").exists():
            refuse_filled(folder)

    module.publish_folder(target, files, check)


def contents(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def names_in(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir())


def code_of(target: Path, files: dict[str, bytes]) -> str:
    with pytest.raises(PocketrefError) as caught:
        publish_folder(target, files)
    assert all(problem.hint for problem in caught.value.problems)
    return caught.value.problems[0].code


def fail_on(monkeypatch, owner, name: str, error: int, *, at_call: int = 1) -> None:
    """Let the operating system refuse the `at_call`-th call."""
    real, calls = getattr(owner, name), []

    def refuse(*args, **kwargs):
        calls.append(args)
        if len(calls) == at_call:
            raise OSError(error, os.strerror(error))
        return real(*args, **kwargs)

    monkeypatch.setattr(owner, name, refuse)


def test_a_new_edition_has_exactly_the_files_given(tmp_path):
    publish_folder(tmp_path / "out" / "2027", NEW)
    assert contents(tmp_path / "out" / "2027") == NEW
    assert names_in(tmp_path / "out") == ["2027"]


def test_an_edition_replaces_the_one_before_whole(tmp_path):
    publish_folder(tmp_path / "2027", OLD)
    publish_folder(tmp_path / "2027", NEW)
    assert contents(tmp_path / "2027") == NEW
    assert names_in(tmp_path) == ["2027"]


def test_without_an_exchange_of_names_it_is_replaced_all_the_same(tmp_path, monkeypatch):
    monkeypatch.setattr(module, "_exchange", lambda one, other: False)
    publish_folder(tmp_path / "2027", OLD)
    publish_folder(tmp_path / "2027", NEW)
    assert contents(tmp_path / "2027") == NEW
    assert names_in(tmp_path) == ["2027"]


def test_an_empty_folder_may_be_published_into(tmp_path):
    publish_folder(tmp_path, NEW)
    assert contents(tmp_path) == NEW


def test_a_linked_folder_stays_a_link(tmp_path):
    (tmp_path / "disk").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "disk")
    publish_folder(tmp_path / "link", NEW)
    assert (tmp_path / "link").is_symlink()
    assert contents(tmp_path / "disk") == NEW


@pytest.mark.parametrize(
    "name",
    [
        "../up.pdf", "/etc/passwd", "a/../../b", "", ".", "a//b", "a/", "a\\b", "C:x", "nul\0", "line\nfeed",
        "a?", "x ", " x", "dot.", "folder./x", "..",
    ],
)  # fmt: skip
def test_a_name_that_could_leave_the_folder_or_break_elsewhere_is_refused(tmp_path, name):
    assert code_of(tmp_path / "2027", {MARKER: b"", name: b"x"}) == "file-name-unsafe"
    assert names_in(tmp_path) == []


@pytest.mark.parametrize("names", [("A.pdf", "a.pdf"), ("cards", "cards/plate.pdf"), ("Cards/x", "cards")])
def test_names_that_fall_together_are_refused(tmp_path, names):
    assert code_of(tmp_path / "2027", dict.fromkeys(names, b"")) == "file-name-unsafe"


def test_a_folder_of_something_else_is_never_replaced(tmp_path):
    (tmp_path / "thesis.txt").write_text("years of work")
    assert code_of(tmp_path, NEW) == "publish-target-foreign"
    assert contents(tmp_path) == {"thesis.txt": b"years of work"}


def test_a_file_is_never_replaced_by_a_folder(tmp_path):
    (tmp_path / "2027").write_text("notes")
    assert code_of(tmp_path / "2027", NEW) == "publish-target-not-folder"
    assert code_of(tmp_path / "2027" / "inner", NEW) == "publish-target-not-folder"
    assert (tmp_path / "2027").read_text() == "notes"


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (errno.ENOSPC, "disk-full"),
        (errno.EDQUOT, "disk-full"),
        (errno.EROFS, "folder-read-only"),
        (errno.EACCES, "folder-read-only"),
        (errno.EIO, "publish-failed"),
    ],
)
@pytest.mark.parametrize("existing", [True, False])
def test_when_the_disk_refuses_the_old_edition_stands_and_nothing_is_left(
    tmp_path, monkeypatch, error, code, existing
):
    target = tmp_path / "out" / "2027"
    if existing:
        publish_folder(target, OLD)
    fail_on(monkeypatch, os, "fsync", error, at_call=2)
    assert code_of(target, NEW) == code
    if existing:
        assert contents(target) == OLD
        assert names_in(target.parent) == ["2027"]
    else:
        assert names_in(tmp_path) == []


def test_when_the_swap_fails_half_way_the_old_edition_is_put_back(tmp_path, monkeypatch):
    publish_folder(tmp_path / "2027", OLD)
    monkeypatch.setattr(module, "_exchange", lambda one, other: False)
    fail_on(monkeypatch, Path, "rename", errno.EIO, at_call=2)
    assert code_of(tmp_path / "2027", NEW) == "publish-failed"
    assert contents(tmp_path / "2027") == OLD
    assert names_in(tmp_path) == ["2027"]


KILLED = """
import os, sys
sys.path.insert(0, sys.argv[1])
from pathlib import Path
from pocketref.output import files
def die(*args):
    os.kill(os.getpid(), 9)
if sys.argv[3] == "writing":
    files._swap = die
else:
    files._exchange = lambda one, other: False
    real = Path.rename
    calls = []
    def rename(self, other):
        calls.append(self)
        die() if len(calls) == 2 else real(self, other)
    Path.rename = rename
files.publish_folder(Path(sys.argv[2]), {"manifest.json": b"new"}, lambda target: None)
"""


def kill_while(doing: str, target: Path) -> None:
    root = Path(__file__).parents[2]
    done = subprocess.run([sys.executable, "-c", KILLED, str(root), str(target), doing], check=False)
    assert done.returncode == -9


def test_what_a_killed_run_left_is_swept_by_the_next(tmp_path):
    publish_folder(tmp_path / "2027", OLD)
    kill_while("writing", tmp_path / "2027")
    assert contents(tmp_path / "2027") == OLD
    assert len(names_in(tmp_path)) == 2
    publish_folder(tmp_path / "2027", NEW)
    assert contents(tmp_path / "2027") == NEW
    assert names_in(tmp_path) == ["2027"]


def test_after_a_kill_in_mid_swap_a_failing_run_still_brings_the_old_edition_back(tmp_path, monkeypatch):
    publish_folder(tmp_path / "2027", OLD)
    kill_while("swapping", tmp_path / "2027")
    assert not (tmp_path / "2027").exists()
    fail_on(monkeypatch, os, "fsync", errno.ENOSPC)
    assert code_of(tmp_path / "2027", NEW) == "disk-full"
    assert contents(tmp_path / "2027") == OLD
    assert names_in(tmp_path) == ["2027"]


def test_after_a_kill_in_mid_swap_the_old_edition_is_found_again(tmp_path):
    publish_folder(tmp_path / "2027", OLD)
    kill_while("swapping", tmp_path / "2027")
    recover_folders(tmp_path)
    assert contents(tmp_path / "2027") == OLD
    assert names_in(tmp_path)[1:] == ["2027"]


def test_what_a_run_alive_has_set_aside_is_left_to_it(tmp_path, monkeypatch):
    publish_folder(tmp_path / "2027", OLD)
    real = module._move_to_free

    def look_meanwhile(new, target):
        is_free = not target.exists()
        recover_folders(tmp_path)
        assert target.exists() != is_free
        return real(new, target)

    monkeypatch.setattr(module, "_exchange", lambda one, other: False)
    monkeypatch.setattr(module, "_move_to_free", look_meanwhile)
    publish_folder(tmp_path / "2027", NEW)
    assert contents(tmp_path / "2027") == NEW
    assert names_in(tmp_path) == ["2027"]


def test_a_publish_that_takes_the_free_name_in_mid_swap_is_replaced_in_its_turn(tmp_path, monkeypatch):
    target, real, quicker = tmp_path / "2027", module._move_to_free, [True]
    publish_folder(target, OLD)

    def be_quicker(new, place):
        if not place.exists() and quicker.pop():
            quicker.append(False)
            place.mkdir()
            (place / MARKER).touch()
        return real(new, place)

    monkeypatch.setattr(module, "_exchange", lambda one, other: False)
    monkeypatch.setattr(module, "_move_to_free", be_quicker)
    publish_folder(target, NEW)
    assert contents(target) == NEW
    assert names_in(tmp_path) == ["2027"]


def test_macos_exchanges_the_folders_by_its_own_call(tmp_path, monkeypatch):
    # renamex_np(from, to, flags) with RENAME_SWAP, 0x2: sys/stdio.h of macOS 10.12 and later, from its manual page.
    calls = []

    class Library:
        def renamex_np(self, one, other, flags):
            new, target = Path(os.fsdecode(one)), Path(os.fsdecode(other))
            calls.append((new.name[:10], target, flags))
            aside = target.rename(tmp_path / "aside")
            new.rename(target)
            aside.rename(new)
            return 0

    publish_folder(tmp_path / "2027", OLD)
    monkeypatch.setattr(module, "_PLATFORM", "darwin")
    monkeypatch.setattr(module.ctypes, "CDLL", lambda name: Library())
    publish_folder(tmp_path / "2027", NEW)
    assert calls == [(".2027.new-", tmp_path / "2027", 2)]
    assert contents(tmp_path / "2027") == NEW
    assert names_in(tmp_path) == ["2027"]


def test_where_the_system_has_no_such_call_nothing_is_exchanged(tmp_path, monkeypatch):
    for platform in ("darwin", "linux", "win32", "freebsd14"):
        monkeypatch.setattr(module, "_PLATFORM", platform)
        monkeypatch.setattr(module.ctypes, "CDLL", lambda name: object())
        assert not module._exchange(tmp_path, tmp_path)


def test_a_publish_in_progress_is_not_swept_by_another(tmp_path, monkeypatch):
    target = tmp_path / "2027"
    real = module._swap

    def publish_meanwhile(work):
        monkeypatch.setattr(module, "_swap", real)
        publish_folder(target, OLD)
        assert work.new.is_dir()
        real(work)

    monkeypatch.setattr(module, "_swap", publish_meanwhile)
    publish_folder(target, NEW)
    assert contents(target) == NEW
    assert names_in(tmp_path) == ["2027"]


def test_neighbours_with_like_names_are_left_alone(tmp_path):
    names = (".2027.new-notes", ".2027.new-00112233", "x.2027.old-0011223344556677")
    keep = [tmp_path / name for name in names]
    for folder in keep:
        folder.mkdir()
    publish_folder(tmp_path / "2027", NEW)
    assert all(folder.is_dir() for folder in keep)
