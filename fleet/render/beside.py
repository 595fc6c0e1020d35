"""What lies hidden beside a target while it is written: its lock, and the new set."""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from fleet.errors import UnwritableError
from fleet.render import in_place
from fleet.render.safe import for_terminal

_NO_LINK = getattr(os, "O_NOFOLLOW", 0)


def staging_for(target: Path) -> Path:
    """Make the folder that a set or file for ``target`` is built in."""
    return Path(tempfile.mkdtemp(prefix=f"{_stem(target)}.new-", dir=target.parent))


def _stem(target: Path) -> str:
    """Return what the names of all our helpers beside ``target`` start with."""
    digest = hashlib.sha256(os.fsencode(target.name.casefold())).hexdigest()
    return f".{target.name[:40]}-{digest[:8]}"


def beside(target: Path, kind: str) -> Path:
    """Return where a helper of ``target`` lies; hidden, on the same disk."""
    return target.with_name(f"{_stem(target)}.{kind}")


@contextmanager
def scratch(target: Path) -> Iterator[None]:
    """Have libraries write their passing files beside ``target``, not elsewhere.

    What they hold is in no place where others look, and a run that is killed leaves
    them where the next one removes them.
    """
    before, made = tempfile.tempdir, staging_for(target)
    tempfile.tempdir = str(made)
    try:
        yield
    finally:
        tempfile.tempdir = before
        with suppress(OSError):  # what is left in it goes when all is tidied
            made.rmdir()


def tidy(target: Path) -> None:
    """Remove what a killed run left; put the earlier set back if it was away."""
    old = beside(target, "old")
    if old.is_dir() and not target.exists():
        old.rename(target)
    stem = _stem(target)
    for path in list(target.parent.iterdir()):
        if path == old or path.name.startswith(f"{stem}.new-"):
            shutil.rmtree(path, ignore_errors=True)


@contextmanager
def alone(target: Path) -> Iterator[None]:
    """Hold the lock of ``target``; the system lets go of it if we are killed."""
    path = beside(target, "lock")
    while True:
        # Not through a link that someone put there, to a file of another purpose.
        lock = os.open(path, os.O_RDWR | os.O_CREAT | _NO_LINK, 0o666)
        try:
            in_place.lock(lock)
            # Whoever held it may have removed the file before letting go.
            current = path.exists() and os.path.samestat(os.fstat(lock), path.stat())
        except BlockingIOError:
            os.close(lock)
            raise UnwritableError(
                f"{for_terminal(str(target))} is being written by another run: wait "
                "until it is done, then run again."
            ) from None
        except BaseException:
            os.close(lock)
            raise
        if current:
            break
        os.close(lock)
    try:
        yield
    finally:
        if os.name == "nt":  # an open file cannot be removed there
            os.close(lock)
        with suppress(OSError):
            path.unlink()
        if os.name != "nt":
            os.close(lock)
