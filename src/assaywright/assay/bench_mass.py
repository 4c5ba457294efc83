"""Masses at the bench: balance readings, linearity, and the air's buoyancy."""

import math

from assaywright.assay import glass
from assaywright.assay.bench_equipment import Equipment
from assaywright.assay.corrections.buoyancy import REFERENCE_AIR_KG_PER_M3, buoyancy_factor
from assaywright.assay.corrections.weighing import linearity_error, mass_by_difference
from assaywright.assay.observations import Balance, Weighing
from assaywright.assay.terms import Scope, Term, shared
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal

REFERENCE_AIR_HALF_WIDTH = 0.12  # 10 % of 1.2 kg/m³: OIML D 28, the range over which the convention holds


class MassBench(Equipment):
    """Weighed portions."""

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
                label=f"density of the air, worksheet {self.worksheet.identity}",
            ),
            source=source,
        )

    def weighed(self, weighing: Weighing, density: Estimate | None, tag: str, what: str, *, once: bool = False) -> Term:
        """Return the term for a weighed portion [g], corrected for buoyancy when a density [kg/m³] is given.

        Arguments:
            once: weighed a single time for all determinations, whose scatter then does not hold the balance's
                repeatability; it enters by itself, for both loads.
        """
        balance = self.balance(weighing.balance)
        gross = Refusal.unless(
            weighing.gross or weighing.net,
            f"the {what} has no balance reading",
            where=self.worksheet.path,
            remedy="give gross and tare, or net",
        )
        tare = weighing.tare
        readings = (self._load(balance, gross, tag, what), self._tare(balance, tare, tag))
        factor = self._buoyancy(balance, density, tag, what)
        single = self._one_weighing(balance, tag, what) if once and balance.repeatability else ""

        def term(scope: Scope) -> object:
            (gross_name, gross_error), (tare_name, tare_error) = readings
            x = scope.x
            gross_value = x[gross_name] + x[single] if single else x[gross_name]
            return mass_by_difference(
                gross_value, x[gross_error], x[tare_name], x[tare_error], factor(scope), scope.m, tag
            )

        return term

    def _one_weighing(self, balance: Balance, tag: str, what: str) -> str:
        """Add the balance's repeatability for a single weighing by difference, of two loads."""
        stated = Refusal.unless(balance.repeatability, "the balance has no repeatability")
        uncertainty = math.sqrt(2.0) * abs(stated.to("g"))
        key = influence_key("worksheet", self.worksheet.identity, what, f"one weighing on {balance.identity}")
        label = f"one weighing on balance {balance.identity}, {what}"
        error = influence(key, 0.0, uncertainty, "g", label=label)
        return self.inputs.add(f"δW_1{tag.strip('_')}", label, error, source=f"balance {balance.identity}")

    def _load(self, balance: Balance, gross: Quantity, tag: str, what: str) -> tuple[str, str]:
        """Add a gross reading, or the net one of a tared balance, and what linearity leaves open there."""
        mark, source = tag.strip("_"), f"balance {balance.identity}"
        error = self._linearity(balance, gross.to("g"), "loaded")
        return (
            self.inputs.add_exact(f"W_g{mark}", f"{what}, weighed", gross.to("g"), "g", text=gross.text, source=source),
            self.inputs.add(f"δW_g{mark}", "linearity of the balance, loaded", error, source=source),
        )

    def _tare(self, balance: Balance, tare: Quantity | None, tag: str) -> tuple[str, str]:
        """Add the tare, or the zero of a tared balance, and what linearity leaves open there."""
        mark, source = tag.strip("_"), f"balance {balance.identity}"
        reading, text, label = (tare.to("g"), tare.text, "tare") if tare else (0.0, "0", "zero of the tared balance")
        error = self._linearity(balance, reading, "tare")
        return (
            self.inputs.add_exact(f"W_t{mark}", label, reading, "g", text=text, source=source),
            self.inputs.add(f"δW_t{mark}", "linearity of the balance, tare", error, source=source),
        )

    def _buoyancy(self, balance: Balance, density: Estimate | None, tag: str, what: str) -> Term:
        """Return the term for the buoyancy factor, shared by all portions of one substance; one without a density."""
        if density is None:
            return lambda _: 1
        kind = _kind_of(tag)
        air, substance = self._air(), self.inputs.add(f"ρ_b{kind}", f"density of {what}", density)
        return shared(f"b{kind}", lambda s: buoyancy_factor(s.x[air], s.x[substance], balance.adjusted, s.m, kind))

    def _linearity(self, balance: Balance, load_g: float, side: str) -> Estimate:
        if balance.linearity is None:
            return Estimate(0.0, "g")
        stated = balance.linearity.uncertainty
        if stated is None:
            raise Refusal(
                "the balance's linearity lacks its form",
                where=f"balances.{balance.role}",
                remedy='write it as "0.2 mg, rectangular"',
            )
        key = influence_key("balance", balance.identity, glass.edition(balance.certificate, "as stated"),
                            f"linearity, {side}")
        return linearity_error(
            key,
            f"linearity of balance {balance.identity}, {side}",
            load_g,
            balance.linearity.uncertainty_in("g"),
            stated.distribution,
        )


def _kind_of(tag: str) -> str:
    """Return the part of a tag that is common to all determinations: "_t₁" and "_t₂" share the substance."""
    return tag.rstrip("₀₁₂₃₄₅₆₇₈₉")
