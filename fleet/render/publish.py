"""A set of files put in place whole or not at all.

The set is built in a folder beside the target, made to last by fsync, and put in
place by one rename or, where an earlier set stands, by exchanging the two folders.
A run that is killed leaves the old or the new set, and a folder that the next run
removes.
"""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from errno import EACCES, EDQUOT, ENOSPC, EPERM, EROFS
from functools import partial
from pathlib import Path

from fleet.errors import UnwritableError
from fleet.render import in_place, manifest
from fleet.render.beside import alone, beside, scratch, staging_for, tidy
from fleet.render.manifest import MANIFEST, Manifest
from fleet.render.safe import for_terminal

Write = Callable[[Path], None]
Together = Callable[[Sequence[Callable[[], str]]], list[str]]

# What systems and office programs drop into a folder that someone looks at.
DROPPINGS = (".DS_Store", "Thumbs.db", "desktop.ini", ".directory")
DROPPING_STARTS = (".~lock.", "~$", "._")


def _in_turn(tasks: Sequence[Callable[[], str]]) -> list[str]:
    return [task() for task in tasks]


def publish(
    folder: Path,
    files: Mapping[str, Write],
    inputs: Sequence[Path] = (),
    *,
    command: str = "",
    made_from: str = "",
    anew: bool = False,
    together: Together = _in_turn,
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
    command
        Whose set it is; what another command wrote is not replaced.
    made_from
        Digest of all that decides what the files say. A file that stands in
        ``folder`` and was made from the same is kept and not written again.
    anew
        Write those too.
    together
        Does several tasks and returns what they return; one by one if not given.

    Raises
    ------
    UnwritableError
        One line; whatever stood in ``folder`` stands there unchanged.
    """
    check_target(folder, inputs, command)
    with _one_line(folder):
        target = folder.resolve()
        target.parent.mkdir(parents=True, exist_ok=True)
        with alone(target):
            try:
                tidy(target)
                check_target(folder, inputs, command)  # again, now that we are alone
                told = Manifest({}, made_from, command)
                kept = () if anew else manifest.unchanged(target, made_from)
                with scratch(target):
                    _publish(target, files, kept, told, together)
            finally:
                tidy(target)


def check_target(folder: Path, inputs: Sequence[Path] = (), command: str = "") -> None:
    """Check, before any work is done, that ``folder`` may be written or replaced.

    Raises
    ------
    UnwritableError
        It is a link, a file, holds an input, is not ours or another command's, or
        was added to.
    """
    with _one_line(folder):
        reason = _objection(folder, inputs, command)
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
        with alone(target):
            try:
                tidy(target)
                made = staging_for(target) / target.name
                with scratch(target):
                    write(made)
                _settle(made)
                made.rename(target)
                in_place.sync_folder(target.parent)
            finally:
                tidy(target)


# ------------------------------------------------------------- may it be replaced


def _objection(folder: Path, inputs: Sequence[Path], command: str) -> str:
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
    return _lost(folder, command)


def _lost(folder: Path, command: str) -> str:
    """Say so where replacing the folder would lose what something else put there."""
    found = {path.name: path for path in folder.iterdir() if not _dropping(path.name)}
    if not found:
        return ""
    standing = manifest.read(folder)
    if standing is None:
        return (
            "is not empty and not a report folder: choose an empty or a new folder "
            "with --out."
        )
    if command and standing.command not in ("", command):
        return (
            f"holds what `fleet {for_terminal(standing.command)}` wrote: choose "
            "another folder with --out."
        )
    ours = standing.files
    for name, path in sorted(found.items()):
        shown = for_terminal(name)
        if name != MANIFEST and name not in ours:
            return (
                f"holds {shown}, which no report put there: move it away, or choose "
                "another folder with --out."
            )
        if name in ours and (not path.is_file() or manifest.digest(path) != ours[name]):
            return (
                f"holds {shown}, which was changed after the report was written: "
                "move it away, or choose another folder with --out."
            )
    return ""


def _dropping(name: str) -> bool:
    return name in DROPPINGS or name.startswith(DROPPING_STARTS)


# ------------------------------------------------------------------------ writing


def _publish(
    target: Path,
    files: Mapping[str, Write],
    kept: Sequence[str],
    told: Manifest,
    together: Together,
) -> None:
    for name in files:
        if Path(name).name != name or name == MANIFEST:
            raise ValueError(f"{name!r} is no file name for a set")
    if kept and set(kept) == set(files) == {path.name for path in _written(target)}:
        return
    staging = staging_for(target)
    tasks = [
        partial(_keep, target / name, staging / name)
        if name in kept
        else partial(_make, write, staging / name)
        for name, write in files.items()
    ]
    digests = dict(zip(files, together(tasks), strict=True))
    _settle(manifest.write(staging, told._replace(files=digests)))
    # mkdtemp makes it for one user alone; the report is for whoever shares the disk.
    staging.chmod(0o777 & ~_umask())
    in_place.sync_folder(staging)
    in_place.put(staging, target, beside(target, "old"))


def _written(folder: Path) -> Iterator[Path]:
    """Yield the files of a set that stands in ``folder``."""
    for path in folder.iterdir():
        if path.name != MANIFEST and not _dropping(path.name):
            yield path


def _make(write: Write, path: Path) -> str:
    write(path)
    return _settle(path)


def _keep(earlier: Path, path: Path) -> str:
    """Take a file over from the earlier set, without a copy where that can be."""
    try:
        path.hardlink_to(earlier)
    except OSError:
        shutil.copyfile(earlier, path)
    return _settle(path)


def _settle(path: Path) -> str:
    """Make a written file last, and return its SHA-256."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())
        return hashlib.file_digest(file, "sha256").hexdigest()


def _umask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask


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
