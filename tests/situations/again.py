"""Other tests, salts and tanks than build.py's, to meet each situation again with.

Shares of the ion from IUPAC abridged standard atomic weights (Pure Appl. Chem. 94,
573-600, 2022): KNO3 is 61.33 % NO3, KH2PO4 69.79 % PO4, NH4HCO3 17.72 % N.
"""

from __future__ import annotations

from tests.situations.build import ago, judge, tank, visit

METER = ("bench meter", "nitrate", "mg/L", 0.2, 0.1, 0.3, 3, 150)
STRIPS = ("dip strips", "nitrate", "mg/L", 5, 5, None, None, 100)
FINE_P = ("fine phosphorus meter", "phosphate", "ug/L PO4-P", 4, 1, 5, None, 200)
USUAL_P = ("usual phosphate meter", "phosphate", "mg/L", 0.03, 0.01, 0.04, 4, 2.5)
CARD_P = ("phosphate tubes", "phosphate", "mg/L", 0.07, 0.07, None, None, 3)
KITS = (METER, STRIPS, FINE_P, USUAL_P, CARD_P)
SALTS = [
    {"Substance": "potassium nitrate", "Purity (%)": 98, "On hand (g)": 500},
    {"Substance": "monopotassium phosphate", "Purity (%)": 99, "On hand (g)": 100},
    {"Substance": "ammonium bicarbonate", "Purity (%)": 100, "On hand (g)": 100},
]
KNO3, KH2PO4, NH4HCO3 = 0.6133, 0.6979, 0.1772


def read(days, nitrate=None, phosphate=None, n=METER[0], p=USUAL_P[0], **more):
    """One visit by the tests of this file."""
    row = visit(days, nitrate, phosphate, **more)
    if nitrate is not None:
        row["Nitrate method"] = n
    if phosphate is not None:
        row["Phosphate method"] = p
    return row


def sheet_of(path, tanks, readings, **more):
    """Judge a book with these tests and salts."""
    more.setdefault("methods", KITS)
    more.setdefault("shelf", SALTS)
    return judge(path, tanks, readings, **more)


def grown(**facts):
    """Return a tank well past its first year."""
    whole = {"filled": ago(900), "rock": "cured live", "fish": 7, "feed": 2.0,
             "volume": 350, "rock_kg": 40}  # fmt: skip
    return tank(**(whole | facts))


def kinds(sheet):
    """The kinds of action on a sheet."""
    return set(sheet.kinds)


def says_nothing_of(sheet, *words):
    """Fail where a sheet says any of ``words``."""
    for word in words:
        assert word not in sheet.text, word
