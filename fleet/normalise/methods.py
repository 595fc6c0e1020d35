"""Which test method a reading rests on, its numbers in the kept unit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fleet.normalise.levels import Understood
from fleet.normalise.method_classes import MethodClasses, coarseness
from fleet.normalise.scales import Scale
from fleet.normalise.units import Water, difference_to_kept, to_kept, unit_of
from fleet.records import Method, Reading, Result, Settings
from fleet.reference import MethodClass, Reference
from fleet.spelling import fold, tidy

REMEMBERED = 32768  # numbers of all scales; a column repeats a few hundred


class MethodLookup:
    """Finds the method of a reading; built once for a book.

    Parameters
    ----------
    methods
        Rows of the Methods sheet; their numbers may be in another unit.
    settings
        Names the default method of a parameter.
    reference
        The classes of method, taken where the workbook is silent.
    """

    def __init__(
        self, methods: Sequence[Method], settings: Settings, reference: Reference
    ) -> None:
        self.settings = settings
        self.reference = reference
        self._classes = MethodClasses(reference)
        self._own: dict[tuple[str, str], Method] = {}
        self._alike: dict[tuple[str, str], Method] = {}
        for row in methods:
            # The first of two rows for one name and parameter counts.
            key = tidy(row.name), row.measures
            if key not in self._own:
                self._own[key] = self._completed(row)
                alike = fold(row.name), row.measures
                self._alike.setdefault(alike, self._own[key])
        self._defaults = dict(settings.default_methods)
        self._found: dict[tuple[str, str, str], Method] = {}
        self._scales: dict[tuple[str, str, str], Scale | None] = {}
        self._understood: dict[tuple[object, ...], Understood] = {}

    def of(self, parameter: str, written: str, unit: str = "") -> Method:
        """Return the method of a result, as the reading or the workbook names it.

        A name of the Methods sheet is taken as it stands there. Any other name or a
        blank is an assumption, and marked so: the default of the Settings sheet, or
        the class that the name's own words or the unit tell, or the usual class.
        """
        key = parameter, written, unit
        found = self._found.get(key)
        if found is None:
            found = self._found[key] = self._search(parameter, written, unit)
        return found

    def scale(self, parameter: str, written: str, unit: str) -> Scale | None:
        """Return how such numbers are understood; None for an unknown parameter."""
        key = parameter, written, unit
        if key in self._scales:
            return self._scales[key]
        scale = None
        if parameter in self.reference.parameters:
            if parameter == "ph" and self.settings.ph_scale == "total":
                unit = "pH total"
            method = self.of(parameter, written, unit)
            scale = Scale(parameter, unit, method, self.settings, self.reference)
        self._scales[key] = scale
        return scale

    def understand(self, result: Result, reading: Reading) -> Understood | None:
        """Return what a result of a visit can mean; None for an unknown parameter.

        Each number of a scale is worked out once, if its visit does not count.
        """
        parameter, _, form, number, upper, unit, method, _ = result
        key = parameter, form, number, upper, unit, method
        found = self._understood.get(key)
        if found is not None:
            return found
        scale = self.scale(parameter, method, unit)
        if scale is None:
            return None
        found = scale.understand(result, reading)
        if not scale.asks_for_water:
            if len(self._understood) >= REMEMBERED:
                self._understood.clear()
            self._understood[key] = found
        return found

    def _search(self, parameter: str, written: str, unit: str) -> Method:
        own = self._listed(parameter, written)
        if own is not None:
            return own
        told = self._classes.told_by_words(parameter, written)
        default = self._default(parameter)
        if default is None:
            chosen = told or self._classes.told_by_unit(parameter, unit)
            return self._of_class(
                chosen or self._classes.usual(parameter),
                parameter,
                written if told else "",
            )
        if told is None:
            return replace(default, assumed=True)
        # The name is not on the Methods sheet but says what kind of test it was.
        # Where that kind tells less than the default does, it may not borrow the
        # default's sharper eyes; and total phosphorus is never orthophosphate.
        stated = self._of_class(told, parameter, written)
        if stated.kind == "total" or coarseness(stated) > coarseness(default):
            return stated
        return replace(default, assumed=True)

    def _listed(self, parameter: str, written: str) -> Method | None:
        """Return the row of the Methods sheet a name means, as it stands or nearly."""
        own = self._own.get((tidy(written), parameter))
        alike = fold(written)
        if own is not None or not alike:
            return own
        return self._alike.get((alike, parameter))

    def _default(self, parameter: str) -> Method | None:
        name = self._defaults.get(parameter, "")
        if not name:
            return None
        own = self._listed(parameter, name)
        if own is not None:
            return own
        told = self._classes.told_by_words(parameter, name)
        return self._of_class(told, parameter, name) if told else None

    def _of_class(
        self, known: MethodClass | None, parameter: str, written: str
    ) -> Method:
        if known is None:
            return Method(
                written, parameter, "meter", None, None, None, None, None, assumed=True
            )
        return Method(
            name=written or known.key,
            measures=parameter,
            kind=known.kind,
            lowest=known.lowest,
            step=known.step,
            accuracy=known.accuracy,
            accuracy_share=known.accuracy_share,
            highest=known.highest,
            assumed=True,
            class_key=known.key,
        )

    # -- rows of the Methods sheet

    def _completed(self, row: Method) -> Method:
        """Return a row in kept units, what it leaves blank taken from its class."""
        row = self._in_kept_unit(row)
        known, kind = self._classes.of_row(row)
        if known is None:
            return replace(row, kind=kind)
        blank = row.accuracy is None and row.accuracy_share is None
        return replace(
            row,
            kind=kind,
            lowest=_first(row.lowest, known.lowest),
            step=_first(row.step, known.step),
            accuracy=known.accuracy if blank else row.accuracy,
            accuracy_share=known.accuracy_share if blank else row.accuracy_share,
            class_key=known.key,
        )

    def _in_kept_unit(self, row: Method) -> Method:
        parameter = self.reference.parameters.get(row.measures)
        if not row.unit or parameter is None:
            return row
        unit = unit_of(parameter, row.unit)
        water = Water(sg_reference=self.settings.sg_reference)

        def ends(value: float | None) -> float | None:
            try:
                return None if value is None else to_kept(unit, value, water)
            except ValueError:
                return None

        def width(value: float | None) -> float | None:
            try:
                return None if value is None else difference_to_kept(unit, value, water)
            except ValueError:
                return None

        return replace(
            row,
            lowest=ends(row.lowest),
            step=width(row.step),
            accuracy=width(row.accuracy),
            highest=ends(row.highest),
            unit="",
        )


def _first(value: float | None, other: float | None) -> float | None:
    return other if value is None else value
