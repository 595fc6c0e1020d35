"""Reports as a shop would have them, made in code for the printed sheets' tests.

Ten invented tanks: seven ordinary situations and three that are hard on a page. No
stage made them, so the numbers hang together only as far as a sheet shows them.
"""

import math
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

from fleet.records import (
    ATTENTION_ORDER,
    Action,
    Bottle,
    Cause,
    CellAddress,
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
from fleet.records import Band as BandRow
from fleet.reference import load_reference
from fleet.render.wording import Wording

__all__ = ["ATTENTION_ORDER", "replace"]

AS_OF = date(2026, 2, 28)
REFERENCE = load_reference()
WORDS = Path(__file__).parent / "words"


def wording(**settings):
    return Wording(REFERENCE, Settings(**settings), WORDS)


def text(words):
    return say("trial.text", words=words)


def day(number):
    return AS_OF + timedelta(days=number)


def cell(sheet="Readings", row=2, column=4):
    return CellAddress("north-hall.xlsx", sheet, row, column)


# ------------------------------------------------------------------ measurements


def method(class_key):
    of = REFERENCE.methods[class_key]
    return Method(
        of.key, of.measures, of.kind, of.lowest, of.step, of.accuracy,
        of.accuracy_share, of.highest, class_key=class_key,
    )  # fmt: skip


def read(parameter, class_key, value, on, written="", doubt=None):
    """Return a result that registers, with the ends its class leaves open."""
    of = method(class_key)
    half = max(
        of.accuracy or 0.0, (of.accuracy_share or 0.0) * value, (of.step or 0.0) / 2
    )
    return Measurement(
        parameter, day(on), value, max(value - half, 0.0), value + half,
        half / 3**0.5, "normal", True, written or f"{value:g}", of, cell(),
        doubt=doubt,
    )  # fmt: skip


def nothing(parameter, class_key, on, written="0"):
    of = method(class_key)
    return Measurement(
        parameter, day(on), 0.0, 0.0, of.lowest, 0.0, "even", False, written, of,
        cell(),
    )  # fmt: skip


def above(parameter, class_key, limit, on):
    return Measurement(
        parameter, day(on), None, limit, math.inf, 0.0, "even", True, f">{limit:g}",
        method(class_key), cell(),
    )  # fmt: skip


def found(verdict, *history, low=None, high=None, previous=True, **facts):
    """Return a finding from its history, newest last."""
    believed = [measured for measured in history if measured.doubt is None]
    latest = believed[-1] if believed else None
    parameter = history[-1].parameter
    band = None
    if low is not None or high is not None:
        band = BandRow(parameter, low, high, basis="made up for a test")
    chances = {"under": (1.0, 0.0, 0.0), "within": (0.0, 1.0, 0.0),
               "over": (0.0, 0.0, 1.0)}.get(verdict, (0.4, 0.6, 0.0))  # fmt: skip
    facts.setdefault("why", None)
    return Finding(
        parameter, verdict, latest=latest, band=band, under=chances[0],
        within=chances[1], over=chances[2],
        age_days=(AS_OF - latest.taken_on).days if latest else None,
        previous=believed[-2] if previous and len(believed) > 1 else None,
        doubted=tuple(measured for measured in history if measured.doubt),
        history=history, **facts,
    )  # fmt: skip


def water(salinity=35.0, temperature=25.4, ph=8.1, alkalinity=2.9, on=-1):
    """Return findings of the four water values, all well."""
    return (
        found(
            "within",
            read("salinity", "refractometer", salinity + 0.5, on - 7),
            read("salinity", "refractometer", salinity, on, f"{salinity:g}"),
            low=33.0, high=36.0,
        ),
        found(
            "within", read("temperature", "thermometer", temperature, on),
            low=24.0, high=27.0,
        ),
        found(
            "within",
            read("ph", "ph-electrode", ph + 0.05, on - 7),
            read("ph", "ph-electrode", ph, on), low=7.9, high=8.5,
        ),
        found(
            "within",
            read("alkalinity", "alkalinity-drops", alkalinity, on, "8.1 dKH"),
            low=2.5, high=4.0,
        ),
    )  # fmt: skip


# ------------------------------------------------------------------------- tanks


def replace_measured(measured, **facts):
    return measured._replace(**facts)


def tank_of(id_, name, place, litres, livestock, **facts):
    return Tank(
        id=id_, key=id_.casefold(), source=cell("Tanks"), volume_l=litres,
        name=name, place=place, livestock=livestock, **facts,
    )  # fmt: skip


def findings_of(tank, stage, findings, **facts):
    whole = {
        "causes": (), "budgets": (), "effects": (), "ratio_n_to_p": None, "looks": (),
        "looks_before": (), "looked_on": None, "animals": True, "corals": True,
        "last_visit": day(-1), "last_tested": day(-1), "nutrients_tested": day(-1),
        "work": (),
    }  # fmt: skip
    return Findings(tank, AS_OF, stage, findings, **(whole | facts))


def plan_of(attention, score, headline, meaning, actions, leave=(), retests=()):
    return Plan(
        attention, score, (ScorePart("what was found", float(score), text("found")),),
        ("zero-in-ugly-phase",), headline if not isinstance(headline, str)
        else text(headline), tuple(text(words) for words in meaning), tuple(actions),
        tuple(text(words) for words in leave), tuple(retests),
    )  # fmt: skip


def action(id_, kind, what, why, when=0, **facts):
    return Action(
        id=id_, kind=kind, rule="zero-in-ugly-phase",
        what=text(what) if isinstance(what, str) else what, why=text(why),
        when=day(when), **facts,
    )  # fmt: skip


def stage_of(name, sure, filled, cycled):
    return Stage(
        name, sure, (text("Brown film was seen twice."),),
        days_since_filled=filled, days_since_cycled=cycled,
    )  # fmt: skip


def dose(id_, salt, parameter, ml, strength, days, rise, stop, caution, when=0):
    each = ml * strength / 1000
    name = salt.replace("-", " ")
    return action(
        id_, "dose",
        say("trial.dose", ml=ml, grams=each, strength=strength, salt=name, days=days),
        f"A modest {parameter} floor, so that the wanted growth is not starved now.",
        when, parameter=parameter, substance=salt, amount_ml=ml * days,
        amount_g=each * days, per_day_ml=ml, per_day_g=each, days=days,
        stock_g_per_l=strength, expected=((parameter, rise),),
        stop_if=say("trial.stop_over", parameter=parameter, value=stop),
        cautions=(say(f"trial.{caution}"),),
        stock=say("trial.stock", grams=strength / 4, strength=strength, salt=name),
    )  # fmt: skip


def ugly():
    """Nitrate registered earlier, is flat zero now, and films are coming."""
    tank = tank_of(
        "B-03", "Window cube", "Back wall, lower shelf", 240.0, "mixed coral",
        keeper="Imke", group="Spring intake", rock="dry", fish=2, round_order=3,
        filled_on=day(-63),
    )  # fmt: skip
    nitrate = [
        read("nitrate", "nitrate-card", 10, -50),
        read("nitrate", "nitrate-card", 5, -43),
        read("nitrate", "nitrate-card", 5, -36),
        read("nitrate", "nitrate-card", 2, -29),
        nothing("nitrate", "nitrate-card", -22),
        nothing("nitrate", "nitrate-card", -15),
        read("nitrate", "nitrate-card", 3, -8),
        nothing("nitrate", "nitrate-card", -1),
    ]
    phosphate = [
        read("phosphate", "phosphate-photometer", 0.12, -43),
        read("phosphate", "phosphate-photometer", 0.07, -29),
        read("phosphate", "phosphate-photometer", 0.04, -22),
        nothing("phosphate", "phosphate-photometer", -15),
        nothing("phosphate", "phosphate-photometer", -8),
        nothing("phosphate", "phosphate-photometer", -1, "0.00"),
    ]
    last = Work(
        day(-12), tank.key, "dose", cell("Work"), "sodium nitrate", 0.7, "g",
        salt="sodium-nitrate",
    )  # fmt: skip
    findings = (
        found("under", *nitrate, low=2.0, high=22.5, flat_zero=True,
              flat_zero_visits=1, registered_before=True),
        found("under", *phosphate, low=0.03, high=0.1, flat_zero=True,
              flat_zero_visits=3, registered_before=True),
        found("within", nothing("ammonia", "ammonia-card", -1), high=0.2),
        found("within", nothing("nitrite", "nitrite-card", -1), high=16.0),
        *water(),
    )  # fmt: skip
    causes = (
        Cause("rock uptake", 0.45, (text("Dry rock, 63 days in water."),)),
        Cause("living uptake", 0.35, (text("Brown film is growing over the rock."),)),
        Cause("light feeding", 0.2, (text("Two fish in 240 L."),)),
    )
    actions = (
        action("1", "take out", "Take the filter roller out of the flow.",
               "It strips what the young tank needs, until both tests register.",
               substance="filter roller", until=day(21),
               cautions=(say("trial.plugs"),)),
        dose("2", "sodium-nitrate", "nitrate", 17.3, 20.0, 3, 3.0, 10.0, "oxidiser"),
        dose("3", "dipotassium-phosphate", "phosphate", 6.5, 2.0, 2, 0.04, 0.1,
             "phosphate"),
        action("4", "feed", "Feed a second small portion of dry food each day.",
               "Two fish give a tank of this size too little to show on a test."),
        action("5", "retest", say("trial.retest", parameter="nitrate",
               method="nitrate-card", on=day(4)), "To see whether it stays.", 4,
               parameter="nitrate", method_class="nitrate-card"),
    )  # fmt: skip
    plan = plan_of(
        "this week", 62,
        "Nitrate and phosphate have gone flat zero while brown film is coming: raise "
        "both a little, slowly.",
        (
            "The tests can tell here: the water holds next to no nitrate or phosphate.",
            "Keepers find that this is when dinoflagellates and cyanobacteria take the "
            "room the wanted microbes leave; that link is experience, not proof.",
        ),
        actions,
        (
            "Do not scrub or siphon all the film away: thin it once a week at most.",
            "No phosphate media and no large water change before both tests register.",
        ),
        (("nitrate", day(4)), ("phosphate", day(4))),
    )  # fmt: skip
    return TankReport(
        tank,
        findings_of(
            tank, stage_of("ugly phase", 0.85, 63, 28), findings, causes=causes,
            effects=(Effect(last, "nitrate", 2.1, 0.7, 0.0, 3.0, 0.33,
                     verdict=say("trial.effect", expected=2.1, seen=0.7)),),
            last_work=(say("trial.effect", expected=2.1, seen=0.7),),
            work=(Work(day(-40), tank.key, "water change", cell("Work"), amount=10,
                       unit="%"), last),
        ),
        plan,
    )  # fmt: skip


def ammonia():
    """Ammonia registers with animals in the tank."""
    tank = tank_of("Q-1", "Arrivals", "Quarantine room", 90.0, "quarantine",
                   round_order=1, fish=4, keeper="Tomasz")  # fmt: skip
    findings = (
        found("not judged", nothing("nitrate", "nitrate-card", -0), low=2, high=40,
              why=text("not judged while the cycle runs.")),
        found("over", read("ammonia", "ammonia-card", 0.25, -7),
              read("ammonia", "ammonia-card", 1.0, 0), high=0.1),
        found("over", read("nitrite", "nitrite-card", 0.5, 0), high=16.4),
        *water(33.0, 26.5, 8.2, on=0),
    )  # fmt: skip
    actions = (
        action("1", "welfare", "Look at every fish now: fast breathing, gasping at the "
               "surface, clamped fins. If you see it, call a veterinarian.",
               "Free ammonia burns gills within hours."),
        action("2", "water change", say("trial.change_water", litres=45.0, share=0.5,
               salinity=33.0), "Halves the ammonia at once.",
               water_change_l=45.0, water_change_share=0.5,
               new_water="like the tank", new_water_salinity=33.0,
               expected=(("ammonia", -0.5),), cautions=(say("trial.plugs"),)),
        action("3", "hold off", "No food until tomorrow's test.",
               "Every gram fed turns to ammonia.", until=day(1)),
        action("4", "retest", say("trial.retest", parameter="ammonia",
               method="ammonia-card", on=day(1)), "It can climb back overnight.", 1,
               parameter="ammonia", method_class="ammonia-card"),
    )  # fmt: skip
    plan = plan_of(
        "today", 92, say("trial.free_ammonia", free=0.066, limit=0.035),
        ("The filter is not ready for four fish yet.",), actions,
        ("Nitrite at this level harms nobody in saltwater: no change for its sake.",),
        (("ammonia", day(1)), ("ph", day(1))),
    )  # fmt: skip
    return TankReport(
        tank, findings_of(tank, stage_of("cycling", 0.97, 12, None), findings,
                          last_tested=day(0)), plan,
    )  # fmt: skip


def steady():
    """Mature, all within: nothing to do but the next test."""
    tank = tank_of("D-12", "Long bench", "Front hall, window side", 450.0,
                   "soft coral", round_order=4, keeper="Imke")  # fmt: skip
    nitrate = [read("nitrate", "nitrate-card", value, on) for value, on in
               ((10, -85), (10, -71), (5, -57), (10, -43), (10, -29), (10, -15),
                (10, -1))]  # fmt: skip
    phosphate = [read("phosphate", "phosphate-photometer", value, on) for value, on in
                 ((0.06, -85), (0.08, -57), (0.07, -29), (0.06, -1))]  # fmt: skip
    findings = (
        found("within", *nitrate, low=2, high=20,
              trend=Trend(0.1, -0.4, 0.6, 7, day(-85))),
        found("within", *phosphate, low=0.03, high=0.15), *water(),
    )  # fmt: skip
    plan = plan_of(
        "steady", 4, "All is well: leave it as it is and keep the weekly test.",
        ("Everything measured lies where such a tank usually does well.",), (),
        ("Change nothing that works.",), (("nitrate", day(7)), ("phosphate", day(7))),
    )  # fmt: skip
    work = tuple(Work(day(on), tank.key, "water change", cell("Work"), amount=10,
                      unit="%") for on in (-80, -52, -24))  # fmt: skip
    return TankReport(tank, findings_of(tank, stage_of("mature", 0.99, 820, 780),
                                        findings, work=work), plan)  # fmt: skip


def cannot_tell():
    """Phosphate reads 0 by a test that cannot tell, and one value is a slip."""
    tank = tank_of("A-07", "Corner", "Front hall, left", 180.0, "mixed coral",
                   round_order=2, keeper="Noor")  # fmt: skip
    findings = (
        found("within", read("nitrate", "nitrate-card", 5, -8),
              read("nitrate", "nitrate-card", 10, -1), low=5, high=15),
        found("cannot tell", nothing("phosphate", "phosphate-card", -15),
              nothing("phosphate", "phosphate-card", -8),
              read("phosphate", "phosphate-card", 30, -1,
                   doubt=Doubt("unit slip", say("trial.slip", would=0.03), 0.03)),
              low=0.03, high=0.1, why=say("trial.cannot_tell", lowest=0.08),
              better_method="phosphate-photometer"),
        *water(),
    )  # fmt: skip
    plan = plan_of(
        "watch", 30, "Phosphate: cannot tell. Test again with a test that can.",
        ("Nitrate is where a mixed tank usually does well.",),
        (action("1", "retest", say("trial.retest", parameter="phosphate",
                method="phosphate-photometer", on=day(2)),
                "No dose and no media on a test that cannot tell.", 2,
                parameter="phosphate", method_class="phosphate-photometer"),),
        ("No phosphate dose before that test.",),
        (("phosphate", day(2)), ("nitrate", day(7))),
    )  # fmt: skip
    return TankReport(tank, findings_of(tank, stage_of("settling", 0.7, 190, 150),
                                        findings), plan)  # fmt: skip


def welfare():
    """Salinity far too low and fish gasping: ahead of every nutrient matter."""
    tank = tank_of("F-02", "Clown row", "Sales aisle 2", 320.0, "fish only",
                   round_order=5, keeper="Tomasz")  # fmt: skip
    findings = (
        found("over", read("nitrate", "nitrate-card", 50, -30),
              above("nitrate", "nitrate-card", 100, -1), low=2, high=40),
        found("under", read("salinity", "refractometer", 34, -8),
              read("salinity", "refractometer", 24, -1), low=28, high=36),
        *water()[1:],
    )  # fmt: skip
    actions = (
        action("1", "welfare", "Look at the fish: gasping was noted. Run an air stone "
               "now, and call a veterinarian if it goes on.",
               "Breathing comes before every number."),
        action("2", "check", "Check the salinity again with a second meter, set with a "
               "35 standard.", "A meter that has slipped reads like this too."),
        action("3", "water change", say("trial.change_water", litres=32.0, share=0.1,
               salinity=29.0), "Raises salinity by 0.5 a day and no faster.",
               water_change_l=32.0, water_change_share=0.1, days=6,
               new_water="stronger", new_water_salinity=29.0,
               until=day(5), expected=(("salinity", 3.0),),
               stop_if=text("fish lie on the bottom or lose balance."),
               cautions=(say("trial.plugs"),)),
    )  # fmt: skip
    plan = plan_of(
        "today", 96, "Salinity is far too low and fish are gasping: correct it slowly, "
        "from today.", ("Rain water or a top-up left running are the usual causes.",),
        actions, ("Leave nitrate for later: one thing at a time.",),
        (("salinity", day(1)),),
    )  # fmt: skip
    return TankReport(
        tank,
        findings_of(
            tank, stage_of("mature", 0.95, 600, 570), findings, looks=("fish gasping",)
        ),
        plan,
    )


def over():
    """Over the band in an established system that five displays share."""
    tank = tank_of(
        "S-01", "Show system", "Front hall, centre", 1200.0, "mixed coral",
        displays=("Reef arch", "Lagoon", "Soft garden", "Drop-off", "Mushroom shelf"),
        round_order=6, keeper="Noor",
    )  # fmt: skip
    nitrate = [read("nitrate", "nitrate-card", value, on) for value, on in
               ((15, -57), (20, -43), (25, -29), (30, -15), (35, -1))]  # fmt: skip
    phosphate = [read("phosphate", "phosphate-photometer", value, on) for value, on in
                 ((0.10, -57), (0.14, -29), (0.22, -1))]  # fmt: skip
    findings = (
        found("over", *nitrate, low=5, high=15,
              trend=Trend(2.4, 1.5, 3.3, 5, day(-57))),
        found("over", *phosphate, low=0.03, high=0.10), *water(),
        found("within", read("calcium", "calcium-drops", 430, -1), low=380, high=460),
        found("within", read("magnesium", "magnesium-drops", 1290, -1), low=1200,
              high=1400),
    )  # fmt: skip
    causes = (
        Cause(
            "heavy feeding", 0.6, (text("12 g of dry food a day in 1,200 L."),), "high"
        ),
        Cause("little export", 0.4, (text("No skimmer, no filter roller."),), "high"),
    )
    actions = (
        action("1", "water change", say("trial.change_water", litres=240.0, share=0.2,
               salinity=35.0), "Takes nitrate from about 35 to about 28 mg/L.", 0,
               water_change_l=240.0, water_change_share=0.2,
               new_water="like the tank", new_water_salinity=35.0,
               expected=(("nitrate", -6.8),), cautions=(say("trial.plugs"),)),
        action("2", "feed", "Feed 9 g of dry food a day, not 12 g.",
               "What goes in comes out as nitrate and phosphate."),
        action("3", "check", "Run the filter roller again.",
               "Now there is something for it to take.", 7),
    )  # fmt: skip
    plan = plan_of(
        "this week", 55, "Nitrate and phosphate are over the usual band and rising: "
        "change water and feed less.",
        ("More goes in than comes out, by about 2.4 mg/L of nitrate a week.",),
        actions, ("No phosphate media at full strength: it must not fall fast.",),
        (("nitrate", day(7)), ("phosphate", day(7))),
    )  # fmt: skip
    return TankReport(tank, findings_of(tank, stage_of("mature", 0.98, 900, 860),
                                        findings, causes=causes), plan)  # fmt: skip


def untested():
    """Never tested."""
    tank = tank_of("N-5", "New bench", "Back room", 60.0, "none yet", round_order=7)
    plan = plan_of(
        "watch", 28, "Nothing was ever tested here: test before anything else.", (),
        (action("1", "retest", "Test nitrate, phosphate, ammonia and salinity.",
                "Nothing is known of this tank."),),
        (), (("nitrate", day(0)), ("phosphate", day(0)), ("ammonia", day(0))),
    )  # fmt: skip
    return TankReport(
        tank, findings_of(tank, stage_of("cycling", 0.5, None, None), (),
                          last_visit=None, last_tested=None, nutrients_tested=None),
        plan,
    )  # fmt: skip


LONG = "Überlängenbecken & Söhne <b>nicht fett</b> " * 6


def long_names():
    """The longest of everything a workbook can hold."""
    of = ugly()
    tank = tank_of(
        "Tank-with-an-id-that-somebody-typed-as-a-whole-sentence-without-a-space-1234",
        LONG, LONG, 12345.6, "mixed coral", keeper=LONG, group=LONG,
        notes="Glass is chipped at the left. " * 400,
        displays=tuple(f"Display number {number}" for number in range(40)),
    )  # fmt: skip
    plan = plan_of("today", 80, LONG, (LONG,), of.plan.actions, (LONG,),
                   of.plan.retests)  # fmt: skip
    return TankReport(tank, findings_of(tank, of.findings.stage, of.findings.findings,
                                        causes=of.findings.causes), plan)  # fmt: skip


def many_actions():
    """Twelve things to do, several of them doses."""
    of = ugly()
    tank = tank_of("M-12", "Twelve steps", "Cellar", 240.0, "mixed coral")
    doses = [
        dose(f"d{number}", "sodium-nitrate", "nitrate", 10.5 + number, 20.0, number,
             1.0, 10.0, "oxidiser", number)
        for number in range(1, 5)
    ]  # fmt: skip
    others = [
        action(f"o{number}", "check", f"Check number {number}: look at the pumps and "
               f"the return flow, and note what you find.", "So that it is known.")
        for number in range(1, 9)
    ]  # fmt: skip
    plan = plan_of(
        "today",
        78,
        "Twelve things to do.",
        ("Much has slipped here.",),
        (*doses, *others),
        ("Leave the rest.",),
        of.plan.retests,
    )
    return TankReport(tank, findings_of(tank, of.findings.stage, of.findings.findings,
                                        causes=of.findings.causes), plan)  # fmt: skip


def foreign_script():
    """Names in scripts the font holds, and in some that it does not."""
    tank = tank_of(
        "珊瑚-9", "Ørsted Łódź Ñandú Ωμέγα Жемчуг", "水槽の棚 🐠 שלום عربي", 100.0,
        "mixed coral", keeper="Zoë", notes="µ ≤ → NO₃ PO₄ ½ ①",
    )  # fmt: skip
    plan = plan_of("steady", 2, "All is well.", ("Fine.",), (), (), ())
    return TankReport(tank, findings_of(tank, stage_of("mature", 0.9, 400, 380),
                                        water()), plan)  # fmt: skip


ORDINARY = (ammonia, welfare, ugly, over, cannot_tell, untested, steady)
HARD = (long_names, many_actions, foreign_script)


# 17.3 mL x 3 x 20 g/L is 1.038 g; 6.5 mL x 4 x 1 g/L is 0.026 g.
MADE_BOTTLE = Bottle(
    20.0, 5.0, text("To make the solution: dissolve 5 g and fill up to 250 mL."),
    (Portion("B-03", 17.3, 3, 20.0),),
)  # fmt: skip
ON_SHELF = Bottle(1.0, 0.0, None, (Portion("B-03", 6.5, 4, 1.0),))


def report_of(*tanks, **settings):
    """Return a report of ``tanks`` as given, worst first."""
    return Report(
        as_of=AS_OF,
        made_by="fleet 0.1.0",
        settings=Settings(organisation="North Hall (invented)", **settings),
        sources=(SourceFile("north-hall.xlsx", "0" * 64),),
        tanks=tanks,
        shopping=(
            ShoppingLine(
                "sodium-nitrate", 1.038, 0.5, (("B-03", 1.038),), (MADE_BOTTLE,)
            ),
            ShoppingLine(
                "dipotassium-phosphate", 0.026, 100.0, (("B-03", 0.026),), (ON_SHELF,)
            ),
        ),
        problems=(
            Problem("unit-unknown", cell(row=9), "5 ppn", "'ppn' is not a unit known "
                    "for nitrate. Write mg/L.", "value left out", "error"),
            Problem("limit-as-value", cell(row=12), "0.08", "Read as less than 0.08.",
                    "read as", "warning"),
        ),
        counts=(SheetCount("north-hall.xlsx", "Readings", 60, 59, 1),),
    )  # fmt: skip


def ordinary(**settings):
    return report_of(*(make() for make in ORDINARY), **settings)


def hard(**settings):
    return report_of(*(make() for make in HARD), **settings)
