"""From a worksheet and its method to terms and inputs: which scheme, which portion, which titrant, which blank."""

from dataclasses import dataclass, field

from assaywright.assay.bench import Bench
from assaywright.assay.blanks import blank_term, likewise_term
from assaywright.assay.content import ContentForm, check_unit, content_term, needs_density
from assaywright.assay.materials import liquid_density, standard_content, standard_density
from assaywright.assay.method import Measurand, Method, Reactant
from assaywright.assay.observations import Delivery, Determination, Dilution, Portion, Worksheet
from assaywright.assay.result import ChainLink
from assaywright.assay.schemes import back, direct, standardise, two_endpoints
from assaywright.assay.schemes.common import Measured, Titrant, net_titrant
from assaywright.assay.solutions import SolutionInForce, in_force, law_of
from assaywright.assay.terms import InputList, Scope, Term, numbered, shared
from assaywright.assay.thermal import ThermalLaw, measured
from assaywright.assay.titration_error import endpoint_input
from assaywright.assay.troubles import remark
from assaywright.assay.upstream import Upstream
from assaywright.chemistry.formula import molar_mass
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark

DILUTION_LAW = ThermalLaw("water")


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


class Assembler:
    """Puts an assembly together; one method a scheme."""

    def __init__(self, worksheet: Worksheet, method: Method, upstream: Upstream) -> None:
        self.worksheet, self.method, self.upstream = worksheet, method, upstream
        self.out = Assembly(worksheet, method)
        self.inputs, self.remarks = self.out.inputs, self.out.remarks
        self.bench = Bench(worksheet, self.inputs, self.remarks)
        wanted = worksheet.wanted.temperature
        self.out.reference_degC = wanted.to("°C") if wanted else 20.0

    def assemble(self) -> Assembly:
        """Return the assembly of the method's scheme."""
        if self.method.kind != self.worksheet.kind:
            raise Refusal(f"the method '{self.method.name}' is for a {self.method.kind}, the worksheet is a "
                          f"{self.worksheet.kind}", where=f"{self.worksheet.path}: method",
                          remedy="name another method, or correct kind")
        {
            "direct": self._direct, "back": self._back, "two endpoints": self._two_endpoints,
            "standardisation by weighing": self._by_weighing, "standardisation by solution": self._by_solution,
        }[self.method.scheme]()
        return self.out

    # ------------------------------------------------------------------ parts

    def _known(self, role: str, reactant: Reactant) -> tuple[SolutionInForce, str]:
        """Return a solution of known concentration and the name of the input for it."""
        solution = {"titrant": self.worksheet.titrant, "against": self.worksheet.against,
                    "reagent": self.worksheet.reagent}[role]
        if solution is None:
            raise Refusal(f"the method '{self.method.name}' needs a table [{role}]", where=self.worksheet.path,
                          remedy="describe that solution")
        found = in_force(solution, reactant, self.worksheet, role, self.method.reaction, self.upstream, self.remarks)
        self.out.links.append(found.link)
        symbol = {"titrant": "c_t", "against": "c_k", "reagent": "c_r"}[role]
        name = self.inputs.add(symbol, f"concentration of {solution.name}", found.estimate, source=found.link.identity)
        return found, name

    def _titrant(self, concentration: str, equivalents: int, *, with_blank: bool = True) -> Titrant:
        """Return how the titrant is delivered, with its blank and titration error."""
        by_mass = self.worksheet.determinations[0].delivery.mass is not None
        if any((d.delivery.mass is not None) != by_mass for d in self.worksheet.determinations):
            raise Refusal("some determinations deliver the titrant by mass and some by volume", where=self.worksheet.path,
                          remedy="put them on two worksheets")
        blank = blank_term(self.worksheet, self.method, self.inputs, self.bench, by_mass, self.remarks) \
            if with_blank else None
        endpoint = endpoint_input(self.worksheet, self.method.endpoint, self.inputs, by_mass, self.remarks)
        self.out.titrant = Titrant(by_mass, concentration, equivalents, blank, endpoint)
        return self.out.titrant

    def _delivered(self, delivery: Delivery, law: ThermalLaw, reference_degC: float, tag: str, name: str,
                   *, to_first: bool = False) -> Term:
        """Return the term for the titrant delivered: volume at the reference temperature [mL], or mass [g]."""
        if delivery.mass is not None:
            density = liquid_density(self.worksheet.titrant.densities, name, self.worksheet, self.remarks)
            return self.bench.weighed(delivery.mass, density, f"_t{tag}", f"titrant {name}")
        return self.bench.delivered(delivery, law, reference_degC, tag, name, to_first=to_first)

    def _sample_law(self) -> ThermalLaw:
        sample = self.worksheet.sample
        law = sample.thermal if sample and sample.thermal else self.method.sample.thermal
        return ThermalLaw(law, measured(sample.densities) if sample else ())

    def _portion_of(self, portion: Portion, tag: str, law: ThermalLaw, what: str) -> tuple[Term, bool]:
        """Return the term for a portion and whether it is a volume."""
        if portion.mass is not None:
            sample = self.worksheet.sample
            density = liquid_density(sample.density if sample else None, what, self.worksheet, self.remarks)
            return self.bench.weighed(portion.mass, density, tag, what), False
        if not portion.pipette:
            raise Refusal(f"nothing tells how much {what} was taken", where=f"{self.worksheet.path}: determination",
                          remedy="give pipette, or gross and tare, or net")
        return self.bench.contained(portion.pipette, portion.temperature, law, self.out.reference_degC, what), True

    def _sample_portion(self, determination: Determination, tag: str) -> tuple[Term, bool]:
        """Return the term for the sample in one determination: taken directly, or in an aliquot of its dilution."""
        dilution = self.worksheet.dilution
        if dilution is None:
            return self._portion_of(determination.portion, tag, self._sample_law(), "sample")
        whole, by_volume = self._portion_of(dilution.portion, "_s", self._sample_law(), "sample")
        aliquot, made_up = self._aliquot(determination.portion, dilution, tag)
        whole, made_up = shared("s", whole), shared("made up", made_up)

        def term(scope: Scope) -> object:
            return scope.m.step(f"s{tag}", "sample in the aliquot", whole(scope) * aliquot(scope) / made_up(scope),
                                "mL" if by_volume else "g")

        return term, by_volume

    def _aliquot(self, portion: Portion, dilution: Dilution, tag: str) -> tuple[Term, Term]:
        """Return the terms for an aliquot and for the whole dilution, both by volume or both by mass.

        By mass both have the same density, so buoyancy drops out of their ratio.
        """
        by_mass = portion.mass is not None
        if by_mass != (dilution.total_mass is not None):
            raise Refusal("the dilution is made up by one means and its aliquots are taken by another",
                          where=f"{self.worksheet.path}: dilution",
                          remedy="make up and take aliquots both by volume, or weigh both")
        if portion.mass is not None and dilution.total_mass is not None:
            return (self.bench.weighed(portion.mass, None, f"_a{tag}", "aliquot"),
                    self.bench.weighed(dilution.total_mass, None, "_d", "whole dilution"))
        aliquot, _ = self._portion_of(portion, tag, DILUTION_LAW, "aliquot")
        return aliquot, self.bench.contained(dilution.flask, dilution.temperature, DILUTION_LAW, self.out.reference_degC,
                                             "dilution")

    def _form(self, unit: str, species: str, equivalents: int, by_volume: bool, per_analyte: float = 1.0) -> ContentForm:
        """Return how the content is stated, adding molar mass and density when the unit wants them."""
        check_unit(unit, f"{self.worksheet.path}: report, unit")
        mass = self.inputs.add(f"M({species})", f"molar mass of {species}", molar_mass(species), source="CIAAW")
        density = ""
        if needs_density(by_volume, unit):
            sample = self.worksheet.sample
            if sample is None or sample.density is None:
                raise Refusal(f"the result is asked for in {unit} and needs the sample's density",
                              where=f"{self.worksheet.path}: sample, density",
                              remedy='give density = "1.219 g/mL ± 0.001 g/mL, k = 2", or another unit')
            estimate = liquid_density(sample.density, "sample", self.worksheet, self.remarks)
            assert estimate is not None
            density = self.inputs.add("ρ", "density of the sample", estimate.scaled(1e-3, "g/mL"))
        return ContentForm(unit, mass, equivalents, per_analyte, density)

    # ------------------------------------------------------------------ schemes

    def _species(self) -> tuple[str, float]:
        """Return the formula the content is expressed as, and its moles for one mole of analyte."""
        wanted, analyte = self.worksheet.wanted, self.method.analyte
        species = wanted.species or self.method.result.species or analyte.formula
        if species == analyte.formula:
            return species, 1.0
        if wanted.species_equivalents is None:
            raise Refusal(f"the content is asked for as {species} and nothing tells its equivalents",
                          where=f"{self.worksheet.path}: report, species",
                          remedy="give species_equivalents, the equivalents of one mole of it in this reaction")
        return species, analyte.equivalents / wanted.species_equivalents

    def _content(self, amounts: list[Term], portions: list[tuple[Term, bool]]) -> None:
        """Add the measurand of an assay whose analyte's amount is known for each determination."""
        species, per_analyte = self._species()
        unit = self.worksheet.wanted.unit or self.method.result.unit
        by_volume = portions[0][1]
        if any(kind != by_volume for _, kind in portions):
            raise Refusal("some determinations take the sample by mass and some by volume", where=self.worksheet.path,
                          remedy="put them on two worksheets")
        form = self._form(unit, species, self.method.analyte.equivalents, by_volume, per_analyte)
        terms = tuple(
            content_term(amount, portion, by_volume, form, numbered(number), f"content by determination {number}")
            for number, (amount, (portion, _)) in enumerate(zip(amounts, portions, strict=True), 1))
        self.out.measured.append(Measured(self.method.determines, unit, terms, species))

    def _direct(self) -> None:
        found, concentration = self._known("titrant", self.method.titrant)
        titrant = self._titrant(concentration, self.method.titrant.equivalents)
        amounts, portions = [], []
        for number, one in enumerate(self.worksheet.determinations, 1):
            tag = numbered(number)
            delivered = shared(f"V{tag}", self._delivered(one.delivery, found.law, found.reference_degC, tag,
                                                          self.worksheet.titrant.name))
            self.out.titre_terms.append(delivered)
            amounts.append(direct.analyte_amount(net_titrant(delivered, titrant, tag), titrant,
                                                 self.method.analyte.equivalents, tag))
            portions.append(self._sample_portion(one, tag))
        self._content(amounts, portions)

    def _back(self) -> None:
        found, concentration = self._known("titrant", self.method.titrant)
        blank = self.worksheet.blank
        likewise = blank is not None and blank.kind == "titrated likewise"
        titrant = self._titrant(concentration, self.method.titrant.equivalents, with_blank=not likewise)
        assert self.method.reagent is not None
        reagent, reagent_name = (None, "") if likewise else self._known("reagent", self.method.reagent)
        blank_volume = likewise_term(self.worksheet, self.inputs, self.bench, found, self.remarks) if likewise else None
        amounts, portions = [], []
        for number, one in enumerate(self.worksheet.determinations, 1):
            tag = numbered(number)
            delivered = shared(f"V{tag}", self._delivered(one.delivery, found.law, found.reference_degC, tag,
                                                          self.worksheet.titrant.name))
            self.out.titre_terms.append(delivered)
            if blank_volume is not None:
                amounts.append(back.analyte_amount_by_blank(blank_volume, delivered, titrant,
                                                            self.method.analyte.equivalents, tag))
            else:
                assert reagent is not None
                amounts.append(back.analyte_amount(
                    self._excess(one, reagent, tag), reagent_name, self.method.reagent.equivalents,
                    net_titrant(delivered, titrant, tag), titrant, self.method.analyte.equivalents, tag))
            portions.append(self._sample_portion(one, tag))
        self._content(amounts, portions)

    def _excess(self, determination: Determination, reagent: SolutionInForce, tag: str) -> Term:
        """Return the term for the reagent added in excess [mL]."""
        if determination.excess is None or not determination.excess.pipette:
            raise Refusal("nothing tells how much reagent was added in excess",
                          where=f"{self.worksheet.path}: determination {determination.label}",
                          remedy="give excess_pipette, or a blank titrated likewise")
        return self.bench.contained(determination.excess.pipette, determination.excess.temperature, reagent.law,
                                    reagent.reference_degC, "reagent in excess")

    def _two_endpoints(self) -> None:
        found, concentration = self._known("titrant", self.method.titrant)
        titrant = self._titrant(concentration, self.method.titrant.equivalents)
        first_error = endpoint_input(self.worksheet, self.method.first_endpoint, self.inputs, False, self.remarks,
                                     symbol="δV_e1") if self.method.first_endpoint else ""
        first_titrant = Titrant(False, concentration, titrant.equivalents, None, first_error)
        pairs, portions = [], []
        for number, one in enumerate(self.worksheet.determinations, 1):
            tag = numbered(number)
            if one.delivery.first is None:
                raise Refusal("the reading at the first endpoint is missing",
                              where=f"{self.worksheet.path}: determination {one.label}, first",
                              remedy="give the burette reading at the first endpoint")
            first = net_titrant(self._delivered(one.delivery, found.law, found.reference_degC, tag,
                                                self.worksheet.titrant.name, to_first=True), first_titrant, f"_P{tag}")
            delivered = shared(f"V{tag}", self._delivered(one.delivery, found.law, found.reference_degC, tag,
                                                          self.worksheet.titrant.name))
            total = net_titrant(delivered, titrant, tag)
            self.out.titre_terms.append(delivered)
            pairs.append((self._with_repeatability(first, "δP"), self._with_repeatability(total, "δT")))
            portions.append(self._sample_portion(one, tag))
        self.out.hydroxide_present = self._hydroxide_present(pairs)
        for measurand in self.method.result.measurands:
            self._part(measurand, pairs, portions, titrant)

    def _with_repeatability(self, volume: Term, name: str) -> Term:
        """Return a volume plus the open effect of repeatability on it, an input added by the evaluation."""

        def term(scope: Scope) -> object:
            return volume(scope) + scope.x[name] if name in scope.x else volume(scope)

        return term

    def _hydroxide_present(self, pairs: list[tuple[Term, Term]]) -> bool:
        """Return whether 2P exceeds T in the mean of the determinations that count."""
        from assaywright.metrology.model import PlainMeans

        values = {name: given.estimate.value for name, given in self.inputs.items.items()}
        total = 0.0
        for one, (first, second) in zip(self.worksheet.determinations, pairs, strict=True):
            if not one.excluded:
                total += 2 * first(Scope(values, PlainMeans())) - second(Scope(values, PlainMeans()))
        return total >= 0

    def _part(self, measurand: Measurand, pairs: list[tuple[Term, Term]], portions: list[tuple[Term, bool]],
              titrant: Titrant) -> None:
        """Add one measurand of the two endpoints."""
        part, formula, name, equivalents = measurand.part, measurand.formula, measurand.name, measurand.equivalents
        if part == two_endpoints.HYDROXIDE and not self.out.hydroxide_present:
            part, formula, equivalents = two_endpoints.HYDROGENCARBONATE, formula.replace("OH", "HCO3"), 1
            name = f"hydrogencarbonate as {formula}"
        by_volume = portions[0][1]
        wanted = self.worksheet.wanted.unit if not self.out.measured else ""
        form = self._form(wanted or measurand.unit, formula, equivalents, by_volume)
        terms = []
        for number, ((first, total), (portion, _)) in enumerate(zip(pairs, portions, strict=True), 1):
            tag = numbered(number)
            volume = two_endpoints.part_volume(first, total, part, self.out.hydroxide_present, tag)
            amount = two_endpoints.part_amount(volume, titrant, part, equivalents, tag)
            terms.append(content_term(amount, portion, by_volume, form, tag, f"{name} by determination {number}"))
        self.out.measured.append(Measured(name, form.unit, tuple(terms), formula))

    def _by_weighing(self) -> None:
        standard = self.worksheet.standard
        if standard is None or self.method.standard is None:
            raise Refusal(f"the method '{self.method.name}' needs a table [standard]", where=self.worksheet.path,
                          remedy="describe the primary standard with its certificate")
        content, link = standard_content(standard, self.worksheet, self.remarks)
        self.out.links.append(link)
        content_name = self.inputs.add("w_s", f"certified content of {standard.name}", content, text=standard.content.text,
                                       source=standard.certificate.identity)
        formula = standard.formula or self.method.standard.formula
        mass_name = self.inputs.add(f"M({formula})", f"molar mass of {standard.name}", molar_mass(formula), source="CIAAW")
        titrant = self._titrant("", self.method.titrant.equivalents)
        law = law_of(self.worksheet.titrant, self.method.titrant)
        density = standard_density(standard, self.worksheet, self.remarks)
        terms = []
        for number, one in enumerate(self.worksheet.determinations, 1):
            tag = numbered(number)
            if one.portion.mass is None:
                raise Refusal("the mass of the primary standard is missing",
                              where=f"{self.worksheet.path}: determination {one.label}",
                              remedy="give gross and tare, or net")
            mass = self.bench.weighed(one.portion.mass, density, tag, standard.name)
            delivered = shared(f"V{tag}", self._delivered(one.delivery, law, self.out.reference_degC, tag,
                                                          self.worksheet.titrant.name))
            self.out.titre_terms.append(delivered)
            terms.append(standardise.by_weighing(mass, content_name, mass_name, self.method.standard.equivalents,
                                                 net_titrant(delivered, titrant, tag), titrant, tag))
        self._concentration(tuple(terms), titrant.by_mass)

    def _by_solution(self) -> None:
        assert self.method.against is not None
        known, known_name = self._known("against", self.method.against)
        sheet = self.worksheet
        assert sheet.against is not None
        titrant = self._titrant("", self.method.titrant.equivalents)
        law = law_of(sheet.titrant, self.method.titrant)
        terms = []
        for number, one in enumerate(sheet.determinations, 1):
            tag = numbered(number)
            in_burette = (law, self.out.reference_degC, sheet.titrant.name) if sheet.unknown_in_burette else \
                (known.law, known.reference_degC, sheet.against.name)
            in_pipette = (known.law, known.reference_degC, sheet.against.name) if sheet.unknown_in_burette else \
                (law, self.out.reference_degC, sheet.titrant.name)
            delivered = shared(f"V{tag}", self._delivered(one.delivery, in_burette[0], in_burette[1], tag, in_burette[2]))
            self.out.titre_terms.append(delivered)
            net = net_titrant(delivered, titrant, tag)
            if not one.portion.pipette:
                raise Refusal("the pipetted portion is missing", where=f"{sheet.path}: determination {one.label}",
                              remedy="give pipette")
            pipetted = self.bench.contained(one.portion.pipette, one.portion.temperature, in_pipette[0], in_pipette[1],
                                            in_pipette[2])
            known_term, unknown = (pipetted, net) if sheet.unknown_in_burette else (net, pipetted)
            terms.append(standardise.by_solution(known_term, known_name, self.method.against.equivalents, unknown,
                                                 self.method.titrant.equivalents,
                                                 titrant.by_mass and sheet.unknown_in_burette, tag))
        self._concentration(tuple(terms), titrant.by_mass and sheet.unknown_in_burette)

    def _concentration(self, terms: tuple[Term, ...], by_mass: bool) -> None:
        """Add the measurand of a standardisation, in mol/L or mol/kg."""
        unit = "mol/kg" if by_mass else "mol/L"
        if self.worksheet.wanted.unit not in ("", unit):
            self.remarks.append(remark("unit-of-a-standardisation", f"the concentration is stated in {unit}, not in "
                                       f"{self.worksheet.wanted.unit}", f"{self.worksheet.path}: report, unit",
                                       "leave the unit out, or ask for it in the assay that uses the titrant"))
        self.out.measured.append(Measured(f"concentration of {self.worksheet.titrant.name}", unit, terms,
                                          self.worksheet.titrant.formula))
