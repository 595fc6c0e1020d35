"""Which band a parameter is judged by: the workbook's own row, else the built-in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fleet.records import Band, Method, StageName, Tank
from fleet.reference import Reference

NOT_NOTED = "not noted"  # stands in bands.toml for a kind the workbook leaves out


def bands_for(
    tank: Tank, stage: StageName, own: Sequence[Band], reference: Reference
) -> dict[str, Band]:
    """Return the band of each parameter that has one, for a tank at its stage.

    A workbook row for the tank beats one for its livestock, which beats the built-in
    table; among rows of one rank the one for this stage beats one for all stages,
    and the first written counts. An end the row leaves blank stays as it was.
    """
    chosen: dict[str, Band] = {}
    livestock, stages = ("", tank.livestock or NOT_NOTED), ("", stage)
    for band in reference.bands:
        if band.livestock in livestock and band.stage in stages:
            chosen.setdefault(band.parameter, band)
    ranked: dict[str, tuple[int, Band]] = {}
    for band in own:
        rank = _rank(band, tank, stage)
        if rank and rank > ranked.get(band.parameter, (0, band))[0]:
            ranked[band.parameter] = rank, band
    for parameter, (_, band) in ranked.items():
        chosen[parameter] = _over(band, chosen.get(parameter), reference)
    return chosen


def _rank(band: Band, tank: Tank, stage: str) -> int:
    """Return how close a workbook row is to a tank; 0 where it is not for it."""
    if band.stage not in ("", stage):
        return 0
    for_stage = 1 if band.stage else 0
    if band.tank:
        return 5 + for_stage if band.tank == tank.key else 0
    if band.livestock:
        return 3 + for_stage if band.livestock == tank.livestock else 0
    return 1 + for_stage


def _over(own: Band, built_in: Band | None, reference: Reference) -> Band:
    """Return a workbook row laid over the built-in band."""
    if built_in is None:
        return replace(own, basis=own.basis or "workbook")
    low = built_in.low if own.low is None else own.low
    high = built_in.high if own.high is None else own.high
    if low is not None and high is not None and low >= high:
        # One end was written, at or past the other built-in one: that falls away.
        low, high = own.low, own.high
    band = replace(
        built_in,
        low=low,
        high=high,
        aim=_aim(built_in.aim, low, high, reference),
        livestock=own.livestock,
        tank=own.tank,
        stage=own.stage,
        basis=own.basis or "workbook",
        low_registers=built_in.low_registers and own.low is None,
        written_at=own.written_at,
    )
    # A second limit inside the workbook's own band is no longer a limit.
    return replace(
        band,
        remark_low=_below(band.remark_low, low),
        act_low=_below(band.act_low, low),
        remark_high=_above(band.remark_high, high),
        act_high=_above(band.act_high, high),
    )


def _aim(
    aim: float | None, low: float | None, high: float | None, reference: Reference
) -> float | None:
    if aim is None or low is None:
        return aim
    if high is None:
        return max(aim, low)
    if low <= aim <= high:
        return aim
    return low + reference.limit("aim-share") * (high - low)


def _below(limit: float | None, low: float | None) -> float | None:
    return limit if limit is None or low is None or limit < low else None


def _above(limit: float | None, high: float | None) -> float | None:
    return limit if limit is None or high is None or limit > high else None


def as_read_by(band: Band, method: Method | None, reference: Reference) -> Band:
    """Return a band whose low edge is "registers at all" as one method sees it.

    The edge is the method's lowest amount told from none, held between what even a
    fine method need not ask for and what a test must tell to call a zero flat.
    """
    if not band.low_registers:
        return band
    least = reference.limit(f"{band.parameter}-registers-least")
    most = reference.limit(f"{band.parameter}-can-tell")
    lowest = method.lowest if method is not None else None
    edge = most if lowest is None else min(max(lowest, least), most)
    if band.high is not None and edge >= band.high:
        # A workbook's own upper end, not above what such a test tells from none.
        return replace(band, low=None, low_registers=False)
    return band if band.low == edge else replace(band, low=edge)
