"""A standardisation assembled: the titrant's concentration from a weighed standard, or from another solution."""

from assaywright.assay.dilutions import in_aliquot
from assaywright.assay.materials import standard_content, standard_density, standard_formula
from assaywright.assay.method import Reactant
from assaywright.assay.observations import Determination, ReferenceMaterial
from assaywright.assay.parts import Assembly, Parts
from assaywright.assay.schemes import standardise
from assaywright.assay.schemes.common import Measured, net_titrant
from assaywright.assay.solutions import law_of
from assaywright.assay.stated import unstated
from assaywright.assay.terms import Term, numbered
from assaywright.assay.thermal import ThermalLaw
from assaywright.assay.troubles import remark
from assaywright.chemistry.formula import molar_mass
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.refusal import Refusal


class StandardisationParts(Parts):
    """The standardisation of a titrant."""

    def by_weighing(self) -> Assembly:
        """Assemble a standardisation against a weighed primary standard."""
        reactant = Refusal.unless(self.method.standard, f"the method '{self.method.name}' names no standard")
        standard = Refusal.unless(
            self.worksheet.standard,
            f"the method '{self.method.name}' needs a table [standard]",
            where=self.worksheet.path,
            remedy="describe the primary standard with its certificate",
        )
        content, molar = self._standard_inputs(standard, reactant)
        titrant = self.titrant("", self.method.titrant.equivalents)
        law = law_of(self.worksheet.titrant, self.method.titrant, self.method, "titrant")
        density = standard_density(standard, self.worksheet, self.remarks)
        terms = []
        for number, one in enumerate(self.worksheet.determinations, 1):
            tag = numbered(number)
            mass = self._standard_mass(one, density, standard.name, tag)
            delivered = self.titre(one.delivery, law, self.out.reference_degC, tag, self.worksheet.titrant.name)
            net = net_titrant(delivered, titrant, tag)
            terms.append(standardise.by_weighing(mass, content, molar, reactant.equivalents, net, titrant, tag))
        return self._concentration(tuple(terms), by_mass=titrant.by_mass)

    def _standard_mass(self, one: Determination, density: Estimate | None, name: str, tag: str) -> Term:
        """Return the term for the mass of standard in a determination: weighed for it, or in an aliquot of a solution.

        Raises:
            Refusal: nothing of it was weighed.
        """
        dilution = self.worksheet.dilution
        portion, place = (
            (dilution.portion, "dilution") if dilution is not None else (one.portion, f"determination {one.label}")
        )
        weighing = Refusal.unless(
            portion.mass,
            "the mass of the primary standard is missing",
            where=f"{self.worksheet.path}: {place}",
            remedy="give gross and tare, or net",
        )
        if dilution is None:
            return self.bench.weighed(weighing, density, tag, name)
        whole = self.bench.weighed(weighing, density, "_s", name, once=True)
        reference = self.out.reference_degC
        return in_aliquot(self.bench, dilution, one.portion, whole, tag, reference, unit="g", what=name)

    def _standard_inputs(self, standard: ReferenceMaterial, reactant: Reactant) -> tuple[str, str]:
        """Add the inputs for a standard's certified content and molar mass, and return their names."""
        content, link = standard_content(standard, self.worksheet, self.remarks)
        self.out.links.append(link)
        formula = standard_formula(standard, reactant, self.worksheet, self.remarks)
        return (
            self.inputs.add(
                "w_s",
                f"certified content of {standard.name}{unstated(standard.content)}",
                content,
                text=standard.content.text,
                source=standard.certificate.identity,
            ),
            self.inputs.add(f"M({formula})", f"molar mass of {standard.name}", molar_mass(formula), source="CIAAW"),
        )

    def by_solution(self) -> Assembly:
        """Assemble a standardisation against another solution, whichever of the two is in the burette."""
        reactant = Refusal.unless(self.method.against, f"the method '{self.method.name}' names no known solution")
        sheet = self.worksheet
        known, known_name = self.known("against", reactant)
        known_side = (known.law, known.reference_degC, sheet.against.name if sheet.against else "")
        law = law_of(sheet.titrant, self.method.titrant, self.method, "titrant")
        sought_side = (law, self.out.reference_degC, sheet.titrant.name)
        in_burette, in_pipette = (sought_side, known_side) if sheet.unknown_in_burette else (known_side, sought_side)
        titrant = self.titrant("", self.method.titrant.equivalents)
        by_mass = titrant.by_mass and sheet.unknown_in_burette
        terms = []
        for number, one in enumerate(sheet.determinations, 1):
            tag = numbered(number)
            delivered = self.titre(one.delivery, in_burette[0], in_burette[1], tag, in_burette[2])
            net = net_titrant(delivered, titrant, tag)
            pipetted = self._pipetted(one, in_pipette)
            known_term, unknown = (pipetted, net) if sheet.unknown_in_burette else (net, pipetted)
            z_sought = self.method.titrant.equivalents
            terms.append(
                standardise.by_solution(
                    known_term, known_name, reactant.equivalents, unknown, z_sought, tag, by_mass=by_mass
                )
            )
        return self._concentration(tuple(terms), by_mass=by_mass)

    def _pipetted(self, determination: Determination, side: tuple[ThermalLaw, float, str]) -> Term:
        """Return the term for the pipetted portion of the solution that is not in the burette [mL]."""
        if not determination.portion.pipette:
            raise Refusal(
                "the pipetted portion is missing",
                where=f"{self.worksheet.path}: determination {determination.label}",
                remedy="give pipette",
            )
        portion = determination.portion
        return self.bench.contained(portion.pipette, portion.temperature, *side)

    def _concentration(self, terms: tuple[Term, ...], *, by_mass: bool) -> Assembly:
        """Add the measurand of a standardisation, in mol/L or mol/kg."""
        unit = "mol/kg" if by_mass else "mol/L"
        if self.worksheet.wanted.unit not in ("", unit):
            self.remarks.append(
                remark(
                    "unit-of-a-standardisation",
                    f"the concentration is stated in {unit}, not in {self.worksheet.wanted.unit}",
                    f"{self.worksheet.path}: report, unit",
                    "leave the unit out, or ask for it in the assay that uses the titrant",
                )
            )
        self.out.measured.append(
            Measured(f"concentration of {self.worksheet.titrant.name}", unit, terms, self.worksheet.titrant.formula)
        )
        return self.out
