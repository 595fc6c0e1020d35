"""The stage of a tank, from whatever is known of it.

Each expected stage is what ``stages.toml`` and its sources ask for (common practice
bounded by Spotte 1979 and Hixon & Brostoff 1996, from memory), worked out by hand.
"""

from dataclasses import dataclass, field, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_tanks import AS_OF, ago, look, make_tank, measured, result, series, work

from fleet.assess.maturity import stage_of
from fleet.records import STAGE_ORDER, Doubt, Settings, say
from fleet.reference import load_reference
from fleet.render.wording import Wording

REFERENCE = load_reference()
WORDS = Wording(REFERENCE, Settings())
CLEAN_TWICE = (*series("ammonia", (14, 0), (7, 0)), *series("nitrite", (14, 0), (7, 0)))
CYCLE = series("ammonia", (30, 2), (23, 1), (16, 0), (9, 0), (2, 0))


@dataclass
class Row:
    """One tank and the stage a mentor would give it."""

    what: str
    stage: str
    tank: object
    tests: tuple = ()
    looks: tuple = ()
    log: tuple = ()
    also: dict = field(default_factory=dict)


ROWS = [
    Row("young, ammonia stands", "cycling", make_tank(20), series("ammonia", (1, 1.0))),
    Row(
        "young, only nitrite stands",
        "cycling",
        make_tank(35),
        (*series("ammonia", (1, 0)), *series("nitrite", (1, 1.0))),
    ),
    Row(
        "ammonia with animals in is a cycle all the same",
        "cycling",
        make_tank(20, fish=3),
        series("ammonia", (1, 0.5)),
        also={"never_started": False},
    ),
    Row("a week old, nothing tested, fed", "cycling", make_tank(7, fish=2)),
    Row(
        "ten days, one clean test, fish in",
        "cycling",
        make_tank(10, fish=2, rock="dry"),
        series("ammonia", (1, 0)),
    ),
    Row(
        "ten days on live rock, clean twice",
        "just cycled",
        make_tank(10, fish=2, rock="mixed"),
        series("ammonia", (8, 0), (1, 0)),
        also={"never_started": False},
    ),
    Row(
        "all zeros, no animals, nothing fed",
        "cycling",
        make_tank(40, rock="dry", livestock="none yet", fish=0),
        (*CLEAN_TWICE, *series("nitrate", (14, 0), (7, 0))),
        also={"never_started": True, "incident": False},
    ),
    Row(
        "all zeros, nothing known of animals",
        "cycling",
        make_tank(40, rock="dry"),
        (*CLEAN_TWICE, *series("nitrate", (14, 0), (7, 0))),
        also={"never_started": True},
    ),
    Row(
        "only nitrate tested, zero, no animals",
        "cycling",
        make_tank(40, livestock="none yet"),
        series("nitrate", (7, 0)),
        also={"never_started": True},
    ),
    Row(
        "zeros on cured rock with nothing fed: nothing shows that it works",
        "cycling",
        make_tank(25, rock="cured live", livestock="none yet"),
        (*CLEAN_TWICE, *series("nitrate", (7, 0))),
        also={"never_started": True},
    ),
    Row(
        "zeros on mixed rock, no animals, no feed",
        "cycling",
        make_tank(30, rock="mixed", livestock="none yet", fish=0, feed_g_day=0),
        (*CLEAN_TWICE, *series("nitrate", (7, 0)), *series("phosphate", (7, 0))),
        also={"never_started": True},
    ),
    Row(
        "zeros, and only the kind of livestock noted",
        "cycling",
        make_tank(30, rock="dry", livestock="mixed coral"),
        (*CLEAN_TWICE, *series("nitrate", (7, 0))),
        (look(0, "clear"),),
        also={"never_started": True},
    ),
    Row(
        "only nitrate tested, zero, and only the kind of livestock noted",
        "cycling",
        make_tank(30, rock="cured live", livestock="fish only"),
        series("nitrate", (7, 0)),
        also={"never_started": True},
    ),
    Row(
        "zeros, and corals that somebody looked at",
        "just cycled",
        make_tank(30, rock="dry", livestock="mixed coral"),
        (*CLEAN_TWICE, *series("nitrate", (7, 0))),
        (look(0, "good colour"),),
        also={"never_started": False},
    ),
    Row(
        "zeros on cured rock, fish in and fed",
        "just cycled",
        make_tank(25, rock="cured live", livestock="fish only", fish=2, feed_g_day=0.3),
        (*CLEAN_TWICE, *series("nitrate", (7, 0))),
        also={"never_started": False},
    ),
    Row(
        "zeros, but an ammonia addition was used up",
        "just cycled",
        make_tank(40, livestock="none yet"),
        series("ammonia", (3, 0)),
        log=(work(5, "dose", "ammonium chloride", 0.5, "g"),),
        also={"never_started": False, "days_since_cycled": 3},
    ),
    Row(
        "ammonia rose and fell in the tests",
        "just cycled",
        make_tank(35, fish=2),
        CYCLE,
        also={"days_since_cycled": 16},
    ),
    Row(
        "thirty days, ammonia and nitrite zero, nitrate there",
        "just cycled",
        make_tank(30),
        (*CLEAN_TWICE, *series("nitrate", (7, 10))),
        also={"days_since_cycled": None},
    ),
    Row(
        "cycled noted lately, no look taken",
        "just cycled",
        make_tank(45, cycled=12),
        also={"days_since_cycled": 12},
    ),
    Row(
        "cycled noted lately, date of filling unknown",
        "just cycled",
        make_tank(None, cycled=20),
        also={"days_since_filled": None},
    ),
    Row(
        "cycled noted lately, films are coming: ugly already",
        "ugly phase",
        make_tank(40, cycled=15),
        looks=(look(8, "clear"), look(1, "brown film")),
        also={"films": True},
    ),
    Row(
        "films at two weeks come too early to decide",
        "just cycled",
        make_tank(16, cycled=4),
        looks=(look(1, "brown film"),),
        also={"films": True},
    ),
    Row(
        "two weeks on cured live rock count double",
        "ugly phase",
        make_tank(16, cycled=4, rock="cured live"),
        looks=(look(1, "brown film"),),
    ),
    Row(
        "hair algae at four months",
        "ugly phase",
        make_tank(120, cycled=90, fish=4),
        looks=(look(8, "hair algae"), look(1, "hair algae", "green film")),
    ),
    Row(
        "films one look ago, clear now",
        "ugly phase",
        make_tank(70, cycled=40),
        looks=(look(8, "green film"), look(1, "clear")),
    ),
    Row(
        "films seen three months ago do not decide",
        "settling",
        make_tank(130, cycled=90),
        looks=(look(95, "brown film"), look(88, "brown film")),
        also={"films": False},
    ),
    Row(
        "films, neither date nor test",
        "ugly phase",
        make_tank(None),
        looks=(look(30, "clear"), look(1, "brown film")),
    ),
    Row(
        "four months, clear",
        "settling",
        make_tank(120, cycled=90),
        looks=(look(8, "clear"), look(1, "clear")),
    ),
    Row("four months, nothing else known", "settling", make_tank(120)),
    Row(
        "seven months, swings unknown, no coralline",
        "settling",
        make_tank(215),
        looks=(look(1, "clear"),),
    ),
    Row(
        "seven months with coralline",
        "mature",
        make_tank(215),
        looks=(look(1, "coralline"),),
    ),
    Row(
        "seven months with steady readings",
        "mature",
        make_tank(215),
        series("nitrate", (21, 10), (14, 10), (7, 10)),
    ),
    Row(
        "eight months, nitrate leaps about",
        "settling",
        make_tank(245),
        series("nitrate", (21, 5), (14, 40), (7, 10)),
    ),
    Row(
        "three years, hair algae: a pest, not the ugly phase",
        "mature",
        make_tank(1100),
        looks=(look(8, "hair algae"), look(1, "hair algae")),
        also={"films": True},
    ),
    Row(
        "ammonia spike in an old tank is an incident",
        "mature",
        make_tank(800, fish=5),
        series("ammonia", (14, 0), (1, 0.5)),
        also={"incident": True, "stalled": False},
    ),
    Row(
        "spike at four months, clean before",
        "settling",
        make_tank(125, fish=5),
        series("ammonia", (60, 0), (40, 0), (1, 0.5)),
        also={"incident": True},
    ),
    Row(
        "four months and never once clean: still its first cycle",
        "cycling",
        make_tank(110),
        series("ammonia", (60, 2), (30, 2), (1, 2)),
        also={"incident": False, "stalled": True},
    ),
    Row(
        "a trace of nitrite after a noted cycle",
        "just cycled",
        make_tank(55, cycled=20),
        (*series("ammonia", (1, 0)), *series("nitrite", (1, 0.5))),
        also={"incident": False},
    ),
    Row(
        "much nitrite after a noted cycle",
        "cycling",
        make_tank(55, cycled=20),
        (*series("ammonia", (1, 0)), *series("nitrite", (1, 2.0))),
    ),
    Row(
        "ammonia that does not fall",
        "cycling",
        make_tank(50),
        series("ammonia", (36, 2), (29, 2), (15, 2), (1, 2)),
        also={"stalled": True},
    ),
    Row(
        "ammonia that falls slowly is not stalled",
        "cycling",
        make_tank(50),
        series("ammonia", (36, 1), (29, 4), (15, 2), (1, 1)),
        also={"stalled": False},
    ),
    Row(
        "ammonia added again lately is not stalled",
        "cycling",
        make_tank(50),
        series("ammonia", (36, 2), (29, 2), (15, 2), (1, 2)),
        log=(work(3, "dose", "NH4Cl", 1, "g"),),
        also={"stalled": False},
    ),
    Row(
        "cold water takes half as long again",
        "cycling",
        make_tank(100),
        (*series("ammonia", (1, 1.0)), *series("temperature", (1, 14.0))),
    ),
    Row(
        "eight months and ammonia in every test is no first cycle",
        "settling",
        make_tank(250),
        series("ammonia", (14, 1), (1, 1)),
        also={"incident": True},
    ),
    Row(
        "green film beside coralline at seven months is an old tank's",
        "mature",
        make_tank(215),
        looks=(look(1, "coralline", "green film"),),
    ),
    Row(
        "a spike at three and a half months that passed ended no cycle",
        "settling",
        make_tank(125, fish=5),
        series("ammonia", (60, 0), (20, 1), (10, 0), (2, 0)),
        also={"incident": False, "days_since_cycled": None},
    ),
    Row(
        "steps of a colour card that overlap are no swing",
        "mature",
        make_tank(215),
        series("nitrate", (21, 5), (14, 10), (7, 5)),
    ),
    Row("a year old, nothing else known", "mature", make_tank(400)),
    Row(
        "a year old, new rock went in",
        "settling",
        make_tank(400),
        log=(work(20, "equipment in", "dry rock, 10 kg"),),
    ),
    Row(
        "no date, but readings for over a year",
        "mature",
        make_tank(None),
        looks=(look(500, "clear"), look(1, "clear")),
        also={"days_since_filled": None},
    ),
    Row(
        "no date, coralline and steady readings",
        "mature",
        make_tank(None),
        series("nitrate", (21, 10), (14, 10), (7, 10)),
        looks=(look(1, "coralline"),),
    ),
    Row("nothing known at all", "settling", make_tank(None)),
    Row("nothing known but that nothing lives in it", "cycling",
        make_tank(None, livestock="none yet")),
    Row("a date of filling that lies ahead", "settling",
        replace(make_tank(None), filled_on=ago(-10))),
    Row(
        "a doubted ammonia is not believed",
        "mature",
        make_tank(800),
        (result("ammonia", 1, 4.0, doubt=Doubt("jump", say("x.y"))),),
        also={"incident": False},
    ),
]  # fmt: skip


def judged(row: Row):
    return stage_of(row.tank, row.looks, measured(row.tests), row.log, REFERENCE, AS_OF)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.what)
def test_stage_is_the_one_a_mentor_would_give(row):
    stage = judged(row)
    assert stage.name == row.stage
    for name, value in row.also.items():
        assert getattr(stage, name) == value, name


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.what)
def test_every_stage_says_why_in_words(row):
    stage = judged(row)
    assert stage.because
    for sentence in (*stage.because, *stage.missing):
        text = WORDS.plain(sentence)
        assert text.endswith("."), text
        assert "  " not in text


def test_sureness_grows_with_the_facts_that_agree():
    by_age = stage_of(make_tank(120, cycled=90), (), measured(), (), REFERENCE, AS_OF)
    looked = stage_of(
        make_tank(120, cycled=90), (look(1, "clear"),), measured(), (), REFERENCE, AS_OF
    )
    tested = stage_of(
        make_tank(120, cycled=90),
        (look(1, "clear"),),
        measured(CLEAN_TWICE),
        (),
        REFERENCE,
        AS_OF,
    )
    assert by_age.sure < looked.sure < tested.sure
    assert tested.sure == REFERENCE.stage("sure-three")


def test_large_swings_take_from_the_sureness_of_an_old_tank():
    wild = series("nitrate", (21, 5), (14, 40), (7, 10))
    calm = series("nitrate", (21, 10), (14, 10), (7, 10))
    tank = make_tank(500)
    one = stage_of(tank, (), measured(wild), (), REFERENCE, AS_OF)
    other = stage_of(tank, (), measured(calm), (), REFERENCE, AS_OF)
    assert one.name == other.name == "mature"
    assert one.sure < other.sure


def test_what_was_missing_is_named():
    stage = stage_of(make_tank(None), (), measured(), (), REFERENCE, AS_OF)
    said = {sentence.key for sentence in stage.missing}
    assert said == {
        "stages.no-filled-date",
        "stages.no-ammonia-test",
        "stages.no-look",
        "stages.no-rock",
    }


def test_old_looks_are_asked_for_anew():
    looks = (look(95, "brown film"), look(88, "brown film"))
    stage = stage_of(make_tank(130), looks, measured(), (), REFERENCE, AS_OF)
    assert say("stages.old-look", on=ago(88)) in stage.missing


def test_the_spread_of_strings_is_called_unproven():
    looks = (look(1, "brown strings"),)
    stage = stage_of(make_tank(60, cycled=30), looks, measured(), (), REFERENCE, AS_OF)
    text = " ".join(WORDS.plain(s) for s in stage.because)
    assert "not proven" in text


def test_readings_of_later_days_are_not_used():
    tank = make_tank(800)
    late = (result("ammonia", -3, 2.0),)
    stage = stage_of(
        tank, (look(-3, "hair algae"),), measured(late), (), REFERENCE, AS_OF
    )
    assert stage.incident is False
    assert stage.films is False


# ------------------------------------------------------------------ any facts

DAYS = st.integers(-5, 900)
LOOKS = st.lists(
    st.builds(
        look,
        st.integers(-3, 400),
        st.sampled_from(list(REFERENCE.vocabulary["look"])),
    ),
    max_size=4,
)
TESTS = st.lists(
    st.builds(
        result,
        st.sampled_from(["ammonia", "nitrite", "nitrate", "phosphate"]),
        st.integers(-3, 400),
        st.floats(0, 8),
    ),
    max_size=8,
)
LOG = st.lists(
    st.builds(
        work,
        st.integers(-3, 400),
        st.sampled_from(list(REFERENCE.vocabulary["work"])),
        st.sampled_from(
            ["", "ammonium chloride", "GFO", "live rock", "sodium nitrate"]
        ),
        st.none() | st.floats(0, 20),
        st.sampled_from(["", "g", "mL", "%", "L", "g/day"]),
    ),
    max_size=4,
)
TANKS = st.builds(
    make_tank,
    st.none() | DAYS,
    cycled=st.none() | DAYS,
    rock=st.sampled_from(["", *REFERENCE.vocabulary["rock"]]),
    livestock=st.sampled_from(["", *REFERENCE.vocabulary["livestock"]]),
    fish=st.none() | st.integers(0, 30),
    feed_g_day=st.none() | st.floats(0, 10),
    volume_l=st.none() | st.floats(1, 5000),
)


@settings(max_examples=60)
@given(TANKS, LOOKS, TESTS, LOG)
def test_any_set_of_facts_has_a_stage(tank, looks, tests, log):
    looks.sort(key=lambda reading: reading.taken_on)
    log.sort(key=lambda done: done.on)
    stage = stage_of(tank, tuple(looks), measured(tests), tuple(log), REFERENCE, AS_OF)
    assert stage.name in STAGE_ORDER
    assert 0 < stage.sure <= 1
    assert stage.because
    for sentence in (*stage.because, *stage.missing):
        assert WORDS.plain(sentence)
    if stage.incident or stage.never_started:
        assert (stage.name != "cycling") == stage.incident
