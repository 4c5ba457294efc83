"""The parts that all schemes are assembled from: which solutions, which titrant, which portion, which blank."""

from dataclasses import dataclass, field

from assaywright.assay.bench_terms import Bench
from assaywright.assay.blanks import blank_term
from assaywright.assay.content import ContentForm, check_unit, needs_density
from assaywright.assay.dilutions import in_aliquot
from assaywright.assay.materials import liquid_density
from assaywright.assay.method import Method, Reactant
from assaywright.assay.nominal import nominal_concentration
from assaywright.assay.observations import Delivery, Determination, Portion, Worksheet
from assaywright.assay.result import ChainLink
from assaywright.assay.schemes.common import Measured, Titrant
from assaywright.assay.solution_remarks import formula_remarks
from assaywright.assay.solutions import SolutionInForce, in_force
from assaywright.assay.terms import InputList, Term, shared
from assaywright.assay.thermal import ThermalLaw, measured
from assaywright.assay.titration_error import endpoint_input
from assaywright.assay.upstream import Upstream
from assaywright.chemistry.formula import molar_mass
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark


@dataclass(slots=True)
class Assembly:
    """A worksheet turned into terms.

    Fields:
        measured: the measurands, the worksheet's own first.
        reference_degC: temperature that the result refers to.
        titre_terms: term for the titrant delivered in each determination [mL or g].
        titrant: how it is delivered.
        links: nodes of the chain for the solutions used.
    """

    worksheet: Worksheet
    method: Method
    inputs: InputList = field(default_factory=InputList)
    remarks: list[Remark] = field(default_factory=list)
    measured: list[Measured] = field(default_factory=list)
    titre_terms: list[Term] = field(default_factory=list)
    links: list[ChainLink] = field(default_factory=list)
    reference_degC: float = 20.0
    titrant: Titrant | None = None
    hydroxide_present: bool = True


class Parts:
    """The parts that all schemes are assembled from: solutions, titrant, portions, the form of the content."""

    def __init__(self, worksheet: Worksheet, method: Method, upstream: Upstream) -> None:
        self.worksheet, self.method, self.upstream = worksheet, method, upstream
        self.out = Assembly(worksheet, method)
        self.inputs, self.remarks = self.out.inputs, self.out.remarks
        self.bench = Bench(worksheet, self.inputs, self.remarks)
        wanted = worksheet.wanted.temperature
        self.out.reference_degC = wanted.to("°C") if wanted else 20.0

    def known(self, role: str, reactant: Reactant) -> tuple[SolutionInForce, str]:
        """Return a solution of known concentration and the name of the input for it."""
        solution = {
            "titrant": self.worksheet.titrant,
            "against": self.worksheet.against,
            "reagent": self.worksheet.reagent,
        }[role]
        if solution is None:
            raise Refusal(
                f"the method '{self.method.name}' needs a table [{role}]",
                where=self.worksheet.path,
                remedy="describe that solution",
            )
        found = in_force(solution, reactant, self.worksheet, role, self.method, self.upstream, self.remarks)
        self._check_measure(role, found.estimate.unit)
        self.out.links.append(found.link)
        symbol = {"titrant": "c_t", "against": "c_k", "reagent": "c_r"}[role]
        name = self.inputs.add(symbol, f"concentration of {solution.name}", found.estimate, source=found.link.identity)
        return found, name

    def _check_measure(self, role: str, unit: str) -> None:
        """Refuse a concentration per volume of a solution that is weighed out, and one per mass of one that is not."""
        in_burette = role == "titrant" or (role == "against" and not self.worksheet.unknown_in_burette)
        by_mass = in_burette and self.worksheet.determinations[0].delivery.mass is not None
        if by_mass and unit != "mol/kg":
            raise Refusal(
                f"the {role} is delivered by mass and its concentration is in {unit}",
                where=f"{self.worksheet.path}: {role}",
                remedy="give it in mol/kg: divide it by the density of a solution of this very strength, in kg/L",
            )
        if not by_mass and unit == "mol/kg":
            raise Refusal(
                f"the {role} is measured out by volume and its concentration is in mol/kg",
                where=f"{self.worksheet.path}: {role}",
                remedy="give it in mol/L: multiply it by the density of a solution of this very strength, in kg/L",
            )

    def titrant(self, concentration: str, equivalents: int, *, with_blank: bool = True) -> Titrant:
        """Return how the titrant is delivered, with its blank and titration error."""
        by_mass = self.worksheet.determinations[0].delivery.mass is not None
        if any((d.delivery.mass is not None) != by_mass for d in self.worksheet.determinations):
            raise Refusal(
                "some determinations deliver the titrant by mass and some by volume",
                where=self.worksheet.path,
                remedy="put them on two worksheets",
            )
        blank = (
            blank_term(self.worksheet, self.method, self.inputs, self.bench, self.remarks, by_mass=by_mass)
            if with_blank
            else None
        )
        if not concentration:
            where = f"{self.worksheet.path}: titrant"
            self.remarks += formula_remarks(self.worksheet.titrant, self.method.titrant, where)
        endpoint = endpoint_input(
            self.worksheet, self.method.endpoint, self.inputs, self.remarks, by_mass=by_mass,
            strength_mol_per_L=self.strength_in_burette(),
        )
        self.out.titrant = Titrant(by_mass, concentration, equivalents, blank, endpoint)
        return self.out.titrant

    def strength_in_burette(self) -> float | None:
        """Return the concentration of what is in the burette, nominal where it is sought [mol/L or mol/kg], or None."""
        found = self.inputs.items.get("c_t" if self.worksheet.against is None else "c_k")
        if found is not None and not (self.worksheet.against is not None and self.worksheet.unknown_in_burette):
            return found.estimate.value
        unit = "mol/kg" if self.worksheet.determinations[0].delivery.mass is not None else "mol/L"
        return nominal_concentration(self.worksheet.titrant, self.method.titrant, self.method, "titrant", unit)

    def titre(self, delivery: Delivery, law: ThermalLaw, reference_degC: float, tag: str, name: str) -> Term:
        """Return the term for the titrant delivered in one determination, and note it as that determination's titre.

        Arguments:
            reference_degC: that the volume is brought to [°C].
        """
        term = shared(f"V{tag}", self.delivered(delivery, law, reference_degC, tag, name))
        self.out.titre_terms.append(term)
        return term

    def delivered(
        self, delivery: Delivery, law: ThermalLaw, reference_degC: float, tag: str, name: str, *, to_first: bool = False
    ) -> Term:
        """Return the term for the titrant delivered: volume at the reference temperature [mL], or mass [g]."""
        if delivery.mass is not None:
            density = liquid_density(self.worksheet.titrant.densities, name, self.worksheet, self.remarks)
            return self.bench.weighed(delivery.mass, density, f"_t{tag}", f"titrant {name}")
        return self.bench.delivered(delivery, law, reference_degC, tag, name, to_first=to_first)

    def sample_law(self) -> ThermalLaw:
        """Return the sample's law of thermal expansion: its own, else the method's."""
        sample = self.worksheet.sample
        law = sample.thermal if sample and sample.thermal else self.method.sample.thermal
        return ThermalLaw(law, measured(sample.densities) if sample else ())

    def portion_of(
        self, portion: Portion, tag: str, law: ThermalLaw, what: str, *, once: bool = False
    ) -> tuple[Term, bool]:
        """Return the term for a portion and whether it is a volume.

        Arguments:
            once: taken a single time for all determinations, whose scatter then does not hold its random effects.
        """
        if portion.mass is not None:
            sample = self.worksheet.sample
            density = liquid_density(sample.density if sample else None, what, self.worksheet, self.remarks)
            return self.bench.weighed(portion.mass, density, tag, what, once=once), False
        if not portion.pipette:
            raise Refusal(
                f"nothing tells how much {what} was taken",
                where=f"{self.worksheet.path}: determination",
                remedy="give pipette, or gross and tare, or net",
            )
        reference = self.out.reference_degC
        return self.bench.contained(portion.pipette, portion.temperature, law, reference, what, once=once), True

    def sample_portion(self, determination: Determination, tag: str) -> tuple[Term, bool]:
        """Return the term for the sample in one determination: taken directly, or in an aliquot of its dilution."""
        dilution = self.worksheet.dilution
        if dilution is None:
            return self.portion_of(determination.portion, tag, self.sample_law(), "sample")
        whole, by_volume = self.portion_of(dilution.portion, "_s", self.sample_law(), "sample", once=True)
        bench, reference = self.bench, self.out.reference_degC
        unit = "mL" if by_volume else "g"
        return in_aliquot(bench, dilution, determination.portion, whole, tag, reference, unit=unit), by_volume

    def form(
        self, unit: str, species: str, equivalents: int, *, by_volume: bool, per_analyte: float = 1.0
    ) -> ContentForm:
        """Return how the content is stated, adding molar mass and density when the unit wants them."""
        check_unit(unit, f"{self.worksheet.path}: report, unit")
        mass = self.inputs.add(f"M({species})", f"molar mass of {species}", molar_mass(species), source="CIAAW")
        density = ""
        if needs_density(unit, by_volume=by_volume):
            sample = self.worksheet.sample
            if sample is None or sample.density is None:
                raise Refusal(
                    f"the result is asked for in {unit} and needs the sample's density",
                    where=f"{self.worksheet.path}: sample, density",
                    remedy='give density = "1.219 g/mL ± 0.001 g/mL, k = 2", or another unit',
                )
            estimate = Refusal.unless(
                liquid_density(sample.density, "sample", self.worksheet, self.remarks), "the sample has no density"
            )
            density = self.inputs.add("ρ", "density of the sample", estimate.scaled(1e-3, "g/mL"))
        return ContentForm(unit, mass, equivalents, per_analyte, density)
