"""Ways of keeping a tank: nothing, the middle of the band every week, the sheets."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta

from fleet.pipeline import TankInput, judge
from fleet.read.table import language_of
from fleet.records import (
    Action,
    Book,
    CellAddress,
    Method,
    Reading,
    Result,
    Settings,
    ShelfItem,
    Tank,
    TankReport,
    Work,
)
from fleet.reference import Reference, load_reference
from tests.simulator.kits import KITS
from tests.simulator.trial import NUTRIENTS, Deed, Trial, feed_now, more_fish

WORDS = language_of(load_reference())
START = date(2025, 1, 6)
MIDDLE = {"nitrate": 10.0, "phosphate": 0.065}  # of 5 to 15 and 0.03 to 0.10 mg/L
# g of the ion a g of salt, from atomic masses (IUPAC abridged weights, Pure Appl.
# Chem. 94, 573-600, 2022): NaNO3 62.004 / 84.994, K2HPO4 94.970 / 174.174.
ION_SHARE = {"sodium-nitrate": 0.7295, "dipotassium-phosphate": 0.5453}
SALT = {"nitrate": "sodium nitrate", "phosphate": "dipotassium phosphate"}
PURITY = {"sodium-nitrate": 0.99, "dipotassium-phosphate": 0.98}
AT = CellAddress("trial", "Readings", 2, 1)
UNITS = {
    "nitrate": "mg/L NO3", "phosphate": "mg/L PO4", "ammonia": "mg/L NH3-N",
    "nitrite": "mg/L NO2", "salinity": "PSU", "temperature": "°C", "ph": "pH",
    "alkalinity": "dKH",
}  # fmt: skip


def nothing(trial: Trial) -> None:
    """Feed and change water as always; never act on a test."""


def middle_every_week(trial: Trial) -> None:
    """Dose what is missing to the middle of the band, at once, every week."""
    if trial.state.cycled_on is None:
        return
    seen = trial.visits[-1].results
    due = trial.due_doses.setdefault(trial.day, {})
    for name in NUTRIENTS:
        missing = MIDDLE[name] - seen[name][0]
        if missing > 0:
            due[name] = missing * trial.keeper.told_volume / trial.build.volume


@dataclass(slots=True)
class Sheets:
    """Do what the program's sheet says, on the days it says, and log it."""

    reference: Reference
    reports: list[tuple[int, TankReport]] = field(default_factory=list)
    fed_on: int = -99
    life_on: int = -99
    export_asked: int | None = None
    seeded: bool = False
    registers: set[str] = field(default_factory=set)  # on a second test today
    none_again: bool = False  # a second test today saw no ammonia

    def __call__(self, trial: Trial) -> None:
        """Judge the tank on all that was written down, and obey."""
        report = self.judge(trial)
        self.reports.append((trial.day, report))
        # A new sheet takes the place of the last one, doses under way included.
        trial.due_doses.clear()
        trial.due_changes.clear()
        self.registers.clear()
        self.none_again = False
        for action in report.plan.actions:
            self.obey(trial, action)
        days = [(day - START).days for _, day in report.plan.retests]
        soonest = min((day for day in days if day > trial.day), default=trial.day + 7)
        trial.next_visit = min(soonest, trial.day + 7)

    def judge(self, trial: Trial) -> TankReport:
        """Return the program's judgement of the tank as of today."""
        tank = _tank(trial)
        book = _book(tank, trial, self.reference)
        one = judge(book, self.reference, START + timedelta(trial.day))
        return one(TankInput(tank, book.readings, book.work))[0]

    def obey(self, trial: Trial, action: Action) -> None:
        """Do one action as a willing keeper would."""
        begin = max((action.when - START).days, trial.day)
        if action.kind == "dose" and action.per_day_g and action.days:
            self._dose(trial, action, begin)
        elif action.kind == "water change" and action.water_change_share:
            self._change(trial, action, begin)
        elif action.kind == "take out":
            self._take_out(trial, action.substance)
        elif action.kind == "hold off" and action.substance in trial.build.equipment:
            trial.build.eased.add(action.substance)
        elif action.kind == "feed":
            self._feed(trial, action)
        elif action.kind == "add life" and trial.day - self.life_on >= 14:
            self._add_life(trial)
        elif action.kind == "seed" and not self.seeded:
            self._seed(trial)
        elif action.id == "check-ammonia-again":
            self._ammonia_again(trial)
        elif action.id.startswith("check-zero-"):
            self._second_look(trial, action.parameter)
        elif action.id == "check-export":
            self._export(trial, action)
        elif action.kind == "retest":
            names = action.parameter or action.id.removeprefix("retest-")
            if "ammonia" in names:
                trial.finer.add("ammonia")
            if action.method_class and trial.keeper.can_borrow:
                trial.finer.add(action.parameter)

    def _dose(self, trial: Trial, action: Action, begin: int) -> None:
        assert action.days and action.per_day_g
        if action.parameter in self.registers:
            return
        if action.parameter not in NUTRIENTS:  # the measured addition of ammonia
            trial.state.ammonia += dict(action.expected)[action.parameter]
            return
        share = ION_SHARE[action.substance] * PURITY[action.substance]
        rise = action.per_day_g * share * 1000 / trial.build.volume
        for day in range(begin, begin + action.days):
            trial.due_doses.setdefault(day, {})[action.parameter] = rise

    def _change(self, trial: Trial, action: Action, begin: int) -> None:
        """Change water; two changes of one day leave what is left of what is left."""
        assert action.water_change_share
        if self.none_again and action.parameter == "free_ammonia":
            return
        left = 1 - trial.due_changes.get(begin, 0.0)
        trial.due_changes[begin] = 1 - left * (1 - action.water_change_share)

    def _ammonia_again(self, trial: Trial) -> None:
        """Test a trace once more, as was asked before any water is changed."""
        kit = trial.visits[-1].results["ammonia"][1]
        if kit is not None:
            self.none_again = kit.read(trial.state.ammonia, trial.keeper.rng) <= 0

    def _second_look(self, trial: Trial, name: str) -> None:
        """Test once more with the same kit, as was asked before the dose."""
        kit = trial.visits[-1].results[name][1]
        assert kit is not None
        true, nitrite = getattr(trial.state, name), trial.state.nitrite
        if kit.read(true, trial.keeper.rng, nitrite) > 0:
            self.registers.add(name)

    def _take_out(self, trial: Trial, name: str) -> None:
        if name not in trial.build.equipment:
            return
        trial.build.equipment.discard(name)
        work = "media out" if name == "phosphate media" else "equipment out"
        trial.deeds.append(Deed(trial.day, work, name))

    def _feed(self, trial: Trial, action: Action) -> None:
        if trial.stocked_on is None or trial.day - self.fed_on < 7:
            return
        step = float(dict(action.what.facts).get("step", 0.2))  # type: ignore[arg-type]
        if action.id == "feed-more":
            feed_now(trial, trial.build.feed * (1 + step))
        elif action.id == "feed-less":
            feed_now(trial, trial.build.feed * (1 - step))
        self.fed_on = trial.day

    def _add_life(self, trial: Trial) -> None:
        """Add one small fish, and its food."""
        if trial.state.cycled_on is None:
            return
        self.life_on = trial.day
        trial.stocked_on = trial.day if trial.stocked_on is None else trial.stocked_on
        more_fish(trial, 1)
        feed_now(trial, trial.build.feed + 0.15)

    def _seed(self, trial: Trial) -> None:
        """Add a cup of sand from a running tank: a tenth of a small filter."""
        self.seeded = True
        trial.state.cover = min(1.0, trial.state.cover + 0.02)
        trial.state.oxidisers += 0.05
        trial.state.nitrite_oxidisers += 0.05
        trial.deeds.append(Deed(trial.day, "seeding", "cup of sand"))

    def _export(self, trial: Trial, action: Action) -> None:
        """Put in the export whose time has come, a week after it was first asked."""
        if self.export_asked is None:
            self.export_asked = trial.day
        if trial.day - self.export_asked < 7:
            return
        name = "phosphate media" if action.parameter == "phosphate" else "refugium"
        if name in trial.build.equipment and name not in trial.build.eased:
            return
        trial.build.eased.discard(name)
        trial.build.equipment.add(name)
        if name == "phosphate media":  # a small portion
            trial.build.media_capacity = trial.build.volume
            trial.state.media_left = trial.build.volume
        work = "media in" if name == "phosphate media" else "equipment in"
        trial.deeds.append(Deed(trial.day, work, name))


# ------------------------------------------------- the keeper's notes as records


def _filled(trial: Trial) -> date:
    return START + timedelta(trial.day - trial.state.day)


def _tank(trial: Trial) -> Tank:
    keeper, build, state = trial.keeper, trial.build, trial.state
    stocked = trial.stocked_on is not None
    cycled = None
    if keeper.new and keeper.notes_cycle and state.cycled_on is not None:
        seen = state.cycled_on + 7  # noted at a visit after it was over
        if state.day >= seen:
            cycled = _filled(trial) + timedelta(seen)
    return Tank(
        keeper.name, keeper.name.casefold(), AT, volume_l=float(keeper.told_volume),
        livestock="mixed coral" if stocked else "none yet", rock=build.rock,
        rock_kg=float(build.rock_kg), filled_on=_filled(trial), cycled_on=cycled,
        equipment=tuple(sorted(build.equipment)), fish=trial.fish,
        feed_g_day=round(build.feed, 2), protein=build.protein,
    )  # fmt: skip


def _book(tank: Tank, trial: Trial, reference: Reference) -> Book:
    readings = tuple(
        Reading(
            tank.key,
            START + timedelta(visit.day),
            tuple(
                Result(name, f"{number:g}", "value", number, None, UNITS[name],
                       kit.name if kit else "", AT)
                for name, (number, kit) in visit.results.items()
            ),
            AT,
            looks=visit.looks,
            look_written=", ".join(visit.looks),
        )
        for visit in trial.visits
    )  # fmt: skip
    work = tuple(
        Work(START + timedelta(deed.day), tank.key, deed.work, AT, deed.substance,
             deed.amount, deed.unit, salt=WORDS.salts.of(deed.substance),
             equipment=WORDS.words.named("equipment", deed.substance))
        for deed in [*trial.deeds, *_doses(trial)]
    )  # fmt: skip
    methods = tuple(
        Method(kit.name, kit.measures, "card" if kit.steps else "meter", kit.lowest,
               kit.step, kit.accuracy or None, kit.share, kit.highest)
        for kit in KITS
    )  # fmt: skip
    settings = Settings(
        change_water=(
            ("nitrate", trial.build.change_nitrate),
            ("phosphate", trial.build.change_phosphate),
        ),
        default_methods=(
            ("nitrate", trial.keeper.nitrate_kit.name),
            ("phosphate", trial.keeper.phosphate_kit.name),
        ),
    )
    shelf = (
        ShelfItem("sodium-nitrate", "sodium nitrate", 0.99, 1000.0, None),
        ShelfItem("dipotassium-phosphate", "dipotassium phosphate", 0.98, 100.0, None),
    )
    return Book((tank,), readings, methods, work, (), shelf, settings, (), (), (), ())


def _doses(trial: Trial) -> list[Deed]:
    """Return the doses given, as grams of salt in the log."""
    logged = []
    for day, lived in enumerate(trial.past):
        for name, rise in lived.doses.items():
            key = SALT[name].replace(" ", "-")
            share = ION_SHARE[key] * PURITY[key]
            grams = rise * trial.build.volume / 1000 / share
            logged.append(Deed(day, "dose", SALT[name], round(grams, 3), "g"))
    return logged
