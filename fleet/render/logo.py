"""The organisation's logo: a picture file beside the workbook, and nothing else.

The Settings sheet may come from anywhere, so what it names is held to the folder of
the workbook, to a size, and to two kinds of picture; it is drawn anew, so that no
byte of the file itself reaches a report.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from io import BytesIO
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

from fleet.records import Picture
from fleet.render.safe import for_terminal

MOST_BYTES = 2_000_000
MOST_PIXELS = 4_000  # a side, as it comes
_KINDS = ("PNG", "JPEG")
_BOX = (720, 240)  # pixels kept: 300 a printed inch and more


class Unusable(Exception):
    """Why a picture is left out."""


def load_logo(named: str, folders: Iterable[Path]) -> tuple[Picture | None, str]:
    """Return the picture that the Settings sheet names, or a note why there is none.

    Parameters
    ----------
    named
        As written: a file name, or a path inside the workbook's folder.
    folders
        Of the workbooks, in order; the first that has such a file counts.
    """
    if not named.strip():
        return None, ""
    try:
        return _picture(_found(named.strip(), folders)), ""
    except Unusable as err:
        return None, f"Logo '{for_terminal(named, 80)}' is left out: {err}"


def _found(named: str, folders: Iterable[Path]) -> Path:
    parts = PurePosixPath(named.replace("\\", "/"))
    outside = parts.is_absolute() or PureWindowsPath(named).drive or ".." in parts.parts
    if outside or ":" in named or "\0" in named:
        raise Unusable("name a picture file that lies beside the workbook.")
    for folder in folders:
        try:
            path = (folder / parts).resolve()
            if path.is_relative_to(folder.resolve()) and path.is_file():
                return path
        except (OSError, RuntimeError, ValueError):
            continue
    raise Unusable("there is no such file beside the workbook.")


def _picture(path: Path) -> Picture:
    from PIL import Image

    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as err:
        raise Unusable("it cannot be read.") from err
    if len(data) > MOST_BYTES:
        raise Unusable(f"it is larger than {MOST_BYTES // 1_000_000} MB.")
    try:
        with Image.open(BytesIO(data), formats=_KINDS) as image:
            if max(image.size) > MOST_PIXELS:
                raise Unusable(f"it has more than {MOST_PIXELS} pixels a side.")
            return _drawn(image)
    except Unusable:
        raise
    except Exception as err:  # a broken picture breaks the library in many ways
        raise Unusable("it is no PNG or JPEG picture that can be read.") from err


def _drawn(image: Any) -> Picture:
    """Return the picture small enough, on white, in 8 bits a colour."""
    from PIL import Image, ImageOps

    turned = ImageOps.exif_transpose(image).convert("RGBA")
    turned.thumbnail(_BOX)
    paper = Image.new("RGBA", turned.size, "white")
    flat = Image.alpha_composite(paper, turned).convert("RGB")
    red, green, blue = flat.split()
    if red.tobytes() == green.tobytes() == blue.tobytes():
        flat = flat.convert("L")
    out = BytesIO()
    flat.save(out, "PNG", optimize=True)
    png = out.getvalue()
    return Picture(png, *flat.size, hashlib.sha256(png).hexdigest())
