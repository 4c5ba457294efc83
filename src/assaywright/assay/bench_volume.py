"""Volumes at the bench: delivered by a burette, or held by a pipette or flask."""

from assaywright.assay import glass
from assaywright.assay.bench_temperature import TemperatureBench
from assaywright.assay.corrections.delivered_volume import delivered_volume
from assaywright.assay.observations import Delivery, Vessel
from assaywright.assay.terms import Scope, Term, shared
from assaywright.assay.thermal import ThermalLaw
from assaywright.metrology.estimate import influence, influence_key
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
            to_first: up to the first of two endpoints, from the same initial reading, with any filling before it.
        """
        vessel = self.vessel(delivery.burette)
        pairs = self._readings(delivery, to_first=to_first)
        end = "P" if to_first else ""
        names = [
            self._reading_inputs(vessel, pair, f"{tag}{FILLINGS[number]}" if len(pairs) > 1 else tag,
                                 end if number == len(pairs) - 1 else "")
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
        last = delivery.first_filling - 1
        return [*pairs[:last], (pairs[last][0], first)]

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
            add(f"C_{last}{mark}", f"correction at the {words}", corrections[1], "mL", source=source),
        )

    def contained(
        self,
        role: str,
        temperature: Quantity | None,
        law: ThermalLaw,
        reference_degC: float,
        what: str,
        *,
        once: bool = False,
    ) -> Term:
        """Return the term for one volume of a pipette or flask, at the reference temperature [mL].

        Determinations that use the same vessel at the same temperature share the term.

        Arguments:
            once: the vessel is set a single time for all determinations, so that their scatter does not hold what is
                random about that one setting; it enters by itself.
        """
        vessel = self.vessel(role)
        at = f"{temperature.to('°C'):g}" if temperature is not None else "?"
        tag = f"({role}, {what}, {at} °C)"
        nominal, correction, error = self._capacity_inputs(vessel)
        settings = [self._one_setting(vessel, what)] if once else []
        factor = self.expansion(vessel, temperature, law, reference_degC, tag, what)

        def term(scope: Scope) -> object:
            x = scope.x
            return scope.m.step(
                f"V{tag}",
                f"{what} in {vessel.kind} {vessel.identity}, at {reference_degC:g} °C",
                sum((x[name] for name in settings), x[nominal] + x[correction] + x[error]) * factor(scope),
                "mL",
            )

        return shared(f"V{tag}", term)

    def _capacity_inputs(self, vessel: Vessel) -> tuple[str, str, str]:
        """Add a vessel's nominal volume, its calibration correction, and what these leave open."""
        role, capacity = vessel.role, glass.nominal_mL(vessel)
        words = f"nominal volume of {vessel.kind} {vessel.identity}"
        certificate = vessel.certificate.identity if vessel.certificate else "none"
        add = self.inputs.add_exact
        return (
            add(f"V_n({role})", words, capacity, "mL", text=vessel.nominal.text),
            add(
                f"C({role})", "its calibration correction", glass.capacity_correction(vessel), "mL", source=certificate
            ),
            self.inputs.add(
                f"δV({role})",
                f"open error of {vessel.kind} {vessel.identity}",
                glass.capacity_error(vessel),
                source=glass.open_error(vessel)[3],
            ),
        )

    def _one_setting(self, vessel: Vessel, what: str) -> str:
        """Add what is random about a single setting of a pipette or flask, for a dilution made once.

        0.02 % of the volume, 0.005 mL at least: the filling of a 100 mL flask in EURACHEM/CITAC Guide CG 4, A1.3
        (0.02 mL); for pipettes common practice, no source.
        """
        volume = glass.nominal_mL(vessel)
        key = influence_key("worksheet", self.worksheet.identity, what, f"one setting of {vessel.identity}")
        label = f"one setting of {vessel.kind} {vessel.identity}, {what}"
        error = influence(key, 0.0, max(0.0002 * volume, 0.005), "mL", label=label)
        return self.inputs.add(f"δV_1({vessel.role}, {what})", label, error, source="EURACHEM/CITAC CG 4, A1.3")
