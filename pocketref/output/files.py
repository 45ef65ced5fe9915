"""Publishes a folder whole: the target is the new one or still the old one, never something between."""

from __future__ import annotations

import ctypes
import errno
import os
import re
import secrets
import shutil
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from pocketref.output.file_names import FileNames
from pocketref.problems import PocketrefError, Problem, explain_refusal
from pocketref.source.syntax.source_text import list_few
from pocketref.words.terminal import tell

if sys.platform != "win32":
    import fcntl

_PLATFORM: str = sys.platform
_RENAME_EXCHANGE = 2  # linux/fs.h
_AT_FDCWD = -100  # fcntl.h on Linux
_RENAME_SWAP = 2  # sys/stdio.h on macOS

_WORKPLACE = re.compile(r"\.(.+)\.(new|old)-[0-9a-f]{16}", re.DOTALL)
"""The name of a folder that a publish works in: whose target, and what of it. Nobody's own backup is named so."""

_JOURNAL = ".made"
_PART = ".part"

_ELSEWHERE = "publish to a folder you may write to, with --out"
HINTS = {
    errno.ENOSPC: ("disk-full", "free some space, or publish to another disk with --out"),
    errno.EDQUOT: ("disk-full", "free some space, or publish to another disk with --out"),
    errno.EROFS: ("folder-read-only", _ELSEWHERE),
    errno.EACCES: ("folder-read-only", _ELSEWHERE),
    errno.EPERM: ("folder-read-only", _ELSEWHERE),
    errno.ENOTDIR: ("publish-target-not-folder", "name a folder with --out"),
    errno.EEXIST: ("publish-target-not-folder", "name a folder with --out"),
    errno.ENAMETOOLONG: ("file-name-unsafe", "choose a shorter name"),
    errno.EFBIG: ("disk-full", "raise the limit on file sizes, or publish to another disk with --out"),
}


@dataclass(frozen=True, slots=True)
class _Workplace:
    """Where one publish works: beside the target, so on its disk, under names that tell what they are."""

    target: Path
    new: Path
    old: Path


def refuse_filled(target: Path) -> None:
    """PocketrefError ("publish-target-foreign") if anything is in the folder: publishing would remove it."""
    try:
        names = sorted(path.name for path in target.iterdir())
    except (FileNotFoundError, NotADirectoryError):
        return
    except OSError as error:
        raise _explain(error, target) from error
    if names:
        sentence = tell(
            "{target} holds files that were not published, which publishing would remove: {names}",
            target=target,
            names=list_few(names),
        )
        _refuse("publish-target-foreign", sentence, tell("name a new or an empty folder with --out"))


def publish_folder(
    target: Path, files: Mapping[str, bytes], check: Callable[[Path], None] = refuse_filled
) -> None:
    """Make `target` a folder of exactly these files, all at once.

    `files` maps relative names with forward slashes to contents; else as `stage_folder`.
    """
    names = FileNames()
    problems = [problem for name in sorted(files) if (problem := names.add(name))]
    if problems:
        raise PocketrefError(problems)
    with stage_folder(target, check) as stage:
        for name, data in sorted(files.items()):
            stage.write(name, data)


class Stage:
    """The new folder of a publish, file by file, before it takes the target's place."""

    def __init__(self, folder: Path, left: Path | None) -> None:
        self._folder, self._names = folder, FileNames()
        self.left = left
        """What a run that was stopped had made, to be looked at as long as this publish lasts."""

    def write(self, name: str, data: bytes, note: bytes = b"") -> None:
        """Write and flush a file, then its note, a line by which a later run tells that it is whole.

        PocketrefError ("file-name-unsafe") for a name that cannot be used.
        """
        if problem := self._names.add(name):
            raise PocketrefError([problem])
        path, part = self._folder / name, self._folder / _PART
        path.parent.mkdir(parents=True, exist_ok=True)
        with part.open("xb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        part.replace(path)
        if note:
            with (self._folder / _JOURNAL).open("ab") as journal:
                journal.write(note + b"\n")


def read_notes(left: Path | None) -> list[bytes]:
    """The notes of what a run that was stopped had written; none if there was no such run."""
    with suppress(OSError):
        return (left / _JOURNAL).read_bytes().splitlines() if left else []
    return []


@contextmanager
def stage_folder(target: Path, check: Callable[[Path], None] = refuse_filled) -> Iterator[Stage]:
    """Make `target` a folder of exactly the files that are written to the stage, all at once.

    They are written beside the target and flushed to the disk, then the two folders change places. What a killed run
    left is put right first, and removed once it is of no more use: if this publish is done or the disk refuses it. One
    that is stopped by the keyboard leaves what it has made and noted to the next, as one that is killed does.
    `check` refuses a target whose content must stay; it is asked at the start and again just before the swap.
    PocketrefError, with the target as it was and nothing more beside it: "file-name-unsafe",
    "publish-target-not-folder", "folder-read-only", "disk-full", "publish-failed", and what `check` raises.
    """
    target = Path(os.path.realpath(target))
    try:
        _check_folder(target)
        with ExitStack() as cleanup:
            _make_parents(target.parent, cleanup)
            with _hold_left(target) as left:
                check(target)
                with _claim_workplace(target) as work:
                    yield Stage(work.new, left)
                    (work.new / _JOURNAL).unlink(missing_ok=True)
                    _flush_folders(work.new)
                    check(target)
                    _swap(work)
                    cleanup.pop_all()
    except OSError as error:
        raise _explain(error, target) from error


def sweep_unfinished(target: Path) -> None:
    """Remove what killed runs left beside a folder that needs no publishing; what cannot be removed stays."""
    with suppress(OSError), _hold_left(Path(os.path.realpath(target))):
        pass


def recover_folders(parent: Path) -> None:
    """Put back each folder that a run killed in mid-swap had set aside, and whose name is free."""
    with suppress(OSError):
        for path in sorted(Path(os.path.realpath(parent)).glob(".*.old-*")):
            match = _WORKPLACE.fullmatch(path.name)
            if match is None or not path.is_dir() or os.path.lexists(path.parent / match[1]):
                continue
            with (
                suppress(OSError),
                _hold(path),
            ):  # whose run is alive, which puts it in place itself, is locked
                path.rename(path.parent / match[1])


def _check_folder(target: Path) -> None:
    if os.path.lexists(target) and not target.is_dir():
        _refuse(
            "publish-target-not-folder",
            tell("{target} is not a folder", target=target),
            tell("name a folder with --out"),
        )


def _refuse(code: str, sentence: str, hint: str) -> None:
    raise PocketrefError([Problem(code, sentence, hint)])


def _explain(error: OSError, target: Path) -> PocketrefError:
    """The operating system's refusal as a problem a user can mend."""
    code, hint = HINTS.get(error.errno or 0, ("publish-failed", "nothing was changed; try again"))
    sentence, _ = explain_refusal(str(target), error, "published")
    return PocketrefError([Problem(code, sentence, tell(hint))])


def _make_parents(folder: Path, cleanup: ExitStack) -> None:
    """Make the folders above the target; those made are removed again if the publish fails."""
    missing = [folder, *folder.parents]
    missing = missing[: next(i for i, parent in enumerate(missing) if parent.exists())]
    for parent in reversed(missing):
        try:
            parent.mkdir()
        except FileExistsError:  # another publish was quicker, or it is no folder
            if not parent.is_dir():
                raise
        else:
            cleanup.callback(_remove_empty, parent)


def _remove_empty(folder: Path) -> None:
    with suppress(OSError):
        folder.rmdir()


@contextmanager
def _claim_workplace(target: Path) -> Iterator[_Workplace]:
    """A fresh folder beside the target, locked while we live and removed with what it then holds.

    The lock tells the next run that the folder is in use; the system drops it when we die. Of a run that is stopped by
    the keyboard what is noted stays, where the next run can tell that this one is dead.
    """
    work, handle = _make_workplace(target)
    is_stopped = False
    try:
        try:
            yield work
        except KeyboardInterrupt:
            is_stopped = handle is not None and _measure_notes(work.new) > 0
            raise
        finally:
            _unlock(handle)
    finally:
        if not is_stopped:
            shutil.rmtree(work.new, ignore_errors=True)
        if os.path.lexists(target):
            shutil.rmtree(work.old, ignore_errors=True)


def _make_workplace(target: Path) -> tuple[_Workplace, int | None]:
    """A fresh folder and its lock. One that another run sweeps away before it is locked is made anew."""
    while True:
        token = secrets.token_hex(8)
        new, old = (target.parent / f".{target.name}.{kind}-{token}" for kind in ("new", "old"))
        new.mkdir()
        try:
            handle = _lock(new)
        except (BlockingIOError, FileNotFoundError):
            continue
        if handle is None or _is_still(new, handle):
            return _Workplace(target, new, old), handle
        _unlock(handle)


def _is_still(folder: Path, handle: int) -> bool:
    """Whether the name still leads to the folder that was opened."""
    try:
        return os.path.samestat(folder.stat(), os.fstat(handle))
    except FileNotFoundError:
        return False


def _lock(folder: Path, *, waits: bool = False) -> int | None:
    """Take the folder's lock; None where there are no such locks.

    BlockingIOError if another process has it, unless one `waits`; FileNotFoundError if the folder is gone.
    """
    if sys.platform == "win32":
        return None
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if waits else fcntl.LOCK_NB))
    except BlockingIOError:
        os.close(handle)
        raise
    except OSError:
        os.close(handle)
        return None
    return handle


def _unlock(handle: int | None) -> None:
    if handle is not None:
        os.close(handle)


@contextmanager
def _hold(folder: Path) -> Iterator[bool]:
    """The folder's lock while something is done to it; gives whether there are locks here. Raises as `_lock`."""
    handle = _lock(folder)
    try:
        yield handle is not None
    finally:
        _unlock(handle)


@contextmanager
def _hold_left(target: Path) -> Iterator[Path | None]:
    """Put the old edition back if a run died in mid-swap; of what dead runs left, hold what has the most notes.

    The rest is removed at once, that at the end, but for a problem or a stop: the next run may use it then. Where there
    are no locks, nothing tells a dead run's folder from that of one alive: it stays, and nothing is held.
    """
    recover_folders(target.parent)
    with ExitStack() as held:
        dead = []
        for path in sorted(target.parent.iterdir()):
            match = _WORKPLACE.fullmatch(path.name)
            if match and match[1] == target.name and path.is_dir():
                with suppress(BlockingIOError, FileNotFoundError):
                    if held.enter_context(_hold(path)):
                        dead.append(path)
        left = max(filter(_measure_notes, dead), key=_measure_notes, default=None)
        for path in dead:
            if path != left:
                shutil.rmtree(path, ignore_errors=True)
        is_kept = False
        try:
            yield left
        except (KeyboardInterrupt, PocketrefError):
            is_kept = True
            raise
        finally:
            if left and not is_kept:
                shutil.rmtree(left, ignore_errors=True)


def _measure_notes(folder: Path) -> int:
    """The bytes of its notes; none in one that was set aside, which is a whole edition."""
    path = folder / _JOURNAL
    return path.stat().st_size if path.is_file() else 0


def _flush_folders(folder: Path) -> None:
    """Flush every folder from the inside out."""
    for inner, _, _ in os.walk(folder, topdown=False):
        _flush_folder(Path(inner))


def _flush_folder(folder: Path) -> None:
    """Make the folder's entries outlive a power cut, where the system lets a folder be flushed."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _swap(work: _Workplace) -> None:
    """Put the new folder in the target's place; the old one ends up beside it."""
    while not (
        _move_to_free(work.new, work.target) or _exchange(work.new, work.target) or _swap_in_two_steps(work)
    ):
        pass
    with suppress(OSError):  # the swap is done: a folder that cannot be flushed must not undo it
        _flush_folder(work.target.parent)


def _swap_in_two_steps(work: _Workplace) -> bool:
    """Set the old folder aside, then give its name to the new one; False if another publish came between.

    The old one stays locked meanwhile, so that no other run takes it for one that a dead run had set aside.
    """
    try:
        handle = _lock(work.target, waits=True)
    except FileNotFoundError:
        return False
    try:
        if handle is not None and not _is_still(work.target, handle):
            return False
        work.target.rename(work.old)
        try:
            is_done = _move_to_free(work.new, work.target)
        except BaseException:
            work.old.rename(work.target)
            raise
        if not is_done:
            shutil.rmtree(work.old)
        return is_done
    finally:
        _unlock(handle)


def _move_to_free(new: Path, target: Path) -> bool:
    """Give the new folder the target's name if nothing has it yet."""
    if os.path.lexists(target):
        return False
    try:
        new.rename(target)
    except OSError as error:
        if error.errno in (errno.ENOTEMPTY, errno.EEXIST):  # another publish was quicker
            return False
        raise
    return True


def _exchange(one: Path, other: Path) -> bool:
    """Let two folders change places in one step, so that at no time either is missing (renameat2, renamex_np).

    False where the system or the file system cannot; nothing has moved then.
    """
    names = os.fsencode(one), os.fsencode(other)
    arguments: tuple[int | bytes, ...]
    if _PLATFORM.startswith("linux"):
        call = getattr(ctypes.CDLL(None), "renameat2", None)
        arguments = (_AT_FDCWD, names[0], _AT_FDCWD, names[1], _RENAME_EXCHANGE)
    elif _PLATFORM == "darwin":
        call = getattr(ctypes.CDLL(None), "renamex_np", None)
        arguments = (*names, _RENAME_SWAP)
    else:
        return False
    return call is not None and call(*arguments) == 0
