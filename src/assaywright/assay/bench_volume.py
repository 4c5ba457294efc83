"""Volumes at the bench: delivered by a burette, or held by a pipette or flask."""


from assaywright.assay import glass
from assaywright.assay.bench_temperature import TemperatureBench
from assaywright.assay.corrections.delivered_volume import delivered_volume
from assaywright.assay.observations import Delivery, Vessel
from assaywright.assay.terms import Scope, Term, shared
from assaywright.assay.thermal import ThermalLaw
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal

FILLINGS = "abcdefghijklmnopqrstuvwxyz"


class VolumeBench(TemperatureBench):
    """Volumes, at the reference temperature of the content."""

    def delivered(
        self, delivery: Delivery, law: ThermalLaw, reference_degC: float, tag: str, what: str, *, to_first: bool = False
    ) -> Term:
        """Return the term for the titrant delivered between the readings, at the reference temperature [mL].

        Arguments:
            to_first: up to the first of two endpoints, from the same initial reading.
        """
        vessel = self.vessel(delivery.burette)
        pairs = self._readings(delivery, to_first=to_first)
        end = "P" if to_first else ""
        names = [
            self._reading_inputs(vessel, pair, f"{tag}{FILLINGS[number]}" if len(pairs) > 1 else tag, end)
            for number, pair in enumerate(pairs)
        ]
        error = self.inputs.add(
            f"δV{end}{tag}",
            f"open error of {vessel.kind} {vessel.identity}",
            glass.scale_error(vessel, [(i.to("mL"), f.to("mL")) for i, f in pairs]),
            source=glass.open_error(vessel)[3],
        )
        factor = shared(f"F{tag}", self.expansion(vessel, delivery.temperature, law, reference_degC, tag, what))
        words = f"{what} delivered, at {reference_degC:g} °C"

        def term(scope: Scope) -> object:
            x = scope.x
            fillings = [(x[r_i], x[c_i], x[r_f], x[c_f]) for r_i, c_i, r_f, c_f in names]
            volume = delivered_volume(fillings, x[error], scope.m, f"{end}{tag}")
            return scope.m.step(f"V{end}{tag}", words, volume * factor(scope), "mL")

        return term

    def _readings(self, delivery: Delivery, *, to_first: bool) -> list[tuple[Quantity, Quantity]]:
        """Return initial and final reading of each filling; the final one at the first endpoint when asked."""
        pairs = [(filling.initial, filling.final) for filling in delivery.fillings]
        if len(pairs) > len(FILLINGS):
            raise Refusal(
                f"one determination fills the burette {len(pairs)} times",
                where=self.worksheet.path,
                remedy=f"titrate a smaller portion, with {len(FILLINGS)} fillings at most",
            )
        if not to_first:
            return pairs
        first = Refusal.unless(
            delivery.first,
            "the reading at the first endpoint is missing",
            where=self.worksheet.path,
            remedy="give first",
        )
        return [(pairs[0][0], first)]

    def _reading_inputs(
        self, vessel: Vessel, pair: tuple[Quantity, Quantity], mark: str, end: str
    ) -> tuple[str, str, str, str]:
        """Add a filling's two readings and the scale's correction at each; the initial one serves both endpoints."""
        initial, final = pair
        add, source = self.inputs.add_exact, "calibration"
        corrections = [glass.scale_correction(vessel, reading.to("mL")) for reading in pair]
        last = end or "f"
        words = "reading at the first endpoint" if end else "final reading"
        return (
            add(f"R_i{mark}", "initial reading", initial.to("mL"), "mL", text=initial.text, source="read"),
            add(f"C_i{mark}", "correction at the initial reading", corrections[0], "mL", source=source),
            add(f"R_{last}{mark}", words, final.to("mL"), "mL", text=final.text, source="read"),
            add(f"C_{last}{mark}", "correction there", corrections[1], "mL", source=source),
        )

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
