"""Read ``fleet/data/*.toml`` into frozen records; every entry names its source."""

from __future__ import annotations

import dataclasses
import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, TypeVar

from fleet.errors import DataTableError
from fleet.records import Band
from fleet.science.composition import formula_mass, mass_share
from fleet.science.dosing import largest_stock_strength

T = TypeVar("T")

_ION = {"nitrate": "NO3", "phosphate": "PO4", "ammonia": "N"}  # as each is kept
_HYDRATE_WATER = re.compile(r"\(H2O\)\d*$")


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit a parameter may be written in, and how to reach the kept unit."""

    key: str
    spellings: tuple[str, ...]
    factor: float | None = None  # kept = factor * written
    convert: str = ""  # or a key of the dict in normalise/units.py


@dataclass(frozen=True, slots=True)
class Parameter:
    """One tested quantity: how it is spelt, kept, shown and what is possible."""

    key: str
    kept: str  # kept unit as shown
    default_unit: str  # unit key where none is written
    spellings: tuple[str, ...]
    possible: tuple[float, float]  # outside: cannot be
    usual: tuple[float, float]  # outside: doubted if it came suddenly
    decimals: int  # shown
    units: tuple[Unit, ...]
    source: str
    slips: tuple[str, ...] = ()  # what to try on a doubted value, see slips.py
    nutrient: bool = False
    water: bool = False  # salinity, temperature, pH, alkalinity: welfare first


@dataclass(frozen=True, slots=True)
class MethodClass:
    """What a class of test method can tell (a class, never a make)."""

    key: str
    measures: str
    kind: str
    source: str
    lowest: float | None = None
    step: float | None = None
    accuracy: float | None = None
    accuracy_share: float | None = None
    highest: float | None = None
    default: bool = False  # taken where a reading names no method
    words: tuple[str, ...] = ()  # words in a method's name that mean this class
    units: tuple[str, ...] = ()  # unit keys that only this class reads in


@dataclass(frozen=True, slots=True)
class Limit:
    """One number a rule or guard rests on."""

    key: str
    value: float
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class Salt:
    """A dosing salt: what it is made of, raises, dissolves to and asks care of."""

    key: str
    formula: str
    spellings: tuple[str, ...]
    raises: str  # parameter key
    molar_mass: float  # g/mol
    ion_share: float  # g of the kept ion (NO3, PO4; NH3-N as N) per g
    saturated_share: float  # mass fraction of anhydrous salt at 20 degC
    anhydrous_share: float  # g anhydrous per g as weighed
    alkalinity_eq: float  # eq per mol, on dissolving
    cautions: tuple[str, ...]  # macro names in templates/cautions.xml.j2
    source: str
    nitrogen_share: float  # g N per g
    potassium_per_ion: float  # mg K per mg of the raised ion
    sodium_per_ion: float
    ammonia_bearing: bool = False
    dose: bool = True  # False: never asked for, only read in a log
    preferred: int = 9  # 1 is taken first where the shelf holds several

    @property
    def strongest_stock(self) -> float:
        """The strongest solution that stays clear in a cool bottle [g/L]."""
        return largest_stock_strength(self.saturated_share, self.anhydrous_share)


@dataclass(frozen=True, slots=True)
class Reference:
    """All domain tables."""

    parameters: dict[str, Parameter]
    vocabulary: dict[str, dict[str, tuple[str, ...]]]  # list -> word -> spellings
    methods: dict[str, MethodClass]
    bands: tuple[Band, ...]
    limits: dict[str, Limit]
    salts: dict[str, Salt]
    stages: dict[str, Limit]
    causes: dict[str, dict[str, Any]]
    situations: dict[str, dict[str, Any]]
    milestones: dict[str, dict[str, Any]]

    def limit(self, key: str) -> float:
        """Return the number ``key`` of limits.toml."""
        return self.limits[key].value

    def old_after(self, round_days: int) -> float:
        """Return the age [d] up to which a value is of this round, late or not."""
        return round_days + self.limit("round-late")

    def stage(self, key: str) -> float:
        """Return the number ``key`` of stages.toml."""
        return self.stages[key].value

    def milestone(self, key: str) -> float:
        """Return the number ``key`` of milestones.toml."""
        return float(self.milestones[key]["value"])


def _table(name: str) -> dict[str, Any]:
    text = (files("fleet") / "data" / name).read_text("utf-8")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as err:
        raise DataTableError(f"fleet/data/{name}: {err}") from err


def _make(cls: type[T], name: str, key: str, entry: dict[str, Any]) -> T:
    """Build ``cls`` from one entry; unknown or missing fields are an error."""
    fields = {f.name: f for f in dataclasses.fields(cls)}  # type: ignore[arg-type]
    unknown = sorted(set(entry) - set(fields))
    if unknown:
        raise DataTableError(f"fleet/data/{name} [{key}]: unknown field {unknown[0]}")
    if "source" in fields and not entry.get("source"):
        raise DataTableError(f"fleet/data/{name} [{key}]: no source")
    frozen = {k: tuple(v) if isinstance(v, list) else v for k, v in entry.items()}
    if "key" in fields:
        frozen["key"] = key
    try:
        return cls(**frozen)
    except TypeError as err:
        raise DataTableError(f"fleet/data/{name} [{key}]: {err}") from err


def _salt(key: str, entry: dict[str, Any]) -> Salt:
    """Build a salt; its formula says what it weighs and what comes along."""
    try:
        formula, ion = entry["formula"], _ION[entry["raises"]]
        dry = _HYDRATE_WATER.sub("", formula)
        worked_out = {
            "molar_mass": formula_mass(formula),
            "ion_share": mass_share(formula, ion),
            "anhydrous_share": formula_mass(dry) / formula_mass(formula),
            "nitrogen_share": mass_share(formula, "N"),
            "potassium_per_ion": mass_share(formula, "K") / mass_share(formula, ion),
            "sodium_per_ion": mass_share(formula, "Na") / mass_share(formula, ion),
        }
    except (KeyError, ValueError) as err:
        raise DataTableError(f"fleet/data/salts.toml [{key}]: {err}") from err
    if typed := sorted(set(entry) & set(worked_out)):
        raise DataTableError(
            f"fleet/data/salts.toml [{key}]: {typed[0]} follows from the formula"
        )
    return _make(Salt, "salts.toml", key, entry | worked_out)


def _entries(cls: type[T], name: str) -> dict[str, T]:
    return {key: _make(cls, name, key, entry) for key, entry in _table(name).items()}


def _parameters() -> tuple[dict[str, Parameter], dict[str, dict[str, tuple[str, ...]]]]:
    table = _table("parameters.toml")
    words = table.pop("vocabulary")
    vocabulary = {
        kind: {word: tuple(spellings) for word, spellings in entries.items()}
        for kind, entries in words.items()
    }
    parameters = {}
    for key, entry in table.items():
        units = tuple(
            _make(Unit, "parameters.toml", unit, fields)
            for unit, fields in entry.pop("units").items()
        )
        entry["units"] = units
        parameters[key] = _make(Parameter, "parameters.toml", key, entry)
    return parameters, vocabulary


def _bands() -> tuple[Band, ...]:
    bands = []
    for number, entry in enumerate(_table("bands.toml")["band"], start=1):
        if not entry.get("basis"):
            raise DataTableError(f"fleet/data/bands.toml, row {number}: no basis")
        entry.setdefault("low", None)
        entry.setdefault("high", None)
        bands.append(_make(Band, "bands.toml", f"row {number}", entry))
    return tuple(bands)


def _sourced(name: str) -> dict[str, dict[str, Any]]:
    table = _table(name)
    for key, entry in table.items():
        if not entry.get("source"):
            raise DataTableError(f"fleet/data/{name} [{key}]: no source")
    return table


@cache
def load_reference() -> Reference:
    """Return all domain tables, read once a process.

    Raises
    ------
    DataTableError
        A table has an unknown or missing field, or an entry without a source.
    """
    parameters, vocabulary = _parameters()
    return Reference(
        parameters=parameters,
        vocabulary=vocabulary,
        methods=_entries(MethodClass, "methods.toml"),
        bands=_bands(),
        limits=_entries(Limit, "limits.toml"),
        salts={key: _salt(key, of) for key, of in _table("salts.toml").items()},
        stages=_entries(Limit, "stages.toml"),
        causes=_sourced("causes.toml"),
        situations=_sourced("situations.toml"),
        milestones=_sourced("milestones.toml"),
    )
