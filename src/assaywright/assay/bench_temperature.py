"""Temperatures at the bench, and the factor that brings a volume to its reference temperature."""

import math

from assaywright.assay import glass, thermal
from assaywright.assay.bench_equipment import Equipment
from assaywright.assay.corrections.temperature import expansion_factor
from assaywright.assay.observations import Vessel
from assaywright.assay.places import place_of
from assaywright.assay.terms import Scope, Term
from assaywright.assay.thermal import ThermalLaw
from assaywright.assay.troubles import remark
from assaywright.metrology.estimate import influence, influence_key
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal

ASSUMED_TEMPERATURE_HALF_WIDTH_K = 5.0


class TemperatureBench(Equipment):
    """Temperatures as typed, their open error, and thermal expansion of vessel and liquid."""

    def _temperature(self, given: Quantity | None, reference_degC: float, what: str) -> tuple[float, str]:
        """Return a temperature as typed [°C] and the name of the input for its error."""
        if given is None:
            self.remarks.append(
                remark(
                    "temperature-not-recorded",
                    f"the temperature of {what} is not recorded, {reference_degC:g} °C ± 5 °C was assumed",
                    self.worksheet.path,
                    "record it with a thermometer",
                )
            )
            uncertainty = ASSUMED_TEMPERATURE_HALF_WIDTH_K / math.sqrt(3.0)
            key = influence_key("temperature", self.worksheet.identity, "not recorded", what)
            name = self.inputs.add(
                f"δt({what})",
                "error of an assumed temperature",
                influence(key, 0.0, uncertainty, "K", distribution="rectangular", label="temperature not recorded"),
            )
            return reference_degC, name
        return given.to("°C"), self._thermometer_error()

    def _thermometer_error(self) -> str:
        """Add the input for what the thermometer leaves open, the same for every temperature it read."""
        thermometer = self.thermometer()
        if thermometer is None:
            error = influence(
                influence_key("thermometer", self.worksheet.identity, "not described", "indication"),
                0.0,
                1.0 / math.sqrt(3.0),
                "K",
                distribution="rectangular",
                label="thermometer not described, ± 1 °C assumed",
            )
            return self.inputs.add("δt", "error of the temperatures", error, source="± 1 °C assumed")
        edition = glass.edition(thermometer.certificate, "as stated")
        stated = thermometer.uncertainty.uncertainty
        if stated is None:
            raise Refusal(
                "the thermometer's uncertainty lacks its form",
                where=f"thermometers.{thermometer.role}",
                remedy='write it as "0.5 °C, rectangular" or "0.3 °C, k = 2"',
            )
        error = influence(
            influence_key("thermometer", thermometer.identity, edition, "indication"),
            0.0,
            thermometer.uncertainty.uncertainty_in("K"),
            "K",
            distribution=stated.distribution,
            label=f"thermometer {thermometer.identity}",
        )
        return self.inputs.add("δt", "error of the temperatures", error, source=edition)

    def expansion(
        self, vessel: Vessel, given: Quantity | None, law: ThermalLaw, reference_degC: float, tag: str, what: str
    ) -> Term:
        """Return the term that brings a volume in a vessel to the content's reference temperature.

        Arguments:
            given: temperature of the liquid as typed, or None when it was not recorded.
            reference_degC: of the content [°C].
            tag: set behind the symbols in the working.
            what: the liquid in words.
        """
        typed, error = self._temperature(given, reference_degC, what)
        try:
            found = (thermal.density_ratio(law, typed, reference_degC) if law.known
                     else thermal.without_law(typed if given else reference_degC + ASSUMED_TEMPERATURE_HALF_WIDTH_K,
                                              reference_degC, f"{self.worksheet.identity}, {what}"))
        except Refusal as refusal:
            place = place_of(self.worksheet, given)
            raise Refusal(f"{what}: {refusal.what}", where=place or f"temperature of {what}",
                          remedy=refusal.remedy) from None
        self._check_law(law, found, typed, reference_degC, what)
        source = "read" if given else "assumed"
        at = self.inputs.add_exact(
            f"t{tag}", f"temperature of {what}", typed, "°C", text=given.text if given else "", source=source
        )
        reference, gamma = self._vessel_inputs(vessel, tag)
        ratio, slope, ratio_error = self._law_inputs(found, tag, what)

        def term(scope: Scope) -> object:
            x = scope.x
            return expansion_factor(
                x[error], x[at], x[reference], x[gamma], x[ratio], x[slope], x[ratio_error], scope.m, tag
            )

        return term

    def _vessel_inputs(self, vessel: Vessel, tag: str) -> tuple[str, str]:
        """Add a vessel's reference temperature and the expansion of its glass."""
        from assaywright.reference.tables import glass_expansion

        reference = vessel.reference_temperature.to("°C") if vessel.reference_temperature else 20.0
        try:
            row = glass_expansion(vessel.material)
        except Refusal as refusal:
            raise refusal.at(f"vessels.{vessel.role}, material") from None
        words = f"reference temperature of {vessel.kind} {vessel.identity}"
        return (
            self.inputs.add_exact(f"t_ref{tag}", words, reference, "°C"),
            self.inputs.add(
                f"γ({vessel.material})", f"cubic expansion of {vessel.material}", row.estimate, source=row.source
            ),
        )

    def _law_inputs(self, found: thermal.DensityRatio, tag: str, what: str) -> tuple[str, str, str]:
        """Add a liquid's density ratio at the temperature as typed, its slope, and what the law leaves open."""
        words, source = f"density ratio of {what} at the temperature as typed", found.source
        slope = f"slope of the density ratio of {what}"
        return (
            self.inputs.add_exact(f"q{tag}", words, found.ratio, "1", source=source),
            self.inputs.add_exact(f"q′{tag}", slope, found.slope_per_K, "1/K", source=source),
            self.inputs.add(f"δr{tag}", f"open error of the density ratio of {what}", found.error, source=source),
        )

    def _check_law(
        self, law: ThermalLaw, found: thermal.DensityRatio, typed: float, reference_degC: float, what: str
    ) -> None:
        """Remark on a liquid away from the reference temperature without a law, and on a doubted figure of a table."""
        if not law.known and abs(typed - reference_degC) > 0.5:
            self.remarks.append(
                remark(
                    "thermal-expansion-unknown",
                    f"{what} was at {typed:g} °C and no law of its thermal expansion is known; it was not corrected, "
                    "and twice what water would expand was allowed for",
                    self.worksheet.path,
                    "name one with thermal, or give measured densities",
                )
            )
        if found.doubt:
            self.remarks.append(
                remark(
                    "doubted-figure",
                    f"the thermal expansion of {what} at {typed:g} °C rests on a figure that is doubted: {found.doubt}",
                    self.worksheet.path,
                    "work at another temperature",
                )
            )
