"""Findings made by hand, as assess would hand them over, for the tests of plan."""

from dataclasses import replace
from datetime import date, timedelta

from fleet.assess.effects import uptake_of
from fleet.assess.equipment import running, taken_off
from fleet.plan.order import plan_tank
from fleet.read.table import language_of
from fleet.records import (
    Band,
    Cause,
    CellAddress,
    Crossing,
    Doubt,
    Effect,
    Finding,
    Findings,
    Measurement,
    Method,
    Settings,
    ShelfItem,
    Stage,
    Tank,
    Work,
    say,
)
from fleet.reference import load_reference

REFERENCE = load_reference()
WORDS = language_of(REFERENCE)
HOUSE = Settings()
TODAY = date(2025, 3, 3)  # a Monday
CELL = CellAddress("round.xlsx", "Readings", 14, 4)

SHELF = (
    ShelfItem("sodium-nitrate", "sodium nitrate", 0.99, 400.0, None),
    ShelfItem("dipotassium-phosphate", "K2HPO4", 0.98, 100.0, None),
    ShelfItem("ammonium-chloride", "NH4Cl", 0.99, 50.0, None),
)

# Typical of the class, as methods.toml has them.
FINE = {"nitrate": "nitrate-card", "phosphate": "phosphate-photometer"}
COARSE = {"nitrate": "nitrate-card", "phosphate": "phosphate-card"}
USUAL = {
    "ammonia": "ammonia-card", "nitrite": "nitrite-card",
    "salinity": "refractometer", "temperature": "thermometer",
    "ph": "ph-electrode", "alkalinity": "alkalinity-drops",
    "calcium": "calcium-drops", "magnesium": "magnesium-drops",
}  # fmt: skip


def ago(days: int) -> date:
    return TODAY - timedelta(days=days)


def ahead(days: int) -> date:
    return TODAY + timedelta(days=days)


def method(key: str) -> Method:
    known = REFERENCE.methods[key]
    return Method(
        key, known.measures, known.kind, known.lowest, known.step, known.accuracy,
        known.accuracy_share, known.highest, class_key=key,
    )  # fmt: skip


def band_of(parameter: str, livestock: str, stage: str) -> Band | None:
    for band in REFERENCE.bands:
        fits = band.livestock in ("", livestock) and band.stage in ("", stage)
        if band.parameter == parameter and fits:
            return band
    return None


def result(parameter, value=None, *, key="", days=0, low=None, high=None, **more):
    """One measurement; ``value`` None is a zero by the method ``key``."""
    used = method(key or FINE.get(parameter) or USUAL[parameter])
    if value is None:
        low, high, registers = 0.0, used.lowest if high is None else high, False
    else:
        half = (used.accuracy or 0) + (used.accuracy_share or 0) * value
        low = max(value - half, 0.0) if low is None else low
        high = value + half if high is None else high
        registers = True
    written = "0" if value is None else str(value)
    facts = {
        "parameter": parameter, "taken_on": ago(days), "value": value, "low": low,
        "high": high, "spread": 0.0, "shape": "even", "registers": registers,
        "written": written, "method": used, "source": CELL,
    }  # fmt: skip
    return Measurement(**(facts | more))


def finding(verdict, measured, band=None, **more):
    chances = {
        "under": (1.0, 0.0, 0.0), "within": (0.0, 1.0, 0.0), "over": (0.0, 0.0, 1.0),
        "cannot tell": (0.5, 0.5, 0.0), "not judged": (0.0, 0.0, 0.0),
    }[verdict]  # fmt: skip
    facts = {
        "parameter": measured.parameter,
        "verdict": verdict,
        "why": None,
        "latest": measured,
        "band": band,
        "under": chances[0],
        "within": chances[1],
        "over": chances[2],
        "age_days": (TODAY - measured.taken_on).days,
    }
    return Finding(**(facts | more))


class Made:
    """A tank in the making: each method adds a fact and gives it back."""

    def __init__(self, stage="mature", livestock="mixed coral", **tank):
        facts = {
            "id": "A1", "key": "a1", "source": CELL, "volume_l": 200.0,
            "livestock": livestock, "rock": "dry", "fish": 2, "feed_g_day": 0.5,
            "filled_on": ago(300),
        }  # fmt: skip
        self.tank = Tank(**(facts | tank))
        days = {"cycling": 15, "just cycled": 40, "ugly phase": 70, "settling": 130}
        films = stage == "ugly phase"
        self.stage = Stage(
            stage, 0.9, (), days_since_filled=days.get(stage, 400), films=films
        )
        self.facts = {}
        self.findings = {}
        self.shelf = SHELF
        self.house = HOUSE
        self.none_seen("ammonia")

    def band(self, parameter):
        return band_of(parameter, self.tank.livestock, self.stage.name)

    def put(self, found):
        self.findings[found.parameter] = found
        return self

    def without(self, *parameters):
        for parameter in parameters:
            self.findings.pop(parameter, None)
        return self

    def staged(self, **facts):
        self.stage = replace(self.stage, **facts)
        return self

    def noted(self, **facts):
        self.facts |= facts
        return self

    def looks(self, *words, days=0):
        return self.noted(looks=words, looked_on=ago(days))

    # ---- results

    def none_seen(self, parameter, days=0, **more):
        measured = result(parameter, days=days)
        band = self.band(parameter)
        return self.put(finding("within", measured, band, **more))

    def zero(self, *parameters, before=True, visits=1, days=0, **more):
        """Flat zero by a test that can tell."""
        for name in parameters:
            band = self.band(name)
            lowest = bool(band and (band.low or 0) > 0)
            verdict = "under" if lowest else "within"
            flat = {"flat_zero": True, "flat_zero_visits": visits}
            measured = result(name, key=FINE[name], days=days)
            flat["registered_before"] = before
            self.put(finding(verdict, measured, band, **(flat | more)))
        return self

    def blind(self, *parameters, **more):
        """A zero by a test that cannot tell it from enough."""
        for name in parameters:
            high = {"nitrate": 5.0, "phosphate": 0.08}[name]
            measured = result(name, key=COARSE[name], high=high)
            told = {"better_method": f"{name}-photometer"} | more
            self.put(finding("cannot tell", measured, self.band(name), **told))
        return self

    def reads(self, parameter, value, verdict="within", days=0, **more):
        measured = result(
            parameter, value, days=days, low=more.pop("low", None),
            high=more.pop("high", None), key=more.pop("key", ""),
        )  # fmt: skip
        return self.put(finding(verdict, measured, self.band(parameter), **more))

    def enough(self, *parameters):
        for name in parameters:
            self.reads(name, {"nitrate": 8.0, "phosphate": 0.06}[name])
        return self

    def doubted(self, parameter, value, would_be=None, kind="unit slip"):
        doubt = Doubt(kind, say("score.zero-again", visits=2), would_be)
        measured = result(parameter, value, doubt=doubt)
        before = result(parameter, 0.04, days=7)
        found = finding("not judged", before, self.band(parameter), doubted=(measured,))
        return self.put(found)

    def crossing(self, parameter, bound, days, value):
        measured = result(parameter, value)
        on = Crossing(bound, ahead(days), ahead(days - 1), ahead(days + 6))
        return self.put(finding("within", measured, self.band(parameter), crossing=on))

    # ---- work

    def worked(self, *rows):
        work = (*self.facts.get("work", ()), *rows)
        return self.noted(work=tuple(sorted(work, key=lambda w: w.on)))

    def dosed(self, parameter, expected, kept=None, days=4, seen_days=0, **more):
        substance = {"nitrate": "sodium nitrate", "phosphate": "K2HPO4"}[parameter]
        done = work("dose", days, substance, 1.0, "g")
        seen = None if kept is None else expected * kept
        effect = Effect(
            work=done,
            parameter=parameter,
            expected_rise=expected,
            seen_rise=seen,
            seen_low=seen,
            seen_high=seen,
            kept_share=kept,
            kept_low=kept,
            kept_high=more.pop("kept_high", kept),
            seen_on=None if kept is None else ago(seen_days),
        )
        effects = (*self.facts.get("effects", ()), effect)
        return self.worked(done).noted(effects=effects)

    def cause(self, name, share, side="low"):
        causes = (*self.facts.get("causes", ()), Cause(name, share, (), side))
        return self.noted(causes=causes)

    # ---- the result

    def made(self) -> Findings:
        order = list(REFERENCE.parameters)
        order.insert(3, "free_ammonia")
        found = sorted(self.findings.values(), key=lambda f: order.index(f.parameter))
        tested = [f.latest.taken_on for f in found if f.latest]
        nutrients = [
            f.latest.taken_on
            for f in found
            if f.latest and f.parameter in ("nitrate", "phosphate")
        ]
        animals = self.tank.livestock not in ("none yet", "")
        facts = {
            "tank": self.tank, "as_of": TODAY, "stage": self.stage,
            "findings": tuple(found), "causes": (), "budgets": (), "effects": (),
            "ratio_n_to_p": None, "looks": (), "looks_before": (), "looked_on": None,
            "animals": animals or None if not self.tank.livestock else animals,
            "corals": "coral" in self.tank.livestock,
            "last_visit": max(tested, default=None),
            "last_tested": max(tested, default=None),
            "nutrients_tested": max(nutrients, default=None), "work": (),
        }  # fmt: skip
        facts |= self.facts
        log, effects = facts["work"], facts["effects"]
        facts["running"] = tuple(running(self.tank, log, REFERENCE, TODAY).items())
        facts["taken_off"] = tuple(taken_off(log, TODAY).items())
        facts["uptake"] = uptake_of(effects, REFERENCE)
        return Findings(**facts)

    def plan(self):
        return plan_tank(self.made(), self.shelf, self.house, REFERENCE)


def kinds(plan):
    return [action.kind for action in plan.actions]


def ids(plan):
    return [action.id for action in plan.actions]


def action(plan, wanted):
    return next(a for a in plan.actions if a.id == wanted)


def work(kind, days=0, substance="", amount=None, unit=""):
    return Work(
        ago(days), "a1", kind, CELL, substance, amount, unit,
        salt=WORDS.salts.of(substance),
        equipment=WORDS.words.named("equipment", substance),
    )  # fmt: skip
