"""Whose pages these are: logo, organisation and contact, in the upper margin.

A clip may hide them: nothing there is needed to do the work.
"""

from __future__ import annotations

from io import BytesIO

from fleet.records import Picture, Report
from fleet.render.pdf_page import MM, WIDTH, Document, Pixels

_HIGH, _WIDE = 9 * MM, 45 * MM  # of a logo, at most
_NAME, _CONTACT, _LEAD = 10.0, 9.0, 11.0
_GAP = 8.0


def put_letterhead(document: Document, report: Report) -> None:
    """Put the letterhead on every page of ``document``, if there is one."""
    settings, logo = report.settings, report.logo
    lines = [
        (document.type.raw(text, bold), size)
        for text, bold, size in (
            (settings.organisation, True, _NAME),
            (settings.contact, False, _CONTACT),
        )
        if text
    ]
    if not lines and logo is None:
        return
    drawing = document.drawing()
    high, x = _LEAD * len(lines), 0.0
    pictures = {}
    if logo is not None:
        wide, tall = printed_size(logo)
        pictures["logo"] = pixels_of(logo)
        high = max(high, tall)
        down = (high + tall) / 2
        drawing.ops.append(f"q {wide:.2f} 0 0 {tall:.2f} 0 {-down:.2f} cm /logo Do Q")
        x = wide + _GAP
    y = -(high - _LEAD * len(lines)) / 2 - 8.5
    for words, size in lines:
        drawing.line(x, y, document.type.cut(words, WIDTH - x, size), size)
        y -= _LEAD
    drawing.height = high
    document.letterhead(drawing, pictures)


def printed_size(logo: Picture) -> tuple[float, float]:
    """Return how wide and high a logo is printed, in points."""
    scale = min(_HIGH / logo.high, _WIDE / logo.wide)
    return logo.wide * scale, logo.high * scale


def pixels_of(logo: Picture) -> Pixels:
    """Return the rows of a picture."""
    from PIL import Image

    with Image.open(BytesIO(logo.png)) as image:
        return Pixels(image.size, image.tobytes())
