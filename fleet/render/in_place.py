"""What the operating system offers to put one folder in the place of another."""

from __future__ import annotations

import os
import shutil
import sys
import time
from errno import EINVAL, ENOLCK, ENOSYS, ENOTSUP
from pathlib import Path

_AT_FDCWD = -100  # linux/fcntl.h
_RENAME_EXCHANGE = 2  # linux/fs.h
_TRIES = 8 if os.name == "nt" else 1


def put(new: Path, target: Path, aside: Path) -> None:
    """Put the folder ``new`` at ``target``, then remove what stood there.

    Where two folders can be exchanged in one step nobody ever sees ``target``
    missing. Elsewhere the earlier one is first set ``aside``; whoever finds it
    there without a ``target`` must put it back.

    Raises
    ------
    OSError
        It could not be done; what stood at ``target`` stands there again.
    """
    old = _place(new, target, aside)
    try:
        sync_folder(target.parent)
    except OSError:
        if old is None:
            _rename(target, new)
        else:
            _place(old, target, new.with_name(f"{new.name}-back"))
        raise
    if old is not None:
        shutil.rmtree(old, ignore_errors=True)


def _place(new: Path, target: Path, aside: Path) -> Path | None:
    """Put ``new`` at ``target``; return where the earlier one is now."""
    if not target.exists():
        _rename(new, target)
        return None
    if exchange(new, target):
        return new
    _rename(target, aside)
    try:
        _rename(new, target)
    except OSError:
        _rename(aside, target)
        raise
    return aside


def exchange(one: Path, other: Path) -> bool:
    """Exchange two folders in one step; return False where that is not offered."""
    if sys.platform != "linux":
        return False
    import ctypes

    call = getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
    if call is None:
        return False
    first, second = os.fsencode(one), os.fsencode(other)
    if call(_AT_FDCWD, first, _AT_FDCWD, second, _RENAME_EXCHANGE) == 0:
        return True
    number = ctypes.get_errno()
    if number in (ENOSYS, EINVAL, ENOTSUP):
        return False
    raise OSError(number, os.strerror(number), str(other))


def _rename(source: Path, target: Path) -> None:
    """Rename; on Windows wait a little for a file that a scanner holds open."""
    for left in reversed(range(_TRIES)):
        try:
            source.rename(target)
            return
        except PermissionError:
            if not left:
                raise
            time.sleep(0.25)


def sync_folder(folder: Path) -> None:
    """Make the names in ``folder`` last, where the system can."""
    if os.name == "nt":  # folders cannot be opened there
        return
    opened = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(opened)
    except OSError as err:
        if err.errno not in (EINVAL, ENOTSUP):  # some network disks offer none
            raise
    finally:
        os.close(opened)


def lock(file: int) -> None:
    """Lock an open file until it is closed or the process ends.

    Raises
    ------
    BlockingIOError
        Another process holds it.
    """
    if sys.platform == "win32":
        import msvcrt

        try:
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        except OSError as err:
            raise BlockingIOError from err
        return
    import fcntl

    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as err:
        if err.errno not in (ENOLCK, ENOTSUP, EINVAL):  # a disk without locks
            raise
