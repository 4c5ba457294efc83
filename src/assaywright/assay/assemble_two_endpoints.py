"""Two endpoints assembled: hydroxide, carbonate or hydrogencarbonate, and total alkali from one titration."""

from typing import Any

from assaywright.assay.content import content_term
from assaywright.assay.method import Measurand
from assaywright.assay.observations import Determination
from assaywright.assay.parts import Assembly, Parts
from assaywright.assay.schemes import two_endpoints
from assaywright.assay.schemes.common import Measured, Titrant, net_titrant
from assaywright.assay.solutions import SolutionInForce
from assaywright.assay.terms import Scope, Term, numbered, shared
from assaywright.assay.titration_error import curve_applies, endpoint_input
from assaywright.assay.troubles import remark
from assaywright.assay.turned_by_curve import left_open, turn_term
from assaywright.metrology.model import PlainMeans
from assaywright.metrology.refusal import Refusal


class TwoEndpointParts(Parts):
    """The assay of alkali with carbonate, by two endpoints."""

    def assemble(self) -> Assembly:
        """Assemble the titration to two endpoints; both readings count from one initial reading."""
        found, concentration = self.known("titrant", self.method.titrant)
        titrant = self.titrant(concentration, self.method.titrant.equivalents)
        first_titrant = self._to_first(concentration, titrant)
        name = self.worksheet.titrant.name
        delivered, portions = [], []
        for number, one in enumerate(self.worksheet.determinations, 1):
            tag = numbered(number)
            delivered.append((shared(f"to first{tag}", self._delivered_first(one, found, tag)),
                              self.titre(one.delivery, found.law, found.reference_degC, tag, name)))
            portions.append(self.sample_portion(one, tag))
        pairs = []
        for number, (first, total) in enumerate(delivered, 1):
            tag = numbered(number)
            turns = self._turns(first, total, concentration, tag)
            pairs.append((
                self._with_repeatability(net_titrant(first, first_titrant, f"_P{tag}", turn=turns[0]), "δP"),
                self._with_repeatability(net_titrant(total, titrant, tag, turn=turns[1]), "δT")))
        self.out.hydroxide_present = self._hydroxide_present(pairs)
        self._carbonate_share(pairs)
        for measurand in self.method.result.measurands:
            self._part(measurand, pairs, portions, titrant)
        return self.out

    def _delivered_first(self, one: Determination, found: SolutionInForce, tag: str) -> Term:
        """Return the term for the titrant delivered to the first endpoint [mL]."""
        if one.delivery.first is None:
            raise Refusal(
                "the reading at the first endpoint is missing",
                where=f"{self.worksheet.path}: determination {one.label}, first",
                remedy="give the burette reading at the first endpoint",
            )
        name = self.worksheet.titrant.name
        return self.delivered(one.delivery, found.law, found.reference_degC, tag, name, to_first=True)

    def _to_first(self, concentration: str, titrant: Titrant) -> Titrant:
        """Return how the titrant counts at the first endpoint: without the blank, with that endpoint's own error."""
        endpoint = self.method.first_endpoint
        error = ""
        if endpoint is not None:
            error = endpoint_input(
                self.worksheet, endpoint, self.inputs, self.remarks, by_mass=False,
                strength_mol_per_L=self.strength_in_burette(), symbol="δV_e₁",
            )
        return Titrant(by_mass=False, concentration=concentration, equivalents=titrant.equivalents, endpoint=error)

    def _turns(self, first: Term, total: Term, concentration: str, tag: str) -> tuple[Term | None, Term | None]:
        """Return the titration errors of both endpoints that follow from the titration's curve; None where none does.

        The error is that of the readings as they are: what is left of it after its own correction is of second order.
        """
        def carbon(scope: Scope) -> Any:
            return self._carbon(first(scope), total(scope))

        found: list[Term | None] = []
        for endpoint in (self.method.first_endpoint, self.method.endpoint):
            stated = self.worksheet.titration_error is not None and endpoint is self.method.endpoint
            strength = self.strength_in_burette()
            if endpoint is None or endpoint.curve is None or stated or not strength:
                found.append(None)
                continue
            if endpoint.treatment == "applied" and not curve_applies(self.worksheet, self.remarks):
                found.append(left_open(self.method, endpoint, strength, self.inputs))
                continue
            found.append(turn_term(self.method, endpoint, total, carbon, self.inputs, tag, concentration))
        return found[0], found[1]

    def _carbon(self, first: Any, total: Any) -> Any:
        """Return the acid that turned hydrogen carbonate into carbon dioxide [mL]."""
        return total - first

    def _mean(self, terms: list[Term]) -> float:
        values = {name: given.estimate.value for name, given in self.inputs.items.items()}
        return sum(float(term(Scope(values, PlainMeans()))) for term in terms) / len(terms)

    def _carbonate_share(self, pairs: list[tuple[Term, Term]]) -> None:
        """Remark on more carbonate beside hydroxide than the method is meant for."""
        curve = self.method.first_endpoint.curve if self.method.first_endpoint is not None else None
        if curve is None or curve.carbonate_up_to is None or not self.out.hydroxide_present:
            return
        counted = [pair for one, pair in zip(self.worksheet.determinations, pairs, strict=True) if not one.excluded]
        first, total = (self._mean([pair[place] for pair in counted]) for place in (0, 1)) if counted else (0.0, 0.0)
        carbonate, hydroxide = total - first, 2 * first - total
        limit = float(curve.carbonate_up_to.value)
        if carbonate > limit * hydroxide > 0:
            self.remarks.append(remark(
                "carbonate-beyond-method",
                f"there are {carbonate / hydroxide:.2f} mol of carbonate for each mole of hydroxide, and the method is "
                f"meant for up to {limit:g}", self.worksheet.path, f"find the hydroxide by {curve.instead}"))

    def _with_repeatability(self, volume: Term, name: str) -> Term:
        """Return a volume plus the open effect of repeatability on it, an input added by the evaluation."""

        def term(scope: Scope) -> object:
            return volume(scope) + scope.x[name] if name in scope.x else volume(scope)

        return term

    def _hydroxide_present(self, pairs: list[tuple[Term, Term]]) -> bool:
        """Return whether 2P exceeds T in the mean of the determinations that count."""
        values = {name: given.estimate.value for name, given in self.inputs.items.items()}
        total = 0.0
        for one, (first, second) in zip(self.worksheet.determinations, pairs, strict=True):
            if not one.excluded:
                total += 2 * first(Scope(values, PlainMeans())) - second(Scope(values, PlainMeans()))
        return total >= 0

    def _part_volume(self, first: Term, total: Term, part: str, tag: str) -> Term:
        """Return the term for the acid that one part of the alkali takes [mL]."""
        return two_endpoints.part_volume(first, total, part, tag, hydroxide_present=self.out.hydroxide_present)

    def _part(
        self, measurand: Measurand, pairs: list[tuple[Term, Term]], portions: list[tuple[Term, bool]], titrant: Titrant
    ) -> None:
        """Add one measurand of the two endpoints."""
        part, formula, name, equivalents = measurand.part, measurand.formula, measurand.name, measurand.equivalents
        if part == two_endpoints.HYDROXIDE and not self.out.hydroxide_present:
            part, formula, equivalents = two_endpoints.HYDROGENCARBONATE, formula.replace("OH", "HCO3"), 1
            name = f"hydrogencarbonate as {formula}"
        by_volume = portions[0][1]
        form = self.form(self.worksheet.wanted.unit or measurand.unit, formula, equivalents, by_volume=by_volume)
        terms = []
        for number, ((first, total), (portion, _)) in enumerate(zip(pairs, portions, strict=True), 1):
            tag = numbered(number)
            volume = self._part_volume(first, total, part, tag)
            amount = two_endpoints.part_amount(volume, titrant, part, equivalents, tag)
            terms.append(
                content_term(amount, portion, form, tag, f"{name} by determination {number}", by_volume=by_volume)
            )
        self.out.measured.append(Measured(name, form.unit, tuple(terms), formula))
