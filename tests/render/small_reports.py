"""Reports in code for the renderers' tests; no stage but this made them.

Four invented tanks: a young one that reads nothing and is to be dosed, one whose
test cannot tell, one that is well, one never tested. ``foreign`` is put into every
field that a workbook can fill with text.
"""

import math
from datetime import date, timedelta
from pathlib import Path

from fleet.records import (
    Action,
    Band,
    Bottle,
    Budget,
    Cause,
    CellAddress,
    Crossing,
    Doubt,
    Effect,
    Finding,
    Findings,
    Measurement,
    Method,
    Plan,
    Portion,
    Problem,
    Report,
    ScorePart,
    Settings,
    SheetCount,
    ShoppingLine,
    SourceFile,
    Stage,
    Tank,
    TankReport,
    Trend,
    Work,
    say,
)
from fleet.reference import load_reference
from fleet.render.wording import Wording

AS_OF = date(2026, 3, 30)
REFERENCE = load_reference()
WORDS = Path(__file__).parent / "words"


def wording(**settings):
    return Wording(REFERENCE, Settings(**settings), WORDS)


def text(words):
    return say("sample.text", words=words)


def days(number):
    return AS_OF + timedelta(days=number)


def cell(row, column=4, foreign=""):
    return CellAddress(f"{foreign}shop.xlsx", f"{foreign}Readings", row, column)


def method(parameter, lowest, foreign=""):
    name = f"{foreign}{parameter} photometer"
    return Method(name, parameter, "meter", lowest, 0.01, None, 0.05, None)


def unseen(parameter, lowest, on, foreign="", doubt=None):
    return Measurement(
        parameter, on, 0.0, 0.0, lowest, 0.0, "even", False, f"0{foreign}",
        method(parameter, lowest, foreign), cell(2, foreign=foreign), doubt=doubt,
    )  # fmt: skip


def seen(parameter, value, on, foreign="", doubt=None):
    return Measurement(
        parameter, on, value, 0.9 * value, 1.1 * value, 0.05 * value, "normal", True,
        f"{value}{foreign}", method(parameter, 0.03, foreign),
        cell(3, foreign=foreign), doubt=doubt,
    )  # fmt: skip


def above(parameter, limit, on):
    return Measurement(
        parameter, on, None, limit, math.inf, 0.0, "even", True, f">{limit:g}",
        method(parameter, 1), cell(5),
    )  # fmt: skip


def tank(name, foreign="", **facts):
    return Tank(
        id=f"{name}{foreign}",
        key=f"{name}{foreign}".casefold(),
        source=CellAddress("shop.xlsx", "Tanks", 2, 1),
        name=f"{foreign}Tank {name}",
        place=f"{foreign}Front hall",
        keeper=f"{foreign}Noor",
        group=f"{foreign}Spring intake",
        notes=foreign,
        displays=(f"{foreign}left",),
        livestock="mixed coral",
        **facts,
    )


def plan(attention, score, actions=(), retests=(), foreign=""):
    return Plan(
        attention,
        score,
        (ScorePart("what was found", float(score), text(f"{foreign}because")),),
        ("zero-in-ugly-phase",),
        text(f"{foreign}The headline of a {attention} tank."),
        (text(f"{foreign}What it means."),),
        actions,
        (text(f"{foreign}Leave the rest alone."),),
        retests,
    )


def findings(of, stage, found=(), **more):
    facts = {
        "causes": (),
        "budgets": (),
        "effects": (),
        "ratio_n_to_p": None,
        "looks": ("brown film",),
        "looks_before": (),
        "looked_on": AS_OF,
        "animals": True,
        "corals": True,
        "last_visit": AS_OF,
        "last_tested": AS_OF,
        "nutrients_tested": AS_OF,
        "work": (),
    }
    return Findings(of, AS_OF, stage, tuple(found), **facts | more)


def starving(foreign=""):
    """A young tank that reads nothing, to be dosed over four days."""
    of = tank("A-1", foreign, volume_l=240.0, filled_on=days(-70))
    band = Band("nitrate", 0.25, 10.0, low_registers=True, basis="common practice")
    now = unseen("nitrate", 1.0, AS_OF, foreign)
    before = seen("nitrate", 4.0, days(-14), foreign)
    slip = seen(
        "phosphate", 30.0, AS_OF, foreign, Doubt("unit slip", text("ppb?"), 0.03)
    )
    history = (before, unseen("nitrate", 1.0, days(-7), foreign), now)
    nitrate = Finding(
        "nitrate", "under", None, now, band, 0.93004, 0.06996, 0.0, age_days=0,
        previous=before, history=history, flat_zero=True, flat_zero_visits=2,
        trend=Trend(-1.23456789, -2.0, -0.5, 3, days(-14)),
        crossing=Crossing("low", days(5), days(2), None), registered_before=True,
    )  # fmt: skip
    phosphate = Finding(
        "phosphate", "not judged", text(f"{foreign}Only a doubted result."), None,
        Band("phosphate", 0.03, 0.1), 0.0, 0.0, 0.0, doubted=(slip,), history=(slip,),
    )  # fmt: skip
    alkalinity = seen("alkalinity", 2.9, AS_OF, foreign)
    water = Finding(
        "alkalinity", "within", None, alkalinity, Band("alkalinity", 2.5, 3.9),
        0.0, 1.0, 0.0, age_days=0, history=(alkalinity,),
    )  # fmt: skip
    done = Work(
        days(-5), of.key, "dose", cell(9), f"{foreign}sodium nitrate", 1.5, "g",
        f"{foreign}Ana", foreign, salt="sodium-nitrate",
    )  # fmt: skip
    stage = Stage("ugly phase", 0.8, (text(f"{foreign}Brown film."),), (), 70, 30)
    found = findings(
        of, stage, (nitrate, phosphate, water),
        causes=(
            Cause("rock uptake", 0.7, (text(f"{foreign}Dry rock."),)),
            Cause("light feeding", 0.3, (text("Two fish."),)),
        ),
        budgets=(Budget("nitrate", 2.0, 3.1, 1.0, 0.2, -2.0, 5.9, 4.0, 7.5),),
        effects=(Effect(done, "nitrate", 4.56, 1.2, 0.1, 2.0, 0.26),),
        work=(done,),
    )  # fmt: skip
    actions = (
        Action(
            "hold-off-media", "hold off", "zero-in-ugly-phase",
            text("Leave media out."), text("It strips more."), AS_OF, priority=1,
        ),
        Action(
            "dose-nitrate", "dose", "zero-in-ugly-phase",
            say("sample.dose", grams=1.316001, tank=of.id),
            text(f"{foreign}Something must register."), AS_OF, priority=2,
            parameter="nitrate", substance="sodium-nitrate", amount_g=5.264004,
            amount_ml=131.6, stock_g_per_l=40.0, days=4, per_day_g=1.316001,
            per_day_ml=32.9, expected=(("nitrate", 4.0),),
            stop_if=text(f"{foreign}Stop when it registers."),
            cautions=(text("Keep dry."),), sources=("IUPAC 2022",),
        ),
        Action(
            "retest-nitrate", "retest", "zero-in-ugly-phase",
            text("Test nitrate again."), text("To see what stayed."), days(4),
            priority=3, parameter="nitrate", method_class="nitrate-photometer",
        ),
    )  # fmt: skip
    retests = (("nitrate", days(4)), ("phosphate", days(1)))
    return TankReport(of, found, plan("this week", 68, actions, retests, foreign))


def cannot_tell():
    """A tank whose phosphate test cannot tell none from enough; nitrate is high."""
    of = tank("B 2", volume_l=1000.0)
    zero = unseen("phosphate", 0.08, days(-1))
    high = above("nitrate", 75.0, days(-1))
    found = findings(
        of,
        Stage("settling", 0.6, ()),
        (
            Finding("nitrate", "over", None, high, Band("nitrate", 5, 15), 0, 0, 1, 1),
            Finding(
                "phosphate", "cannot tell", text("The test cannot tell."), zero,
                Band("phosphate", 0.03, 0.1), 0.4, 0.6, 0.0, 1, history=(zero,),
            ),
        ),
    )  # fmt: skip
    change = Action(
        "water-change", "water change", "over", text("Change 250 L, a quarter."),
        text("To bring nitrate down."), AS_OF, priority=1, water_change_l=250.0,
        water_change_share=0.25, expected=(("nitrate", -18.75),),
        new_water="like the tank", new_water_salinity=35.0,
    )  # fmt: skip
    return TankReport(of, found, plan("today", 80, (change,), (("nitrate", days(2)),)))


def well():
    """A mature tank that is well."""
    of = tank("C-3", volume_l=400.0)
    found = findings(
        of,
        Stage("mature", 0.99, (), (), 800, 760),
        (
            Finding(
                "nitrate", "within", None, seen("nitrate", 8.0, AS_OF),
                Band("nitrate", 5, 15), 0.01, 0.98, 0.01, 0,
            ),
            Finding(
                "phosphate", "within", None, seen("phosphate", 0.06, AS_OF),
                Band("phosphate", 0.03, 0.1), 0.02, 0.95, 0.03, 0,
            ),
        ),
        ratio_n_to_p=204.2,
    )  # fmt: skip
    return TankReport(of, found, plan("steady", 3, (), (("nitrate", days(7)),)))


def untested():
    """A tank nobody tested."""
    of = tank("D-4")
    found = findings(
        of, Stage("cycling", 0.5, ()), (), last_visit=None, last_tested=None,
        nutrients_tested=None, animals=None, corals=None, looks=(), looked_on=None,
    )  # fmt: skip
    return TankReport(of, found, plan("watch", 30))


def report(foreign="", times=1):
    """A report on the four tanks, worst first, or on many times that."""
    tanks = (cannot_tell(), starving(foreign), untested(), well()) * times
    return Report(
        as_of=AS_OF,
        made_by="fleet 0.0",
        settings=Settings(organisation=f"{foreign}Sea hall", contact=foreign),
        sources=(SourceFile(f"{foreign}shop.xlsx", "ab" * 32),),
        tanks=tanks,
        shopping=(
            ShoppingLine(
                "sodium-nitrate", 5.264004, 250.0, ((f"A-1{foreign}", 5.264),),
                (
                    Bottle(
                        40.0, 10.0, text(f"{foreign}Fill up to 250 mL."),
                        (Portion(f"A-1{foreign}", 32.9, 4, 40.0),),
                    ),
                ),
            ),
        ),
        problems=(
            Problem(
                "value-unreadable", cell(22, 3, foreign), f"five{foreign}",
                f"'five{foreign}' is not a value.", "value left out", "error",
            ),
        ),
        counts=(SheetCount(f"{foreign}shop.xlsx", "Readings", 40, 39, 1),),
    )  # fmt: skip
