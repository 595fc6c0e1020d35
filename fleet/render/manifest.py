"""What a report folder says of itself: its files, and what they were made from."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any, NamedTuple

MANIFEST = "manifest.json"
SCHEMA = "fleet-manifest/1"
_LARGEST = 1_000_000  # bytes


class Manifest(NamedTuple):
    """The content of ``manifest.json``."""

    files: dict[str, str]  # name -> SHA-256
    made_from: str = ""  # digest of all that decides what they say; "" not known
    command: str = ""  # that wrote them, such as "report"; "" not known


def read(folder: Path) -> Manifest | None:
    """Return what stands in a folder written here, or None for any other."""
    path = folder / MANIFEST
    try:
        if path.is_symlink() or not path.is_file():
            return None  # and no pipe, which would be waited for without end
        if path.stat().st_size > _LARGEST:
            return None
        found: Any = json.loads(path.read_bytes())
    except (FileNotFoundError, IsADirectoryError, ValueError, RecursionError):
        return None
    if not isinstance(found, dict) or found.get("schema") != SCHEMA:
        return None
    files = found.get("files")
    if not isinstance(files, dict):
        return None
    made_from, command = (
        told if isinstance(told, str) else ""
        for told in (found.get("made_from"), found.get("command"))
    )
    return Manifest(files, made_from, command)


def write(folder: Path, manifest: Manifest) -> Path:
    """Write the manifest of ``folder``; return its path."""
    path = folder / MANIFEST
    entry: dict[str, object] = {"schema": SCHEMA}
    for name in ("command", "made_from"):
        if told := getattr(manifest, name):
            entry[name] = told
    entry["files"] = manifest.files
    path.write_text(json.dumps(entry, indent=1) + "\n", "utf-8", newline="\n")
    return path


def unchanged(folder: Path, made_from: str) -> tuple[str, ...]:
    """Return the files of ``folder`` that would come out as they stand there.

    They were made from the same, and nobody has changed them since.
    """
    earlier = read(folder) if made_from else None
    if earlier is None or earlier.made_from != made_from:
        return ()
    return tuple(
        name
        for name, known in earlier.files.items()
        if (folder / name).is_file() and digest(folder / name) == known
    )


def digest(path: Path) -> str:
    """Return the SHA-256 of a file."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
