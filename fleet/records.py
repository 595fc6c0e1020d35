"""The frozen records that pass between stages; the project's glossary.

Kept units everywhere: mg/L of the ion (NO3, NO2, PO4; ammonia as total
NH3-N), L, g, degC, practical salinity, pH as read, meq/L, days. Shares are 0 to 1.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import groupby
from operator import attrgetter
from typing import Literal, NamedTuple

# ---------------------------------------------------------------- public words

Attention = Literal["today", "this week", "watch", "steady"]
VerdictWord = Literal["under", "within", "over", "cannot tell", "not judged"]
StageName = Literal["cycling", "just cycled", "ugly phase", "settling", "mature"]
ActionKind = Literal[
    "dose", "water change", "retest", "take out", "hold off", "add life", "seed",
    "feed", "wait", "check", "welfare", "log",
]  # fmt: skip

# Saltwater as the tank holds it, or water that moves its salinity down or up.
NewWater = Literal["like the tank", "purified", "stronger"]

ATTENTION_ORDER: tuple[Attention, ...] = ("today", "this week", "watch", "steady")
STAGE_ORDER: tuple[StageName, ...] = (
    "cycling", "just cycled", "ugly phase", "settling", "mature",
)  # fmt: skip


# ------------------------------------------------------------------- addresses


class CellAddress(NamedTuple):
    """Where in the input something stands; row and column count from 1."""

    file: str
    sheet: str
    row: int
    column: int

    @property
    def cell(self) -> str:
        """The address as a spreadsheet writes it, such as ``D14``."""
        letters, rest = "", self.column
        while rest > 0:
            rest, digit = divmod(rest - 1, 26)
            letters = chr(65 + digit) + letters
        return f"{letters}{self.row}" if self.row else letters


class Sentence(NamedTuple):
    """Words to be said: a macro in ``templates/`` and what to fill in.

    ``key`` is ``file.macro-name``, as in ``causes.rock-uptake``. Only
    ``render/wording.py`` turns it into text, so no sentence sits in code.
    """

    key: str
    facts: tuple[tuple[str, object], ...] = ()


def say(key: str, **facts: object) -> Sentence:
    """Return the sentence ``key`` with its facts (hashable values only)."""
    return Sentence(key, tuple(facts.items()))


# ------------------------------------------------------ what the workbook holds


@dataclass(frozen=True, slots=True)
class Tank:
    """One body of water: a tank, or several displays on one sump."""

    id: str  # as written
    key: str  # NFKC, casefolded, outer spaces off: what ids are compared by
    source: CellAddress
    volume_l: float | None = None
    name: str = ""
    place: str = ""
    keeper: str = ""
    group: str = ""
    notes: str = ""
    displays: tuple[str, ...] = ()  # named displays that share the water
    round_order: int | None = None
    livestock: str = ""  # one of parameters.toml [vocabulary] livestock; "" unknown
    rock: str = ""
    rock_kg: float | None = None
    filled_on: date | None = None
    cycled_on: date | None = None
    equipment: tuple[str, ...] = ()
    fish: int | None = None
    feed_g_day: float | None = None
    protein: float | None = None  # share of dry feed
    in_use: bool = True


class Result(NamedTuple):
    """One tested value as written: not yet in the kept unit, no method applied.

    A NamedTuple, as is Measurement: a report holds hundreds of thousands, and
    a frozen dataclass costs several times as much to make.
    """

    parameter: str  # key in parameters.toml
    written: str  # the writer's own characters
    form: Literal["value", "below", "above", "range", "about", "none seen"]
    number: float  # the value, the limit, or the low end of a range
    upper: float | None  # high end of a range
    unit: str  # unit key in parameters.toml: cell, else header, else default
    method: str  # as written in that row, "" if none
    source: CellAddress


@dataclass(frozen=True, slots=True)
class Reading:
    """One visit to one tank: a row of the Readings sheet."""

    tank: str  # Tank.key
    taken_on: date
    results: tuple[Result, ...]
    source: CellAddress
    taken_by: str = ""
    looks: tuple[str, ...] = ()  # known look words found
    look_written: str = ""
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Method:
    """What a test method can tell; from the Methods sheet or methods.toml."""

    name: str
    measures: str  # parameter key
    kind: str  # "card", "drops", "meter", "laboratory", "total" (ICP phosphorus)
    lowest: float | None  # smallest amount told from none, kept unit
    step: float | None  # smallest difference told, kept unit
    accuracy: float | None  # +/-, kept unit
    accuracy_share: float | None  # +/- as a share of the value
    highest: float | None
    assumed: bool = False  # a default, since the reading names no known method
    source: CellAddress | None = None
    class_key: str = ""  # key of the class in methods.toml
    unit: str = ""  # unit key its numbers are in; "" the kept unit


@dataclass(frozen=True, slots=True)
class Work:
    """One row of the Work sheet: what was done to a tank."""

    on: date
    tank: str  # Tank.key
    work: str  # vocabulary: dose, water change, media in, ...
    source: CellAddress
    substance: str = ""  # as written
    amount: float | None = None
    unit: str = ""  # "g", "mL", "L", "%" or "g/day"; any other as written
    done_by: str = ""
    notes: str = ""
    salt: str = ""  # key in salts.toml that the substance means
    equipment: str = ""  # word of parameters.toml [vocabulary] equipment it means


@dataclass(frozen=True, slots=True)
class Band:
    """Low and high for a parameter, with second limits where they exist."""

    parameter: str
    low: float | None
    high: float | None
    remark_low: float | None = None  # below: more than a remark
    remark_high: float | None = None  # tolerated up to here
    act_low: float | None = None
    act_high: float | None = None
    aim: float | None = None  # where a dose aims in this stage
    livestock: str = ""
    tank: str = ""  # Tank.key of a workbook row
    stage: str = ""
    basis: str = ""  # "common practice, no source", a citation, or "workbook"
    low_registers: bool = False  # low edge is "registers at all"
    written_at: CellAddress | None = None
    unit: str = ""  # unit key low and high are in; "" the kept unit


@dataclass(frozen=True, slots=True)
class ShelfItem:
    """One substance at hand to dose with."""

    substance: str  # key in salts.toml
    written: str
    purity: float  # share
    on_hand_g: float | None
    stock_g_per_l: float | None
    source: CellAddress | None = None


@dataclass(frozen=True, slots=True)
class Settings:
    """The Settings sheet, with house defaults where it is silent."""

    organisation: str = ""
    contact: str = ""
    logo: str = ""
    paper: str = "A4"
    units: str = "metric"
    round_days: int = 7
    change_water: tuple[tuple[str, float], ...] = ()  # parameter -> value
    default_methods: tuple[tuple[str, str], ...] = ()  # parameter -> method name
    largest_rise_day: tuple[tuple[str, float], ...] = ()  # parameter -> mg/L a day
    largest_water_change: float | None = None  # share; None: limits.toml
    chance_needed: float | None = None  # for a verdict; None: limits.toml
    ph_scale: str = "NBS"
    sg_reference: str = "25/25"
    alkalinity_unit: str = "dKH"  # shown unit


@dataclass(frozen=True, slots=True)
class Problem:
    """Something in the workbook that was not as it should be."""

    kind: str
    where: CellAddress
    value: str  # as written, "" if nothing
    message: str  # what was found and what to do, one line
    effect: Literal["row left out", "value left out", "read as", "note"]
    severity: Literal["error", "warning", "note"]


@dataclass(frozen=True, slots=True)
class SheetCount:
    """Rows of one sheet: every non-blank row is read or left out."""

    file: str
    sheet: str
    rows: int
    read: int
    left_out: int

    def plus(self, other: SheetCount) -> SheetCount:
        """Return the count of both together."""
        rows, read = self.rows + other.rows, self.read + other.read
        left_out = self.left_out + other.left_out
        return replace(self, rows=rows, read=read, left_out=left_out)


@dataclass(frozen=True, slots=True)
class ColumnUse:
    """How one column was understood, for ``fleet check``."""

    file: str
    sheet: str
    column: int
    header: str
    meaning: str  # "nitrate, mg/L", "not used"


@dataclass(frozen=True, slots=True)
class SourceFile:
    """One input file that was read, or could not be."""

    name: str
    sha256: str
    failed: str = ""  # the one line, if it could not be read


@dataclass(frozen=True, slots=True)
class Book:
    """All that was read from one set of workbooks."""

    tanks: tuple[Tank, ...]
    readings: tuple[Reading, ...]  # sorted by tank key, then date
    methods: tuple[Method, ...]
    work: tuple[Work, ...]
    bands: tuple[Band, ...]
    shelf: tuple[ShelfItem, ...]
    settings: Settings
    problems: tuple[Problem, ...]
    counts: tuple[SheetCount, ...]
    columns: tuple[ColumnUse, ...]
    sources: tuple[SourceFile, ...]


# -------------------------------------------------------------------- measured


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why a value is not believed, and what it would be if it was a slip."""

    # "impossible", "unit slip", "jump", "swapped", "differing", "future date"
    kind: str
    why: Sentence
    would_be: float | None = None  # kept unit


class Measurement(NamedTuple):
    """One result in the kept unit, with the ends its method leaves open."""

    parameter: str
    taken_on: date
    value: float | None  # best value; None where it only says "less/more than"
    low: float  # lowest true value the result allows
    high: float  # highest (math.inf when above the method's top)
    spread: float  # standard uncertainty; 0 where shape is "even"
    shape: Literal["normal", "even"]  # error round value, or even over low..high
    registers: bool | None  # the method saw something; None: it cannot tell
    written: str
    method: Method
    source: CellAddress
    upper_limit_only: bool = False  # e.g. colour nitrate read beside nitrite
    doubt: Doubt | None = None
    note: Sentence | None = None  # what had to be assumed to read it
    unit: str = ""  # unit key that it was written in


class Results(NamedTuple):
    """The results of one parameter, each tuple oldest first."""

    every: tuple[Measurement, ...]
    believed: tuple[Measurement, ...]  # not doubted
    own: tuple[Measurement, ...]  # believed, and of the parameter itself: no total


_NO_RESULTS = Results((), (), ())


@dataclass(frozen=True, slots=True)
class Measured:
    """All results of one tank in kept units, and what was met on the way."""

    measurements: tuple[Measurement, ...]  # by parameter, then date
    problems: tuple[Problem, ...]
    _series: dict[str, Results] = field(
        init=False, repr=False, compare=False, default_factory=dict
    )

    def __post_init__(self) -> None:
        """Sort the results by parameter once: every judgement asks for one."""
        for parameter, run in groupby(self.measurements, key=attrgetter("parameter")):
            every = *self.of(parameter).every, *run
            believed = tuple([m for m in every if m.doubt is None])
            own = tuple([m for m in believed if m.method.kind != "total"])
            self._series[parameter] = Results(every, believed, own)

    @property
    def parameters(self) -> Iterable[str]:
        """What was tested."""
        return self._series.keys()

    def of(self, parameter: str) -> Results:
        """Return the results of one parameter."""
        return self._series.get(parameter, _NO_RESULTS)


@dataclass(frozen=True, slots=True)
class Crossing:
    """When a trend reaches a band's edge."""

    bound: Literal["low", "high"]
    on: date
    earliest: date
    latest: date | None  # None: it may never


@dataclass(frozen=True, slots=True)
class Trend:
    """The tank's own drift of one parameter, logged work taken out."""

    per_week: float
    low: float  # 90 % interval
    high: float
    visits: int
    since: date
    corrected_for_work: bool = False


@dataclass(frozen=True, slots=True)
class Finding:
    """What can be said about one parameter of one tank."""

    parameter: str
    verdict: VerdictWord
    why: Sentence | None  # for "cannot tell", "not judged", a doubted or old value
    latest: Measurement | None  # newest believed result
    band: Band | None
    under: float  # chance
    within: float
    over: float
    age_days: int | None = None
    stale: bool = False
    previous: Measurement | None = None  # the believed result before
    trend: Trend | None = None
    crossing: Crossing | None = None
    better_method: str = ""  # class key in methods.toml that could tell
    doubted: tuple[Measurement, ...] = ()  # doubted results since the last believed
    flat_zero: bool = False  # reads nothing, by a method able to tell
    flat_zero_visits: int = 0  # in a row, up to now
    registered_before: bool = False  # an earlier visit saw something
    second_limit: Literal["", "low", "high"] = ""  # beyond the band's second limit
    heading: Trend | None = None  # its course, where the readings surely move
    # Believed and doubted, oldest first. Last: `render.needed` puts fewer in its place.
    history: tuple[Measurement, ...] = ()

    @property
    def against(self) -> tuple[Measurement, ...]:
        """Doubted results that count against the latest; one dated ahead does not."""
        return tuple(
            m for m in self.doubted if m.doubt and m.doubt.kind != "future date"
        )


@dataclass(frozen=True, slots=True)
class Stage:
    """How far a tank has come, how sure that is and why."""

    name: StageName
    sure: float
    because: tuple[Sentence, ...]
    missing: tuple[Sentence, ...] = ()
    days_since_filled: int | None = None
    days_since_cycled: int | None = None
    incident: bool = False  # ammonia or nitrite in an old tank: not a stage
    never_started: bool = False  # nothing shows that a cycle ever ran
    stalled: bool = False  # ammonia has not fallen for longer than usual
    films: bool = False  # ugly-phase looks in the last looks


@dataclass(frozen=True, slots=True)
class Cause:
    """One likely cause of low or high nutrients and its share."""

    cause: str  # contract.md word, such as "rock uptake"
    share: float
    because: tuple[Sentence, ...]
    side: Literal["low", "high"] = "low"
    parameter: str = ""  # "nitrate", "phosphate" or "" for both


class CauseList(NamedTuple):
    """The likely causes of what is too low, or too high, with their shares of it."""

    side: Literal["low", "high"]
    parameters: tuple[str, ...]
    causes: tuple[Cause, ...]  # largest first; shares sum to 1


@dataclass(frozen=True, slots=True)
class Budget:
    """What went in, out and missing for one nutrient, mg/L of the ion a week."""

    parameter: str  # "nitrate" or "phosphate"
    weeks: float
    input_mg_l_week: float | None  # from feed
    added_mg_l_week: float  # from doses
    removed_by_change_mg_l_week: float
    measured_mg_l_week: float | None  # change of the reading
    taken_up_mg_l_week: float | None  # the rest: uptake (+) or release (-)
    low: float | None
    high: float | None
    note: Sentence | None = None  # e.g. feed alone cannot raise the reading


@dataclass(frozen=True, slots=True)
class Effect:
    """What a piece of logged work was expected to do, and what was seen."""

    work: Work
    parameter: str
    expected_rise: float | None
    seen_rise: float | None
    seen_low: float | None
    seen_high: float | None
    kept_share: float | None
    kept_low: float | None = None
    kept_high: float | None = None
    verdict: Sentence | None = None
    seen_on: date | None = None


@dataclass(frozen=True, slots=True)
class Findings:
    """Everything assess says of one tank; all that plan may know."""

    tank: Tank
    as_of: date
    stage: Stage
    findings: tuple[Finding, ...]  # one a parameter, in parameters.toml order
    causes: tuple[Cause, ...]
    budgets: tuple[Budget, ...]
    effects: tuple[Effect, ...]
    ratio_n_to_p: float | None
    looks: tuple[str, ...]  # of the last visit that looked
    looks_before: tuple[str, ...]  # of the visit before that
    looked_on: date | None
    animals: bool | None  # any living animals; None: not known
    corals: bool | None
    last_visit: date | None
    last_tested: date | None
    nutrients_tested: date | None  # last day nitrate or phosphate was tested
    work: tuple[Work, ...]  # of this tank, oldest first
    missing: tuple[Sentence, ...] = ()  # facts that would have helped
    running: tuple[tuple[str, date | None], ...] = ()  # filters in use, since when
    taken_off: tuple[tuple[str, date], ...] = ()  # filters, last day logged as out
    uptake: tuple[tuple[str, float, float, float], ...] = ()  # parameter; best,
    # lowest and highest mg/L a day, by the last dose that a test looked at
    last_work: tuple[Sentence, ...] = ()  # whether it showed: few words, newest first

    def of(self, parameter: str) -> Finding | None:
        """Return the finding for ``parameter``, or None if there is none."""
        for finding in self.findings:
            if finding.parameter == parameter:
                return finding
        return None

    @property
    def cause_lists(self) -> tuple[CauseList, ...]:
        """The causes apart by side, as they are shown: no list holds opposites."""
        lists: list[CauseList] = []
        for side in dict.fromkeys(cause.side for cause in self.causes):
            mine = [cause for cause in self.causes if cause.side == side]
            whole = sum(cause.share for cause in mine)
            if whole <= 0:
                continue
            named = {cause.parameter for cause in mine}
            concerned = tuple(
                name for name in ("nitrate", "phosphate") if named & {name, ""}
            )
            shared = (replace(c, share=c.share / whole) for c in mine)
            causes = tuple(sorted(shared, key=lambda cause: -cause.share))
            lists.append(CauseList(side, concerned, causes))
        return tuple(lists)


# --------------------------------------------------------------------- planned


@dataclass(frozen=True, slots=True)
class DoseWorking:
    """The sum behind one dose, for ``fleet explain`` and the tests."""

    parameter: str
    volume_l: float
    from_value: float
    from_high: float  # upper end of what the reading allows
    aim: float
    ceiling: float  # band's top
    rise_day: float
    largest_rise_day: float
    ion_share: float  # g of the ion per g of pure salt
    purity: float
    uptake_day: float  # mg/L a day the tank takes, as measured; 0 if unknown


@dataclass(frozen=True, slots=True)
class Action:
    """One thing to do (or to leave) at one tank."""

    id: str
    kind: ActionKind
    rule: str  # the situation that asks for it
    what: Sentence
    why: Sentence
    when: date
    priority: int = 0  # 1 first; set by plan/order.py
    parameter: str = ""
    substance: str = ""  # key in salts.toml, or a thing to take out
    amount_g: float | None = None
    amount_ml: float | None = None
    stock_g_per_l: float | None = None
    days: int | None = None
    per_day_g: float | None = None
    per_day_ml: float | None = None
    expected: tuple[tuple[str, float], ...] = ()  # parameter -> rise, kept unit
    water_change_l: float | None = None  # each of ``days``
    water_change_share: float | None = None
    new_water: NewWater | None = None  # which water goes in
    new_water_salinity: float | None = None  # None: not known, or purified
    method_class: str = ""  # for a retest: class key in methods.toml
    until: date | None = None
    stop_if: Sentence | None = None
    cautions: tuple[Sentence, ...] = ()
    sources: tuple[str, ...] = ()
    working: DoseWorking | None = None
    stock: Sentence | None = None  # how to make the stock solution
    thinned_from: float | None = None  # g/L of the bottle that the stock is made from


@dataclass(frozen=True, slots=True)
class ScorePart:
    """One named part of a tank's score; the parts sum to the score."""

    what: str
    points: float
    because: Sentence


@dataclass(frozen=True, slots=True)
class Plan:
    """What is wanted at one tank, most urgent first."""

    attention: Attention
    score: int
    score_parts: tuple[ScorePart, ...]
    situations: tuple[str, ...]  # ids of situations.toml, leading one first
    headline: Sentence
    meaning: tuple[Sentence, ...]  # what it means, in plain words
    actions: tuple[Action, ...]
    leave_alone: tuple[Sentence, ...]  # what not to do
    retests: tuple[tuple[str, date], ...]  # parameter -> day


# -------------------------------------------------------------------- reported


@dataclass(frozen=True, slots=True)
class TankReport:
    """One tank, read, judged and planned."""

    tank: Tank
    findings: Findings
    plan: Plan


class Portion(NamedTuple):
    """What one tank gets from a bottle."""

    tank: str  # tank id
    day_ml: float
    days: int
    strength: float  # g/L of what is measured: the bottle's, or weaker if thinned


@dataclass(frozen=True, slots=True)
class Bottle:
    """One stock solution for the round."""

    strength: float  # g/L, salt as weighed
    weigh_g: float  # 0 where it stands on the shelf
    make: Sentence | None  # how; None where it stands on the shelf
    portions: tuple[Portion, ...]


@dataclass(frozen=True, slots=True)
class ShoppingLine:
    """One substance over all tanks: what is needed and what is there."""

    substance: str  # salts.toml key
    total_g: float
    on_hand_g: float | None
    per_tank: tuple[tuple[str, float], ...]  # tank id -> g
    bottles: tuple[Bottle, ...] = ()

    @property
    def weighed_g(self) -> float:
        """What leaves the packet: for the bottles to make, or the doses themselves."""
        made = [bottle.weigh_g for bottle in self.bottles]
        return sum(made) if any(made) else self.total_g


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture to print: 8-bit grey or RGB, on white, of bounded size."""

    png: bytes
    wide: int  # pixels
    high: int
    digest: str  # SHA-256 of the picture


@dataclass(frozen=True, slots=True)
class TankChange:
    """How one tank stands beside the last report."""

    tank: str
    word: Literal["new", "better", "worse", "same", "gone"]
    before: str  # attention then
    done: tuple[str, ...] = ()  # ids of actions asked for and logged since
    not_done: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Report:
    """A finished report: all that the renderers need."""

    as_of: date
    made_by: str
    settings: Settings
    sources: tuple[SourceFile, ...]
    tanks: tuple[TankReport, ...]  # worst first
    shopping: tuple[ShoppingLine, ...]
    problems: tuple[Problem, ...]
    counts: tuple[SheetCount, ...]
    since: date | None = None  # as_of of the earlier report compared with
    changes: tuple[TankChange, ...] = ()
    logo: Picture | None = None  # of the organisation


# ------------------------------------------------------------------- mentoring


@dataclass(frozen=True, slots=True)
class TankHistory:
    """One judged tank with all its visits: what its progress is read from."""

    report: TankReport
    readings: tuple[Reading, ...]  # oldest first


@dataclass(frozen=True, slots=True)
class MilestoneSeen:
    """Whether a tank has come to one milestone, and between which visits."""

    key: str  # milestones.toml
    on: date | None = None  # visit that first showed it; None: not seen yet
    week: int | None = None  # 1 is the first after filling; None: when is not known
    after: date | None = None  # last visit that could have shown it, and did not
    watched_from: date | None = None  # first visit that could have shown it
    watched_until: date | None = None  # last such visit
    noted: bool = False  # as the keeper noted it, not as the tests showed it


@dataclass(frozen=True, slots=True)
class StageSpan:
    """A stretch of days in one stage, as judged visit by visit."""

    stage: StageName
    since: date
    until: date


@dataclass(frozen=True, slots=True)
class BandVisit:
    """Whether nitrate and phosphate were both in band at one visit."""

    on: date
    week: int | None  # since filling
    in_band: bool | None  # None: tested, but it cannot be told


@dataclass(frozen=True, slots=True)
class Course:
    """One tank's way since it was filled."""

    tank: Tank
    week: int | None  # this week, since filling; None: the day is not noted
    rock: str  # kind to compare by: "new", "cured live", "mixed", "none", ""
    seeded: bool  # with living rock, sand or the like, in its first weeks
    spans: tuple[StageSpan, ...]
    milestones: tuple[MilestoneSeen, ...]  # in their usual order
    next: str  # key of the next milestone; "" none is left
    visits: tuple[BandVisit, ...]
    in_band_since: date | None = None  # of the run of visits up to now

    def of(self, key: str) -> MilestoneSeen:
        """Return the milestone ``key``."""
        return next(seen for seen in self.milestones if seen.key == key)


class UsualWeek(NamedTuple):
    """Share of tanks that had come to a milestone by the end of a week."""

    week: int
    share: float
    low: float  # 90 % limits
    high: float
    tanks: int  # of which it is known whether they had, by then


class WeekRange(NamedTuple):
    """By which week a share of tanks had come to a milestone, with its range."""

    week: int
    earliest: int
    latest: int | None  # None: the tanks so far cannot say


@dataclass(frozen=True, slots=True)
class Usual:
    """When tanks of one kind came to one milestone."""

    milestone: str
    rock: str  # "" every kind
    seeded: bool | None  # None: either
    tanks: int
    reached: int
    weeks: tuple[UsualWeek, ...]
    half: WeekRange | None  # None: not known from these tanks yet
    most: WeekRange | None


@dataclass(frozen=True, slots=True)
class Behind:
    """A milestone that a tank has not come to, though nearly all like it had."""

    milestone: str
    week: int  # until which it was seen without
    share: float  # of the other tanks that had come there by then
    usual: Usual  # of the other tanks


@dataclass(frozen=True, slots=True)
class Member:
    """One tank of a group: its report, its way, and what is usual for its kind."""

    report: TankReport
    course: Course
    usual: tuple[Usual, ...]  # of the closest kind with tanks enough
    behind: tuple[Behind, ...]
    eased_until: date | None = None  # may skip weekly tests until then
    silent_days: int | None = None  # since the last visit, where that is too long


@dataclass(frozen=True, slots=True)
class MentorVisit:
    """A tank the mentor should go to: why, and what to bring."""

    tank: Tank
    attention: Attention
    week: int | None
    why: tuple[Sentence, ...]
    bring: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class WeekCount:
    """A count out of a number, for one week."""

    week: int  # since filling, or number of the calendar week shown
    starts: date | None
    count: int
    of: int


@dataclass(frozen=True, slots=True)
class MethodUse:
    """How many tanks are tested with one method, and whether it can tell a zero."""

    parameter: str
    method: str  # as the workbook names it; "" none is named
    class_key: str
    tanks: int
    can_tell: bool


@dataclass(frozen=True, slots=True)
class PooledEffect:
    """What doses of one nutrient did over all tanks of a group."""

    parameter: str
    tanks: int  # whose doses could be held against a test before and after
    times: int
    shown: int  # times all of it showed, or more
    part: int
    nothing: int
    unclear: int  # the tests could not tell
    kept: float  # share of what was expected that showed: middle tank
    low: float  # 90 % range of the middle
    high: float


@dataclass(frozen=True, slots=True)
class Intake:
    """A group in numbers, for who answers for it; no tank is named."""

    stages: tuple[tuple[StageName, int], ...]
    attention: tuple[tuple[Attention, int], ...]
    received: tuple[WeekCount, ...]  # tanks that sent readings, by calendar week
    in_band: tuple[WeekCount, ...]  # both nutrients in band, by week since filling
    methods: tuple[MethodUse, ...]
    effects: tuple[PooledEffect, ...]
    doses: int  # noted for these tanks, whatever could be said of them


@dataclass(frozen=True, slots=True)
class GroupProgress:
    """One group: its tanks, and its numbers where it has tanks enough."""

    name: str
    members: tuple[Member, ...]
    intake: Intake | None  # None: too few tanks to count


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the tanks have come: all that the mentor's pages need."""

    as_of: date
    made_by: str
    settings: Settings
    sources: tuple[SourceFile, ...]
    groups: tuple[GroupProgress, ...]
    usual: tuple[Usual, ...]  # of every kind with tanks enough, all tanks read
    visits: tuple[MentorVisit, ...]  # of the groups shown, most needed first
    tanks: int  # that what is usual rests on
    names: bool = True  # False: keepers' names are left out


# -------------------------------------------------------------- many workbooks


@dataclass(frozen=True, slots=True)
class Shop:
    """One of many workbooks, and what came of its report."""

    name: str
    folder: str  # of its report, seen from that of all reports
    failed: str = ""  # the one line that says why there is none
    tanks: int = 0
    attention: tuple[int, ...] = ()  # tanks, in ATTENTION_ORDER
    left_out: int = 0  # rows and values
    newest: date | None = None  # day of the newest test
    has_page: bool = False
    notes: tuple[str, ...] = ()
    rows: bytes = b""  # all assessments, packed; see render/assessments.py
