"""Every line of check-values.csv, each with its own source, against the formulas.

The lines were gathered before the code was written, each from a publication, a
handbook or an independent library (columns source and provenance). QUANTITIES says
how each quantity is asked of the code, or why the code has no such quantity; one it
does not know fails.
"""

import csv
import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from fleet.reference import load_reference
from fleet.science import alkalinity as alk
from fleet.science import ammonia as nh
from fleet.science import concentration as conc
from fleet.science import dilution, dosing, feed, resolution, volume
from fleet.science import salinity as sal
from fleet.science.censored import censored_slope, vote_variance
from fleet.science.composition import formula_mass, mass_share, part_count
from fleet.science.survival import kaplan_meier

LINES = (Path(__file__).parents[1] / "data" / "check-values.csv").read_text("utf-8")
ROWS = list(csv.DictReader(LINES.splitlines()))
TABLES = load_reference()
FORMULA = {
    "sodium nitrate": "NaNO3",
    "potassium nitrate": "KNO3",
    "dipotassium phosphate": "K2HPO4",
    "ammonium bicarbonate": "NH4HCO3",
}
IPTS68 = 1.00024  # IPTS-68 over ITS-90, Saunders (1990), WOCE Newsletter 10

Inputs = dict[str, Any]


class NotNeeded(str):
    """Why the tool has no such quantity."""


def constant(value: float) -> Callable[[Inputs], float]:
    return lambda _: value


def ends(values: list[Any], lower: float = 0.0) -> tuple[list[float], list[float]]:
    """Read "<2" as from ``lower`` to 2, a number as exact."""
    nondetect = [isinstance(value, str) for value in values]
    limits = [float(str(value).lstrip("<")) for value in values]
    lows = [lower if nd else x for nd, x in zip(nondetect, limits, strict=True)]
    return lows, limits


def interval_ends(given: list[list[Any]]) -> tuple[list[float], list[float]]:
    return [low for low, _ in given], [
        math.inf if high is None else high for _, high in given
    ]


# --- one function for each quantity that is more than a single call


def ion_share(i: Inputs) -> float:
    return mass_share(i.get("formula") or FORMULA[i["salt"]], i["ion"])


def counted_share(i: Inputs) -> float:
    part = i.get("ion") or i["element"]
    assert part_count(i["formula"], part) == i["count"]
    return mass_share(i["formula"], part)


def grams(i: Inputs) -> float:
    share = ion_share(i)
    return dosing.grams_for_rise(i["rise_mg_l"], i["volume_l"], share, i["purity"])


def stock(i: Inputs) -> float:
    return dosing.millilitres_of_stock(grams(i), i["stock_g_per_l"])


def rise_from_stock(i: Inputs) -> float:
    salt = dosing.grams_in_stock(i["ml"], i["stock_g_per_l"])
    return dosing.rise_from_grams(salt, i["volume_l"], ion_share(i), i["purity"])


def other_ion(i: Inputs) -> float:
    per_ion = mass_share(i["formula"], i["other"]) / ion_share(i)
    return dosing.carried_along(i["rise_mg_l"], per_ion)


def nitrified(formula: str) -> float:
    return conc.nitrate_from_nitrogen(mass_share(formula, "N"))


def saturated_percent(i: Inputs) -> float:
    for salt in TABLES.salts.values():
        dry = salt.formula.partition("(H2O)")[0]
        if dry == i["formula"]:
            return 100 * salt.saturated_share
    raise AssertionError(f"no salt {i['formula']} in salts.toml")


def largest_stock(i: Inputs) -> float:
    return dosing.largest_stock_strength(i["mass_percent"] / 100)


def dkh_from_micromoles(i: Inputs) -> float:
    water = sal.density(i["salinity"], i["temperature_c"])
    return alk.dkh_from_meq(alk.meq_from_micromoles_per_kg(i["umol_kg"], water))


def alkalinity_change(i: Inputs) -> float:
    mass = formula_mass(i["species"])
    return alk.alkalinity_change(i["eq_per_mol"], i["mg_l"], mass)


def salinity_from_ratio(i: Inputs) -> float:
    if i["pressure_dbar"]:
        pytest.skip("the tool measures at the surface: no pressure term")
    return sal.salinity_from_ratio(i["ratio"], i["temperature_c68"] / IPTS68)


def density68(i: Inputs) -> float:
    if i.get("pressure_dbar"):
        pytest.skip("the tool measures at the surface: no pressure term")
    return sal.density(i["salinity"], i["temperature_c68"] / IPTS68)


def salinity_from_sg(i: Inputs) -> float:
    sample = i.get("sample_c", i.get("temperature_c"))
    water = i.get("water_c", i.get("temperature_c"))
    return sal.salinity_from_specific_gravity(i["sg"], sample, water)


def per_litre(i: Inputs) -> float:
    water = sal.density(i["salinity"], i["temperature_c"])
    return conc.per_litre_from_per_kg(i["mg_kg"], water)


def free_percent(i: Inputs, scale: nh.PhScale) -> float:
    ph = i.get("ph", i.get("ph_nbs", i.get("ph_total")))
    return 100 * nh.free_share(ph, i["temperature_c"], i["salinity"], scale)


def published_example(i: Inputs) -> float:
    """Clegg & Whitfield as published: per kg of water, total scale."""
    if i["scale"] == "free":
        pytest.skip("no workbook holds a pH on the free scale")
    pka = nh.pka_total(i["temperature_c"], i["salinity"])
    return 100 * nh.share_from_pka(i["ph"], pka)


def nbs_minus_total(i: Inputs) -> float:
    total = i["ph_total"]
    return nh.nbs_from_total(total, i["temperature_c"], i["salinity"]) - total


def free_percent_through_total(i: Inputs) -> float:
    """Clegg & Whitfield with the pH first brought from NBS to the total scale."""
    offset = nbs_minus_total(i | {"ph_total": i["ph"]})
    return free_percent(i | {"ph": i["ph"] - offset}, "total")


def rise_for_ph_error(i: Inputs) -> float:
    shifted = i | {"ph": i["ph"] + i["error"]}
    return 100 * (free_percent(shifted, "NBS") / free_percent(i, "NBS") - 1)


def tan(i: Inputs) -> float:
    factor = TABLES.limit("tan-per-protein")
    return feed.total_ammonia_from_feed(
        i["feed_g_day"], i["protein"], i["volume_l"], factor
    )


def nitrate_a_day(i: Inputs) -> float:
    factor = TABLES.limit("tan-per-protein")
    return feed.nitrate_from_feed(i["feed_g_day"], i["protein"], i["volume_l"], factor)


def box(i: Inputs) -> float:
    inside = volume.box_volume(
        i["length_cm"], i["width_cm"], i["water_height_cm"], i["glass_cm"]
    )
    rock = volume.displaced(i["rock_kg"], i["rock_density"])
    sand = volume.displaced(i["sand_kg"], i["sand_density"])
    return volume.net_volume(inside, rock, sand, i["sump_l"])


def litres(i: Inputs) -> float:
    read = {
        "US_liquid_gallon": volume.litres_from_us_gallons,
        "imperial_gallon": volume.litres_from_imperial_gallons,
    }.get(i["unit"])
    if read is None:
        pytest.skip(f"a workbook's volumes are litres or gallons, not {i['unit']}")
    return read(i["value"])


def slope(i: Inputs, lower: float = 0.0) -> float:
    found = censored_slope(i["days"], *ends(i["values"], lower))
    assert found is not None
    return found.per_day


def slope_limit(i: Inputs, which: str) -> float:
    return getattr(censored_slope(i["days"], *ends(i["values"])), which)


def kendall_variance(i: Inputs) -> float:
    return vote_variance(list(zip(i["days"], *ends(i["values"]), strict=True)))


def still_waiting(i: Inputs) -> float:
    steps = kaplan_meier(i["weeks"], [bool(yes) for yes in i["reached"]])
    return [step.waiting for step in steps if step.time <= i["at"]][-1]


def normal(i: Inputs, which: str, cut: float | None = None) -> float:
    low, high = i["band"]
    chance = resolution.chance_from_normal(
        i["value"], i["standard_uncertainty"], low, high, cut
    )
    return getattr(chance, which)


def uniform(i: Inputs, which: str) -> float:
    if "half_width" in i:
        low, high = i["value"] - i["half_width"], i["value"] + i["half_width"]
    else:
        low, high = i["low"], i["high"]
    return getattr(resolution.chance_from_interval(low, high, *i["band"]), which)


NO_GUARD_BAND = NotNeeded(
    "verdicts compare the chance itself with the chance needed; no guard band is drawn"
)
NO_TREND_TEST = NotNeeded("a trend is judged by its 90 % limits, no test is shown")
NO_MEAN = NotNeeded(
    "a verdict rests on the newest result: no mean or spread of visits is shown"
)
NO_TEOS = NotNeeded("density is EOS-80; TEOS-10 differs by 0.006 kg/m3 at most")
NO_PER_WATER = NotNeeded("a stock is made up to a litre: the cap is per litre")

QUANTITIES: dict[tuple[str, str], Callable[[Inputs], float] | NotNeeded] = {
    ("concentration", "mass factor NO3 per NO3-N"): constant(
        conc.nitrate_from_nitrogen(1)
    ),
    ("concentration", "mass factor NO2 per NO2-N"): constant(
        conc.nitrite_from_nitrogen(1)
    ),
    ("concentration", "mass factor NH3 per NH3-N"): constant(
        conc.ammonia_from_nitrogen(1)
    ),
    ("concentration", "mass factor NH4 per NH4-N"): constant(
        conc.ammonium_from_nitrogen(1)
    ),
    ("concentration", "mass factor PO4 per PO4-P"): constant(
        conc.phosphate_from_phosphorus(1)
    ),
    ("concentration", "NO3 from NO3-N"): lambda i: conc.nitrate_from_nitrogen(
        i["no3_n_mg_l"]
    ),
    ("concentration", "PO4 from P in µg/L"): lambda i: conc.phosphate_from_phosphorus(
        i["p_ug_l"] / 1000
    ),
    ("concentration", "NO3 from µmol/L"): lambda i: conc.mass_from_amount(
        i["umol_l"], conc.NITRATE
    ),
    ("concentration", "PO4 from µmol/L"): lambda i: conc.mass_from_amount(
        i["umol_l"], conc.PHOSPHATE
    ),
    ("concentration", "molar N:P from NO3 and PO4"): lambda i: conc.molar_ratio(
        i["no3_mg_l"], i["po4_mg_l"]
    ),
    ("dosing", "share of ion by mass"): ion_share,
    ("dosing", "grams for a rise"): grams,
    ("dosing", "mL of stock for a rise"): stock,
    (
        "dosing",
        "potassium added with 1 mg/L NO3 as potassium nitrate",
    ): lambda _: other_ion(
        {"formula": "KNO3", "ion": "NO3", "other": "K", "rise_mg_l": 1}
    ),
    (
        "dosing",
        "NO3 after full nitrification of 1 g ammonium bicarbonate in 100 L",
    ): lambda _: dosing.rise_from_grams(1, 100, nitrified("NH4HCO3")),
    ("dosing", "solubility in water at 25 °C, upper limit"): NotNeeded(
        "salts.toml holds saturation at 20 °C, the cooler bottle"
    ),
    ("alkalinity", "dKH per meq/L"): constant(alk.dkh_from_meq(1)),
    ("alkalinity", "mg/L CaCO3 per meq/L"): constant(alk.calcium_carbonate_from_meq(1)),
    ("alkalinity", "meq/L from dKH"): lambda i: alk.meq_from_dkh(i["dkh"]),
    ("alkalinity", "alkalinity used by nitrifying 1 mg/L N"): lambda _: (
        -alk.alkalinity_change(alk.AMMONIUM_TO_NITRATE, 1, conc.NITROGEN)
    ),
    (
        "salinity",
        "practical salinity from conductivity ratio (IPTS-68)",
    ): salinity_from_ratio,
    ("salinity", "density at one atmosphere (EOS-80, IPTS-68)"): density68,
    (
        "salinity",
        "practical salinity from conductivity",
    ): lambda i: sal.salinity_from_conductivity(
        i["conductivity_ms_cm"], i["temperature_c"]
    ),
    (
        "salinity",
        "practical salinity from specific gravity, "
        "sample and reference at the same temperature",
    ): salinity_from_sg,
    (
        "ammonia",
        "free share of total ammonia, pH on the total scale",
    ): lambda i: free_percent(i, "total"),
    (
        "ammonia",
        "free share of total ammonia, pH on the NBS scale (hobby meters)",
    ): lambda i: free_percent(i, "NBS"),
    ("ammonia", "free share, table for seawater of salinity 34"): lambda i: (
        free_percent(i, "NBS")
    ),
    ("ammonia", "saltwater criterion, four-day mean, un-ionised"): lambda _: (
        TABLES.limit("free-ammonia-chronic")
    ),
    ("ammonia", "saltwater criterion, one-hour mean, un-ionised"): lambda _: (
        TABLES.limit("free-ammonia-acute")
    ),
    ("dilution", "share to change in one go"): lambda i: dilution.dilution_fraction(
        i["now"], i["goal"], i["source"]
    ),
    ("dilution", "after repeated changes"): lambda i: dilution.after_changes(
        i["now"], i["share"], i["source"], i["times"]
    ),
    (
        "dilution",
        "after continuous exchange",
    ): lambda i: dilution.after_continuous_exchange(
        i["now"], i["exchanged_over_volume"], i["source"]
    ),
    ("volume", "litres per US gallon"): constant(volume.LITRES_PER_US_GALLON),
    ("volume", "litres per imperial gallon"): constant(
        volume.LITRES_PER_IMPERIAL_GALLON
    ),
    ("feed", "total ammonia nitrogen a day"): tan,
    ("feed", "nitrate rise a day if all is nitrified"): nitrate_a_day,
    ("censored", "mean by regression on order statistics"): NO_MEAN,
    ("censored", "standard deviation by regression on order statistics"): NO_MEAN,
    ("censored", "lognormal maximum likelihood, mean of logs"): NO_MEAN,
    ("censored", "lognormal maximum likelihood, mean"): NO_MEAN,
    ("censored", "Theil-Sen slope, nothing censored"): slope,
    ("decision", "chance under, normal error"): lambda i: normal(i, "under"),
    ("decision", "chance within, normal error"): lambda i: normal(i, "within"),
    (
        "decision",
        "chance under when all of an interval is equally likely",
    ): lambda i: uniform(i, "under"),
    ("decision", "guard band for 95 % one-sided, normal"): NO_GUARD_BAND,
    ("milestones", "Kaplan-Meier survival at"): still_waiting,
    ("mass", "molar mass"): lambda i: formula_mass(i["formula"]),
    ("mass", "mass ratio of ion to element"): lambda i: (
        1 / mass_share(i["ion"], i["element"])
    ),
    ("mass", "mg of ion per g of salt"): lambda i: 1000 * counted_share(i),
    ("mass", "mg of element per g of salt"): lambda i: 1000 * counted_share(i),
    ("mass", "mg NO3 per g of ammonium salt after full nitrification"): lambda i: (
        1000 * nitrified(i["formula"])
    ),
    ("mass", "mg/L from µmol/L"): lambda i: conc.mass_from_amount(
        i["umol_l"], formula_mass(i["ion"])
    ),
    ("mass", "µmol/L from mg/L"): lambda i: conc.amount_from_mass(
        i["mg_l"], formula_mass(i["ion"])
    ),
    ("mass", "mg/L PO4 from µg/L P"): lambda i: conc.phosphate_from_phosphorus(
        i["p_ug_l"] / 1000
    ),
    ("mass", "µg/L P from mg/L PO4"): lambda i: (
        1000 * conc.phosphorus_from_phosphate(i["po4_mg_l"])
    ),
    ("mass", "mg/L NO3 from mg/L NO3-N"): lambda i: conc.nitrate_from_nitrogen(
        i["no3_n_mg_l"]
    ),
    ("mass", "mg/L NO3-N from mg/L NO3"): lambda i: conc.nitrogen_from_nitrate(
        i["no3_mg_l"]
    ),
    ("mass", "molar N:P from NO3 and PO4 in mg/L"): lambda i: conc.molar_ratio(
        i["no3_mg_l"], i["po4_mg_l"]
    ),
    ("mass", "molar N:P from NO3-N in mg/L and P in µg/L"): lambda i: conc.molar_ratio(
        conc.nitrate_from_nitrogen(i["no3_n_mg_l"]),
        conc.phosphate_from_phosphorus(i["p_ug_l"] / 1000),
    ),
    ("dose", "grams of salt for a rise"): grams,
    ("dose", "mL of stock for a rise"): stock,
    ("dose", "rise from mL of stock"): rise_from_stock,
    (
        "dose",
        "grams of salt for a stock of which 1 mL raises a volume by a given amount",
    ): NotNeeded("a stock's strength is chosen among round ones, not for one volume"),
    ("dose", "other ion added by a salt"): other_ion,
    (
        "dose",
        "solubility at 20 °C, mass percent of anhydrous salt",
    ): saturated_percent,
    ("dose", "g per 100 g of water from mass percent"): NO_PER_WATER,
    (
        "dose",
        "largest stock strength, g per L, half of saturation, density taken as 1",
    ): largest_stock,
    (
        "dose",
        "saturation of a hydrate, g of hydrate per 100 g of added water",
    ): NO_PER_WATER,
    ("alkalinity", "dKH from meq/L"): lambda i: alk.dkh_from_meq(i["meq_l"]),
    ("alkalinity", "mg/L CaCO3 from meq/L"): lambda i: alk.calcium_carbonate_from_meq(
        i["meq_l"]
    ),
    ("alkalinity", "mg/L CaCO3 from dKH"): lambda i: alk.calcium_carbonate_from_meq(
        alk.meq_from_dkh(i["dkh"])
    ),
    ("alkalinity", "dKH from µmol/kg"): dkh_from_micromoles,
    ("alkalinity", "alkalinity change, dKH"): lambda i: alk.dkh_from_meq(
        alkalinity_change(i)
    ),
    (
        "alkalinity",
        "alkalinity change per mg/L of N or of ion, meq/L",
    ): alkalinity_change,
    ("alkalinity", "g CaCO3 used per g N nitrified"): lambda _: (
        -alk.calcium_carbonate_from_meq(
            alk.alkalinity_change(alk.AMMONIUM_TO_NITRATE, 1, conc.NITROGEN)
        )
    ),
    (
        "salinity",
        "practical salinity from conductivity ratio, IPTS-68",
    ): salinity_from_ratio,
    ("salinity", "density EOS-80, IPTS-68, kg/m3"): density68,
    (
        "salinity",
        "practical salinity from conductivity, mS/cm",
    ): lambda i: sal.salinity_from_conductivity(
        i["conductivity_ms_cm"], i["temperature_c"]
    ),
    (
        "salinity",
        "conductivity from practical salinity, mS/cm",
    ): NotNeeded("conductivity is read, never given"),
    ("salinity", "density EOS-80, ITS-90, kg/m3"): lambda i: sal.density(
        i["salinity"], i["temperature_c"]
    ),
    ("salinity", "density TEOS-10, kg/m3"): NO_TEOS,
    ("salinity", "density TEOS-10 from SA and CT, kg/m3"): NO_TEOS,
    ("salinity", "absolute salinity, reference composition, g/kg"): NO_TEOS,
    ("salinity", "practical salinity from specific gravity"): salinity_from_sg,
    ("salinity", "specific gravity from practical salinity"): lambda i: (
        sal.specific_gravity(i["salinity"], i["sample_c"], i["water_c"])
    ),
    (
        "salinity",
        "practical salinity from a glass hydrometer away from its temperature",
    ): NotNeeded("readings do not say that a glass hydrometer was used"),
    ("salinity", "mg/L from mg/kg"): per_litre,
    ("ammonia", "pKa of ammonium, Bell et al. 2008"): lambda i: nh.pka_nbs(
        i["temperature_c"], i["salinity"]
    ),
    ("ammonia", "free share of ammonia, Bell et al. 2008, pH as read, %"): lambda i: (
        free_percent(i, "NBS")
    ),
    (
        "ammonia",
        "pKa of ammonium, Clegg & Whitfield 1995, total scale, mol/kg water",
    ): lambda i: nh.pka_total(i["temperature_c"], i["salinity"]),
    (
        "ammonia",
        "pKa of ammonium, Clegg & Whitfield 1995, free scale, mol/kg water",
    ): NotNeeded("no workbook holds a pH on the free scale"),
    (
        "ammonia",
        "free share of ammonia, Clegg & Whitfield 1995, published example, %",
    ): published_example,
    (
        "ammonia",
        "free share of ammonia, Clegg & Whitfield 1995, pH total, mol/kg seawater, %",
    ): lambda i: free_percent(i, "total"),
    (
        "ammonia",
        "free share of ammonia, Clegg & Whitfield 1995, pH NBS, %",
    ): free_percent_through_total,
    ("ammonia", "pH on the NBS scale minus pH on the total scale"): nbs_minus_total,
    (
        "ammonia",
        "mg/L NH3-N from total ammonia nitrogen, Bell et al. 2008",
    ): lambda i: i["tan_mg_l"] * free_percent(i, "NBS") / 100,
    ("ammonia", "criterion in mg/L NH3-N"): lambda i: conc.nitrogen_from_ammonia(
        i["limit_nh3_mg_l"]
    ),
    (
        "ammonia",
        "total ammonia nitrogen at which free ammonia reaches a limit, mg/L N",
    ): NotNeeded("free ammonia itself is compared with the limit"),
    (
        "ammonia",
        "relative rise of free ammonia for a pH error, %",
    ): rise_for_ph_error,
    (
        "dilution",
        "share to change in one go, impossible",
    ): lambda i: dilution.dilution_fraction(i["now"], i["goal"], i["source"]),
    ("dilution", "after repeated changes, mg/L"): lambda i: dilution.after_changes(
        i["now"], i["share"], i["source"], i["times"]
    ),
    (
        "dilution",
        "number of equal changes to reach a goal",
    ): lambda i: dilution.changes_needed(i["now"], i["goal"], i["source"], i["share"]),
    (
        "dilution",
        "share of each of n equal changes",
    ): NotNeeded("the share is limited and the number of changes follows"),
    (
        "dilution",
        "after continuous exchange, mg/L",
    ): lambda i: dilution.after_continuous_exchange(
        i["now"], i["exchanged_over_volume"], i["source"]
    ),
    (
        "dilution",
        "volumes of continuous exchange to reach a goal",
    ): lambda i: dilution.continuous_exchange(i["now"], i["goal"], i["source"]),
    (
        "dilution",
        "level just before a regular change, in the long run, mg/L",
    ): lambda i: dilution.long_run_level(i["rise_between"], i["share"], i["source"]),
    ("volume", "litres"): litres,
    ("volume", "net volume of a rectangular tank, L"): box,
    ("feed", "total ammonia nitrogen a day, mg/L N"): tan,
    ("feed", "nitrate rise a day if all is nitrified, mg/L NO3"): nitrate_a_day,
    (
        "feed",
        "upper bound of nitrate rise a day, all feed nitrogen, mg/L NO3",
    ): NotNeeded("the budget counts what feed gives off, not all it holds"),
    ("feed", "phosphate rise a day, mg/L PO4"): lambda i: feed.phosphate_from_feed(
        i["feed_g_day"], i["phosphorus"], i["released"], i["volume_l"]
    ),
    # The table's factor, against the product of the shares it is made of.
    ("feed", "factor of the feed formula from its shares"): lambda _: TABLES.limit(
        "tan-per-protein"
    ),
    ("feed", "g O2 per g N nitrified, stoichiometric"): NotNeeded(
        "no sheet judges oxygen"
    ),
    ("feed", "g dry feed from g frozen feed of equal protein"): NotNeeded(
        "feed is noted as dry feed"
    ),
    ("censored", "mean by regression on order statistics, values given"): NO_MEAN,
    (
        "censored",
        "standard deviation by regression on order statistics, values given",
    ): NO_MEAN,
    ("censored", "lognormal maximum likelihood, mean of logs, values given"): NO_MEAN,
    ("censored", "lognormal maximum likelihood, standard deviation of logs"): NO_MEAN,
    ("censored", "lognormal maximum likelihood, mean, values given"): NO_MEAN,
    ("censored", "lognormal maximum likelihood, median"): NO_MEAN,
    ("censored", "Kaplan-Meier median"): NO_MEAN,
    ("censored", "Kaplan-Meier mean, nothing left below the lowest detected"): NO_MEAN,
    ("censored", "Kaplan-Meier mean, lowest share put at zero"): NO_MEAN,
    ("censored", "Kaplan-Meier mean, lowest share put at the lowest limit"): NO_MEAN,
    ("censored", "Kaplan-Meier share below"): NO_MEAN,
    ("censored", "Turnbull estimate, share in an interval"): NO_MEAN,
    ("censored", "Turnbull estimate, survival after"): NO_MEAN,
    ("censored", "Theil-Sen slope"): slope,
    ("censored", "Theil-Sen slope, lower 90 % limit"): lambda i: slope_limit(i, "low"),
    ("censored", "Theil-Sen slope, upper 90 % limit"): lambda i: slope_limit(i, "high"),
    ("censored", "Mann-Kendall S"): NO_TREND_TEST,
    ("censored", "Mann-Kendall variance of S"): kendall_variance,
    (
        "censored",
        "Mann-Kendall two-sided p, normal approximation with continuity correction",
    ): NO_TREND_TEST,
    ("censored", "Kendall tau-b"): NO_TREND_TEST,
    ("censored", "Mann-Kendall S with nondetects"): NO_TREND_TEST,
    (
        "censored",
        "Akritas-Theil-Sen slope, nondetects unbounded below",
    ): lambda i: slope(i, -math.inf),
    (
        "censored",
        "Akritas-Theil-Sen slope, nondetects between zero and the limit",
    ): slope,
    (
        "censored",
        "normal maximum likelihood for interval readings, mean",
    ): NO_MEAN,
    ("decision", "probability of conformance, normal error"): lambda i: normal(
        i, "within"
    ),
    ("decision", "probability under the band, normal error"): lambda i: normal(
        i, "under"
    ),
    ("decision", "probability over the band, normal error"): lambda i: normal(
        i, "over"
    ),
    (
        "decision",
        "probability under the band, normal error cut at zero",
    ): lambda i: normal(i, "under", cut=0.0),
    ("decision", "probability of conformance, uniform error"): lambda i: uniform(
        i, "within"
    ),
    ("decision", "standard uncertainty of a uniform error"): lambda i: (
        resolution.uncertainty_from_limits(i["half_width"])
    ),
    ("decision", "standard uncertainty of a triangular error"): NotNeeded(
        "no method states a triangular error"
    ),
    (
        "decision",
        "guard band for a largest chance of false acceptance, normal error",
    ): NO_GUARD_BAND,
    (
        "decision",
        "guard band for a largest chance of false acceptance, uniform error",
    ): NO_GUARD_BAND,
    (
        "decision",
        "chance of false acceptance at the acceptance limit, "
        "guard band r times U, k = 2",
    ): NO_GUARD_BAND,
    ("decision", "acceptance limit inside an upper limit"): NO_GUARD_BAND,
    ("decision", "combined standard uncertainty"): lambda i: (
        resolution.combined_uncertainty(*i["parts"])
    ),
}


def decimals(written: str) -> int:
    return len(written.partition(".")[2])


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_line(row):
    asked = QUANTITIES[row["section"], row["quantity"]]
    if isinstance(asked, NotNeeded):
        pytest.skip(asked)
    inputs = json.loads(row["inputs"])
    if row["tolerance"] == "exact":
        assert row["expected"] == "impossible"
        with pytest.raises(ValueError, match="cannot bring"):
            asked(inputs)
        return
    expected, found = float(row["expected"]), asked(inputs)
    if row["tolerance"] == "0":  # every digit printed
        assert round(found, decimals(row["expected"])) == expected
    elif row["tolerance"].endswith("%"):
        share = float(row["tolerance"].rstrip("% ")) / 100
        assert found == pytest.approx(expected, rel=share, abs=0)
    else:
        assert found == pytest.approx(expected, abs=float(row["tolerance"]), rel=0)


def test_each_quantity_named_here_has_a_line():
    written = {(row["section"], row["quantity"]) for row in ROWS}
    assert set(QUANTITIES) == written
