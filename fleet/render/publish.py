"""A set of files put in place whole or not at all.

The set is built in a folder beside the target, made to last by fsync, and put in
place by one rename or, where an earlier set stands, by exchanging the two folders.
A run that is killed leaves the old or the new set, and a folder that the next run
removes.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from errno import EACCES, EDQUOT, ENOSPC, EPERM, EROFS
from pathlib import Path
from typing import Any

from fleet.errors import UnwritableError
from fleet.render import in_place
from fleet.render.safe import for_terminal

Write = Callable[[Path], None]

MANIFEST = "manifest.json"
SCHEMA = "fleet-manifest/1"
# What systems and office programs drop into a folder that someone looks at.
DROPPINGS = (".DS_Store", "Thumbs.db", "desktop.ini", ".directory")
DROPPING_STARTS = (".~lock.", "~$", "._")


def publish(
    folder: Path, files: Mapping[str, Write], inputs: Sequence[Path] = ()
) -> None:
    """Write ``files`` into ``folder``, all of them or none.

    Parameters
    ----------
    folder
        New, empty, or an earlier set written here, which is then replaced.
    files
        File name -> what writes it to the path it is given.
    inputs
        What the run reads; ``folder`` may hold none of it.

    Raises
    ------
    UnwritableError
        One line; whatever stood in ``folder`` stands there unchanged.
    """
    check_target(folder, inputs)
    with _one_line(folder):
        target = folder.resolve()
        target.parent.mkdir(parents=True, exist_ok=True)
        with _alone(target):
            try:
                _tidy(target)
                check_target(folder, inputs)  # again: nobody else writes here now
                _publish(target, files)
            finally:
                _tidy(target)


def check_target(folder: Path, inputs: Sequence[Path] = ()) -> None:
    """Check, before any work is done, that ``folder`` may be written or replaced.

    Raises
    ------
    UnwritableError
        It is a link, a file, holds an input, is not ours, or was added to.
    """
    with _one_line(folder):
        reason = _objection(folder, inputs)
    if reason:
        raise UnwritableError(f"{for_terminal(str(folder))} {reason}")


def write_whole(path: Path, write: Write, inputs: Sequence[Path] = ()) -> None:
    """Write one file that does not exist yet, whole or not at all.

    Raises
    ------
    UnwritableError
        One line; ``path`` exists, or cannot be written.
    """
    with _one_line(path):
        if path.is_symlink() or path.exists():
            read = any(same.exists() and same.samefile(path) for same in inputs)
            what = "is what is being read" if read else "exists already"
            raise UnwritableError(
                f"{for_terminal(str(path))} {what}: choose another name."
            )
        target = path.resolve()
        target.parent.mkdir(parents=True, exist_ok=True)
        with _alone(target):
            try:
                _tidy(target)
                made = _staging(target) / target.name
                write(made)
                _settle(made)
                made.rename(target)
                in_place.sync_folder(target.parent)
            finally:
                _tidy(target)


# ------------------------------------------------------------- may it be replaced


def _objection(folder: Path, inputs: Sequence[Path]) -> str:
    """Return why ``folder`` may not be replaced, or nothing."""
    if folder.is_symlink():
        return "is a link: name the folder itself."
    target = folder.resolve()
    for path in inputs:
        if path.resolve().is_relative_to(target):
            return (
                f"holds {for_terminal(path.name)}, which is being read: choose "
                "another folder with --out."
            )
    if Path.cwd().is_relative_to(target):
        return "is the folder you are in: choose a folder inside it with --out."
    if not folder.exists():
        return ""
    if not folder.is_dir():
        return "is a file: choose another folder with --out."
    return _added_or_changed(folder)


def _added_or_changed(folder: Path) -> str:
    """Say so where replacing the folder would lose what someone else put there."""
    found = {path.name: path for path in folder.iterdir() if not _dropping(path.name)}
    if not found:
        return ""
    ours = _manifest(folder)
    if ours is None:
        return (
            "is not empty and not a report folder: choose an empty or a new folder "
            "with --out."
        )
    for name, path in sorted(found.items()):
        shown = for_terminal(name)
        if name != MANIFEST and name not in ours:
            return (
                f"holds {shown}, which no report put there: move it away, or choose "
                "another folder with --out."
            )
        if name in ours and (not path.is_file() or _digest(path) != ours[name]):
            return (
                f"holds {shown}, which was changed after the report was written: "
                "move it away, or choose another folder with --out."
            )
    return ""


def _dropping(name: str) -> bool:
    return name in DROPPINGS or name.startswith(DROPPING_STARTS)


def _manifest(folder: Path) -> dict[str, str] | None:
    """Return name -> SHA-256 of a folder written here, or None for any other."""
    path = folder / MANIFEST
    try:
        if path.is_symlink() or path.stat().st_size > 1_000_000:
            return None
        read: Any = json.loads(path.read_bytes())
    except (FileNotFoundError, IsADirectoryError, ValueError, RecursionError):
        return None
    if not isinstance(read, dict) or read.get("schema") != SCHEMA:
        return None
    files = read.get("files")
    return files if isinstance(files, dict) else None


# ------------------------------------------------------------------------ writing


def _publish(target: Path, files: Mapping[str, Write]) -> None:
    staging = _staging(target)
    digests = {}
    for name, write in files.items():
        if Path(name).name != name or name == MANIFEST:
            raise ValueError(f"{name!r} is no file name for a set")
        write(staging / name)
        digests[name] = _settle(staging / name)
    manifest = staging / MANIFEST
    text = json.dumps({"schema": SCHEMA, "files": digests}, indent=1)
    manifest.write_text(text + "\n", "utf-8", newline="\n")
    _settle(manifest)
    # mkdtemp makes it for one user alone; the report is for whoever shares the disk.
    staging.chmod(0o777 & ~_umask())
    in_place.sync_folder(staging)
    in_place.put(staging, target, _beside(target, "old"))


def _staging(target: Path) -> Path:
    return Path(tempfile.mkdtemp(prefix=f"{_stem(target)}.new-", dir=target.parent))


def _settle(path: Path) -> str:
    """Make a written file last, and return its SHA-256."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())
        return hashlib.file_digest(file, "sha256").hexdigest()


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _umask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask


# ------------------------------------------------------ beside the target, hidden


def _stem(target: Path) -> str:
    """Return what the names of all our helpers beside ``target`` start with."""
    digest = hashlib.sha256(os.fsencode(target.name.casefold())).hexdigest()
    return f".{target.name[:40]}-{digest[:8]}"


def _beside(target: Path, kind: str) -> Path:
    return target.with_name(f"{_stem(target)}.{kind}")


def _tidy(target: Path) -> None:
    """Remove what a killed run left; put the earlier set back if it was away."""
    old = _beside(target, "old")
    if old.is_dir() and not target.exists():
        old.rename(target)
    stem = _stem(target)
    for path in list(target.parent.iterdir()):
        if path == old or path.name.startswith(f"{stem}.new-"):
            shutil.rmtree(path, ignore_errors=True)


@contextmanager
def _alone(target: Path) -> Iterator[None]:
    """Hold the lock of ``target``; the system lets go of it if we are killed."""
    path = _beside(target, "lock")
    while True:
        lock = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
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


# ------------------------------------------------------------------------- errors

_DO = {
    ENOSPC: "make room on that disk",
    EDQUOT: "make room on that disk",
    EACCES: "choose a folder you may write to",
    EPERM: "choose a folder you may write to",
    EROFS: "choose a folder you may write to",
}


@contextmanager
def _one_line(target: Path) -> Iterator[None]:
    """Turn whatever the system refuses into one line that says what to do."""
    try:
        yield
    except OSError as err:
        reason = err.strerror or type(err).__name__
        do = _DO.get(err.errno or 0, "choose another place")
        raise UnwritableError(
            f"{for_terminal(str(target))} cannot be written ({reason}); what stood "
            f"there is unchanged: {do}, then run again."
        ) from err
