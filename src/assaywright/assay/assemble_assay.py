"""An assay assembled: the content of a sample by direct or back titration."""

from assaywright.assay.blanks import likewise_term
from assaywright.assay.content import content_term
from assaywright.assay.observations import Determination
from assaywright.assay.parts import Assembly, Parts
from assaywright.assay.schemes import back, direct
from assaywright.assay.schemes.common import Measured, net_titrant
from assaywright.assay.solutions import SolutionInForce
from assaywright.assay.terms import Term, numbered
from assaywright.metrology.refusal import Refusal


class AssayParts(Parts):
    """The assay of a sample, by direct or by back titration."""

    def _species(self) -> tuple[str, float]:
        """Return the formula the content is expressed as, and its moles for one mole of analyte."""
        wanted, analyte = self.worksheet.wanted, self.method.analyte
        species = wanted.species or self.method.result.species or analyte.formula
        if species == analyte.formula:
            return species, 1.0
        if wanted.species_equivalents is None:
            raise Refusal(
                f"the content is asked for as {species} and nothing tells its equivalents",
                where=f"{self.worksheet.path}: report, species",
                remedy="give species_equivalents, the equivalents of one mole of it in this reaction",
            )
        return species, analyte.equivalents / wanted.species_equivalents

    def _content(self, amounts: list[Term], portions: list[tuple[Term, bool]]) -> Assembly:
        """Add the measurand of an assay whose analyte's amount is known for each determination."""
        species, per_analyte = self._species()
        unit = self.worksheet.wanted.unit or self.method.result.unit
        by_volume = portions[0][1]
        if any(kind != by_volume for _, kind in portions):
            raise Refusal(
                "some determinations take the sample by mass and some by volume",
                where=self.worksheet.path,
                remedy="put them on two worksheets",
            )
        form = self.form(unit, species, self.method.analyte.equivalents, by_volume=by_volume, per_analyte=per_analyte)
        terms = tuple(
            content_term(
                amount, portion, form, numbered(number), f"content by determination {number}", by_volume=by_volume
            )
            for number, (amount, (portion, _)) in enumerate(zip(amounts, portions, strict=True), 1)
        )
        self.out.measured.append(Measured(self.method.determines, unit, terms, species))
        return self.out

    def direct(self) -> Assembly:
        """Assemble a direct titration: the titrant reacts with the analyte itself."""
        found, concentration = self.known("titrant", self.method.titrant)
        titrant = self.titrant(concentration, self.method.titrant.equivalents)
        amounts, portions = [], []
        for number, one in enumerate(self.worksheet.determinations, 1):
            tag = numbered(number)
            net = net_titrant(self._in_force(found, one, tag), titrant, tag)
            amounts.append(direct.analyte_amount(net, titrant, self.method.analyte.equivalents, tag))
            portions.append(self.sample_portion(one, tag))
        return self._content(amounts, portions)

    def back(self) -> Assembly:
        """Assemble a back titration: the titrant finds what is left of a reagent added in excess."""
        found, concentration = self.known("titrant", self.method.titrant)
        blank = self.worksheet.blank
        if blank is not None and blank.kind == "titrated likewise":
            return self._back_by_blank(found, concentration)
        reactant = Refusal.unless(self.method.reagent, f"the method '{self.method.name}' names no reagent")
        reagent, reagent_name = self.known("reagent", reactant)
        titrant = self.titrant(concentration, self.method.titrant.equivalents)
        z_analyte = self.method.analyte.equivalents
        amounts, portions = [], []
        for number, one in enumerate(self.worksheet.determinations, 1):
            tag = numbered(number)
            net = net_titrant(self._in_force(found, one, tag), titrant, tag)
            excess = self._excess(one, reagent)
            amounts.append(
                back.analyte_amount(excess, reagent_name, reactant.equivalents, net, titrant, z_analyte, tag)
            )
            portions.append(self.sample_portion(one, tag))
        return self._content(amounts, portions)

    def _back_by_blank(self, found: SolutionInForce, concentration: str) -> Assembly:
        """Assemble a back titration whose blank was titrated likewise: the reagent's concentration drops out."""
        titrant = self.titrant(concentration, self.method.titrant.equivalents, with_blank=False)
        blank = likewise_term(self.worksheet, self.inputs, self.bench, found, self.remarks)
        amounts, portions = [], []
        for number, one in enumerate(self.worksheet.determinations, 1):
            tag = numbered(number)
            delivered = self._in_force(found, one, tag)
            z_analyte = self.method.analyte.equivalents
            amounts.append(back.analyte_amount_by_blank(blank, delivered, titrant, z_analyte, tag))
            portions.append(self.sample_portion(one, tag))
        return self._content(amounts, portions)

    def _in_force(self, found: SolutionInForce, determination: Determination, tag: str) -> Term:
        """Return the term for the titrant delivered in a determination, noted as its titre."""
        name = self.worksheet.titrant.name
        return self.titre(determination.delivery, found.law, found.reference_degC, tag, name)

    def _excess(self, determination: Determination, reagent: SolutionInForce) -> Term:
        """Return the term for the reagent added in excess [mL]."""
        if determination.excess is None or not determination.excess.pipette:
            raise Refusal(
                "nothing tells how much reagent was added in excess",
                where=f"{self.worksheet.path}: determination {determination.label}",
                remedy="give excess_pipette, or a blank titrated likewise",
            )
        return self.bench.contained(
            determination.excess.pipette,
            determination.excess.temperature,
            reagent.law,
            reagent.reference_degC,
            "reagent in excess",
        )
