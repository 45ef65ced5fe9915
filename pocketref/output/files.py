"""Publishes a folder whole: the target is the new one or still the old one, never something between."""

from __future__ import annotations

import ctypes
import errno
import os
import re
import secrets
import shutil
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from pocketref.problems import PocketrefError, Problem, explain_refusal
from pocketref.source.syntax.source_text import clip_text

if sys.platform != "win32":
    import fcntl

_PLATFORM: str = sys.platform
_RENAME_EXCHANGE = 2  # linux/fs.h
_AT_FDCWD = -100  # fcntl.h on Linux
_RENAME_SWAP = 2  # sys/stdio.h on macOS

_WORKPLACE = re.compile(r"\.(.+)\.(new|old)-[0-9a-f]{16}", re.DOTALL)
"""The name of a folder that a publish works in: whose target, and what of it. Nobody's own backup is named so."""

_NAMED = 8
"""Names listed in a message."""

# What no file system or archive may be asked to keep: device separators, control and reserved characters.
_UNSAFE = re.compile(r'[\x00-\x1f\x7f<>:"|?*\\]')

_ELSEWHERE = "publish to a folder you may write to, with --out"
_HINTS = {
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
        sentence = f"{target} holds files that were not published, which publishing would remove"
        hint = "name a new or an empty folder with --out"
        _refuse("publish-target-foreign", f"{sentence}: {list_few(names)}", hint)


def list_few(names: Sequence[str], between: str = ", ") -> str:
    """The first names, and how many more there are."""
    shown = between.join(clip_text(name, 200) for name in names[:_NAMED])
    return f"{shown} and {len(names) - _NAMED} more" if len(names) > _NAMED else shown


def publish_folder(
    target: Path, files: Mapping[str, bytes], check: Callable[[Path], None] = refuse_filled
) -> None:
    """Make `target` a folder of exactly these files, all at once.

    `files` maps relative names with forward slashes to contents. They are written beside the target and
    flushed to the disk, then the two folders change places. What a killed run left is put right first.
    `check` refuses a target whose content must stay; it is asked at the start and again just before the swap.
    PocketrefError, with the target as it was and nothing left beside it: "file-name-unsafe",
    "publish-target-not-folder", "folder-read-only", "disk-full", "publish-failed", and what `check` raises.
    """
    _check_names(files)
    target = Path(os.path.realpath(target))
    try:
        _check_folder(target)
        with ExitStack() as cleanup:
            _make_parents(target.parent, cleanup)
            _sweep_unfinished(target)
            check(target)
            with _claim_workplace(target) as work:
                _write_files(work.new, files)
                check(target)
                _swap(work)
                cleanup.pop_all()
    except OSError as error:
        raise _explain(error, target) from error


def sweep_unfinished(target: Path) -> None:
    """Remove what killed runs left beside a folder that needs no publishing; what cannot be removed stays."""
    with suppress(OSError):
        _sweep_unfinished(Path(os.path.realpath(target)))


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


def _check_names(files: Mapping[str, bytes]) -> None:
    """Names must stay inside the folder, and no two may fall together where case does not count."""
    folders = {str(parent).casefold() for name in files for parent in PurePosixPath(name).parents}
    known: dict[str, str] = {}
    problems = []
    for name in sorted(files):
        fault = _find_fault(name)
        twin = known.setdefault(name.casefold(), name)
        if not fault and twin != name:
            fault = f"differs from {twin!r} in case alone"
        elif not fault and name.casefold() in folders:
            fault = "is also the name of a folder"
        if fault:
            problems.append(
                Problem("file-name-unsafe", f"the file name {name!r} {fault}", "choose another name")
            )
    if problems:
        raise PocketrefError(problems)


def _find_fault(name: str) -> str:
    """Why the name cannot be used, or nothing."""
    if _UNSAFE.search(name):
        return "holds a character that some systems do not allow"
    parts = name.split("/")
    if any(part in {"", ".", ".."} for part in parts):
        return "does not stay inside the folder"
    if any(part != part.strip() or part.endswith(".") for part in parts):
        return "has a part that begins or ends with a space, or ends with a dot"
    return ""


def _check_folder(target: Path) -> None:
    if os.path.lexists(target) and not target.is_dir():
        _refuse("publish-target-not-folder", f"{target} is not a folder", "name a folder with --out")


def _refuse(code: str, sentence: str, hint: str) -> None:
    raise PocketrefError([Problem(code, sentence, hint)])


def _explain(error: OSError, target: Path) -> PocketrefError:
    """The operating system's refusal as a problem a user can mend."""
    code, hint = _HINTS.get(error.errno or 0, ("publish-failed", "nothing was changed; try again"))
    sentence, _ = explain_refusal(str(target), error, "published")
    return PocketrefError([Problem(code, sentence, hint)])


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

    The lock tells the next run that the folder is in use; the system drops it when we die.
    """
    work, handle = _make_workplace(target)
    try:
        try:
            yield work
        finally:
            _unlock(handle)
    finally:
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


def _sweep_unfinished(target: Path) -> None:
    """Remove what killed runs left beside the target; put the old edition back if one died in mid-swap.

    Where there are no locks, nothing tells a dead run's folder from that of one alive: it stays.
    """
    recover_folders(target.parent)
    for path in sorted(target.parent.iterdir()):
        match = _WORKPLACE.fullmatch(path.name)
        if match and match[1] == target.name and path.is_dir():
            with suppress(BlockingIOError, FileNotFoundError), _hold(path) as is_dead:
                if is_dead:
                    shutil.rmtree(path, ignore_errors=True)


def _write_files(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write and flush every file, then every folder from the inside out."""
    for name, data in sorted(files.items()):
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("xb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
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
