"""From what was observed to the terms of an equation: every reading becomes an input, once."""

import math

from assaywright.assay import glass, thermal
from assaywright.assay.corrections.buoyancy import REFERENCE_AIR_KG_PER_M3, buoyancy_factor
from assaywright.assay.corrections.delivered_volume import delivered_volume
from assaywright.assay.corrections.temperature import expansion_factor
from assaywright.assay.corrections.weighing import linearity_error, mass_by_difference
from assaywright.assay.observations import Balance, Delivery, Thermometer, Vessel, Weighing, Worksheet
from assaywright.assay.terms import InputList, Scope, Term, shared
from assaywright.assay.thermal import ThermalLaw
from assaywright.assay.troubles import remark
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark

ASSUMED_TEMPERATURE_HALF_WIDTH_K = 5.0
REFERENCE_AIR_HALF_WIDTH = 0.12  # 10 % of 1.2 kg/m³: OIML D 28, the range over which the convention holds


class Bench:
    """The bench of one worksheet: its vessels, balances, air and thermometer, and the inputs gathered from them."""

    def __init__(self, worksheet: Worksheet, inputs: InputList, remarks: list[Remark]) -> None:
        self.worksheet = worksheet
        self.inputs = inputs
        self.remarks = remarks

    def vessel(self, role: str) -> Vessel:
        """Return the vessel of a role; an unknown one is refused."""
        for vessel in self.worksheet.vessels:
            if vessel.role == role:
                return vessel
        raise Refusal(
            f"no vessel is called '{role}'",
            where=f"{self.worksheet.path}: vessels",
            remedy=f"describe it in a table [vessels.{role}]",
        )

    def balance(self, role: str) -> Balance:
        """Return the balance of a role; an unknown one is refused."""
        for balance in self.worksheet.balances:
            if balance.role == role:
                return balance
        raise Refusal(
            f"no balance is called '{role}'",
            where=f"{self.worksheet.path}: balances",
            remedy=f"describe it in a table [balances.{role}]",
        )

    def thermometer(self) -> Thermometer | None:
        """Return the worksheet's thermometer, if it has one."""
        return self.worksheet.thermometers[0] if self.worksheet.thermometers else None

    # ------------------------------------------------------------------ temperature

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
        """Return the term that brings a volume in a vessel to the content's reference temperature."""
        from assaywright.reference.tables import glass_expansion

        typed, error = self._temperature(given, reference_degC, what)
        vessel_reference = vessel.reference_temperature.to("°C") if vessel.reference_temperature else 20.0
        glass_row = glass_expansion(vessel.material)
        found = thermal.density_ratio(law, typed, reference_degC) if law.known else thermal.NO_LAW
        self._check_law(law, found, typed, reference_degC, what)
        add_exact = self.inputs.add_exact
        names = [
            add_exact(
                f"t{tag}",
                f"temperature of {what}",
                typed,
                "°C",
                text=given.text if given else "",
                source="read" if given else "assumed",
            ),
            add_exact(
                f"t_ref{tag}", f"reference temperature of {vessel.kind} {vessel.identity}", vessel_reference, "°C"
            ),
            self.inputs.add(
                f"γ({vessel.material})",
                f"cubic expansion of {vessel.material}",
                glass_row.estimate,
                source=glass_row.source,
            ),
            add_exact(
                f"q{tag}", f"density ratio of {what} at the temperature as typed", found.ratio, "1", source=found.source
            ),
            add_exact(f"q′{tag}", "its slope", found.slope_per_K, "1/K", source=found.source),
        ]
        name = self.inputs.add(
            f"δr{tag}", f"open error of the density ratio of {what}", found.error, source=found.source
        )

        def term(scope: Scope) -> object:
            x = scope.x
            return expansion_factor(
                x[error], x[names[0]], x[names[1]], x[names[2]], x[names[3]], x[names[4]], x[name], scope.m, tag
            )

        return term

    def _check_law(
        self, law: ThermalLaw, found: thermal.DensityRatio, typed: float, reference_degC: float, what: str
    ) -> None:
        """Remark on a liquid away from the reference temperature without a law, and on a doubted figure of a table."""
        if not law.known and abs(typed - reference_degC) > 0.5:
            self.remarks.append(
                remark(
                    "thermal-expansion-unknown",
                    f"{what} was at {typed:g} °C and no law of its thermal expansion is known",
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

    # ------------------------------------------------------------------ volume

    def delivered(
        self, delivery: Delivery, law: ThermalLaw, reference_degC: float, tag: str, what: str, *, to_first: bool = False
    ) -> Term:
        """Return the term for the titrant delivered between the readings, at the reference temperature [mL]."""
        vessel = self.vessel(delivery.burette)
        pairs = [(f.initial, f.final) for f in delivery.fillings]
        if to_first:
            first_reading = Refusal.unless(
                delivery.first,
                "the reading at the first endpoint is missing",
                where=self.worksheet.path,
                remedy="give first",
            )
            pairs = [*pairs[:-1], (pairs[-1][0], first_reading)]
        readings = [(i.to("mL"), f.to("mL")) for i, f in pairs]
        names = []
        for number, (initial, final) in enumerate(pairs, 1):
            mark = f"{tag}{'abcdefghij'[number - 1]}" if len(pairs) > 1 else tag
            end = "P" if to_first else "f"
            first = pairs[number - 1][0]
            names.append(
                tuple(
                    self.inputs.add_exact(name, label, value, "mL", text=text, source=source)
                    for name, label, value, text, source in (
                        (f"R_i{mark}", "initial reading", first.to("mL"), first.text, "read"),
                        (
                            f"C_i{mark}",
                            "correction at the initial reading",
                            glass.scale_correction(vessel, initial.to("mL")),
                            "",
                            "calibration",
                        ),
                        (
                            f"R_{end}{mark}",
                            "reading at the first endpoint" if to_first else "final reading",
                            final.to("mL"),
                            final.text,
                            "read",
                        ),
                        (
                            f"C_{end}{mark}",
                            "correction there",
                            glass.scale_correction(vessel, final.to("mL")),
                            "",
                            "calibration",
                        ),
                    )
                )
            )
        end = "P" if to_first else ""
        error = self.inputs.add(
            f"δV{end}{tag}",
            f"open error of {vessel.kind} {vessel.identity}",
            glass.scale_error(vessel, readings),
            source=glass.open_error(vessel)[3],
        )
        factor = shared(f"F{tag}", self.expansion(vessel, delivery.temperature, law, reference_degC, tag, what))

        def term(scope: Scope) -> object:
            fillings = [tuple(scope.x[name] for name in four) for four in names]
            volume = delivered_volume(fillings, scope.x[error], scope.m, f"{end}{tag}")
            return scope.m.step(
                f"V{end}{tag}", f"{what} delivered, at {reference_degC:g} °C", volume * factor(scope), "mL"
            )

        return term

    def contained(
        self, role: str, temperature: Quantity | None, law: ThermalLaw, reference_degC: float, what: str
    ) -> Term:
        """Return the term for one volume of a pipette or flask, at the reference temperature [mL].

        Determinations that use the same vessel at the same temperature share the term.
        """
        vessel = self.vessel(role)
        at = f"{temperature.to('°C'):g}" if temperature is not None else "?"
        tag = f"({role}, {what}, {at} °C)"
        nominal = self.inputs.add_exact(
            f"V_n({role})",
            f"nominal volume of {vessel.kind} {vessel.identity}",
            glass.nominal_mL(vessel),
            "mL",
            text=vessel.nominal.text,
        )
        correction = self.inputs.add_exact(
            f"C({role})",
            "its calibration correction",
            glass.capacity_correction(vessel),
            "mL",
            source=vessel.certificate.identity if vessel.certificate else "none",
        )
        error = self.inputs.add(
            f"δV({role})",
            f"open error of {vessel.kind} {vessel.identity}",
            glass.capacity_error(vessel),
            source=glass.open_error(vessel)[3],
        )
        factor = self.expansion(vessel, temperature, law, reference_degC, tag, what)

        def term(scope: Scope) -> object:
            x = scope.x
            return scope.m.step(
                f"V{tag}",
                f"{what} in {vessel.kind} {vessel.identity}, at {reference_degC:g} °C",
                (x[nominal] + x[correction] + x[error]) * factor(scope),
                "mL",
            )

        return shared(f"V{tag}", term)

    # ------------------------------------------------------------------ mass

    def _air(self) -> str:
        """Add the input for the density of the air at the balance: measured, or the reference air."""
        air = self.worksheet.air
        if air.temperature is not None and air.pressure is not None and air.humidity is not None:
            from assaywright.chemistry.air import air_density_cipm2007_kg_per_m3

            density = air_density_cipm2007_kg_per_m3(
                air.temperature.to("°C"), air.pressure.to("hPa"), air.humidity.to("%")
            )
            half_width, source = 0.01, "CIPM-2007 from the air as measured"
        else:
            density, half_width, source = REFERENCE_AIR_KG_PER_M3, REFERENCE_AIR_HALF_WIDTH, "reference air, OIML D 28"
        key = influence_key("air", self.worksheet.identity, source, "density")
        return self.inputs.add(
            "ρ_a",
            "density of the air",
            influence(
                key,
                density,
                half_width / math.sqrt(3.0),
                "kg/m³",
                distribution="rectangular",
                label="density of the air",
            ),
            source=source,
        )

    def weighed(self, weighing: Weighing, density: Estimate | None, tag: str, what: str) -> Term:
        """Return the term for a weighed portion [g], corrected for buoyancy when a density [kg/m³] is given."""
        balance = self.balance(weighing.balance)
        gross = Refusal.unless(
            weighing.gross or weighing.net,
            f"the {what} has no balance reading",
            where=self.worksheet.path,
            remedy="give gross and tare, or net",
        )
        tare = weighing.tare
        names = (
            self.inputs.add_exact(
                f"W_g{tag.strip('_')}",
                f"{what}, gross" if tare else f"{what}, net reading",
                gross.to("g"),
                "g",
                text=gross.text,
                source=f"balance {balance.identity}",
            ),
            self.inputs.add_exact(
                f"W_t{tag.strip('_')}",
                "tare" if tare else "zero of the tared balance",
                tare.to("g") if tare else 0.0,
                "g",
                text=tare.text if tare else "0",
                source=f"balance {balance.identity}",
            ),
        )
        errors = tuple(
            self.inputs.add(name, label, self._linearity(balance, reading), source=f"balance {balance.identity}")
            for name, label, reading in (
                (f"δW_g{tag.strip('_')}", "linearity of the balance, gross", gross.to("g")),
                (f"δW_t{tag.strip('_')}", "linearity of the balance, tare", tare.to("g") if tare else 0.0),
            )
        )
        air = substance = ""
        if density is not None:
            air = self._air()
            substance = self.inputs.add(f"ρ_b{_kind_of(tag)}", f"density of {what}", density)

        def term(scope: Scope) -> object:
            x = scope.x
            factor = (
                scope.once(
                    f"b{_kind_of(tag)}",
                    lambda s: buoyancy_factor(s.x[air], s.x[substance], balance.adjusted, s.m, _kind_of(tag)),
                )
                if substance
                else 1
            )
            return mass_by_difference(x[names[0]], x[errors[0]], x[names[1]], x[errors[1]], factor, scope.m, tag)

        return term

    def _linearity(self, balance: Balance, load_g: float) -> Estimate:
        if balance.linearity is None:
            return Estimate(0.0, "g")
        stated = balance.linearity.uncertainty
        if stated is None:
            raise Refusal(
                "the balance's linearity lacks its form",
                where=f"balances.{balance.role}",
                remedy='write it as "0.2 mg, rectangular"',
            )
        key = influence_key("balance", balance.identity, glass.edition(balance.certificate, "as stated"), "linearity")
        return linearity_error(
            key,
            f"linearity of balance {balance.identity}",
            load_g,
            balance.linearity.uncertainty_in("g"),
            stated.distribution,
        )


def _kind_of(tag: str) -> str:
    """Return the part of a tag that is common to all determinations: "_t₁" and "_t₂" share the substance."""
    return tag.rstrip("₀₁₂₃₄₅₆₇₈₉")
