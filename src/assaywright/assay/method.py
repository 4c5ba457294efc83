"""A method: how a content is assayed or a titrant standardised, told by one file that is checked when it is loaded.

A method file is written by a chemist, not by a programmer; ``docs/methods.md`` says how. The files of the program lie
in ``assay/methods``; a laboratory's own are handed in as text. No method without a worked example is ever loaded.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from assaywright.assay.editions import EARLIER, EDITION, earlier_editions
from assaywright.assay.endpoint_curve import EndpointCurve
from assaywright.assay.method_example import Example
from assaywright.assay.method_medium import Medium
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal

FORMAT = "assaywright method 1"
KINDS = ("assay", "standardisation")
SCHEMES = ("direct", "back", "two endpoints", "barium chloride", "standardisation by weighing",
           "standardisation by solution")
ALKALI_SCHEMES = ("two endpoints", "barium chloride")
TYPES = ("acid-base", "non-aqueous", "complexometric", "argentometric", "iodometric", "iodimetric", "permanganate",
         "dichromate", "cerimetric", "diazotisation", "Karl Fischer")
ROUTES = ("straight", "replacement", "distillation", "precipitation")
ENDPOINT_KINDS = ("visual", "potentiometric", "photometric", "amperometric")
TREATMENTS = ("in the uncertainty", "applied", "negligible")
BLANK_KINDS = ("none", "indicator blank", "reagent blank", "neutralised solvent", "titrated likewise")
HANDLINGS = ("pipetted", "weighed", "diluted")
ACCEPTANCE_RULES = ("range", "ISO 5725-6 critical range", "GB/T 601 two persons by four", "Ph. Eur. RSD")
ACID_PARTS = ("total", "hydroxide", "carbonate")
NO_SOURCE = "common practice, no source"
STATUSES = ("read", "from memory", NO_SOURCE)


@dataclass(frozen=True, slots=True)
class Reactant:
    """A substance with the part it plays in the reaction.

    Fields:
        name: in words ("hydrochloric acid").
        formula: that its content or concentration is expressed as.
        equivalents: of one mole, in this method's reaction.
        reacts_as: the formula by which the reaction names it, when that differs ("Ca^2+" for a content as CaCO3).
        reacts_as_moles: moles of that species in one mole of ``formula``.
        nominal: nominal concentrations the method is meant for; empty for what is no titrant.
        thermal: pairs (nominal concentration as written, law of thermal expansion); the pair with an empty text holds
            for every concentration.
    """

    name: str
    formula: str
    equivalents: int
    reacts_as: str
    reacts_as_moles: int = 1
    nominal: tuple[Quantity, ...] = ()
    thermal: tuple[tuple[str, str], ...] = ()

    def thermal_for(self, nominal: Quantity | None) -> str:
        """Return the law of thermal expansion for a nominal concentration, or an empty text when the method has none.

        Returns: a column of the correction table ("HCl_1"), "water" or a coefficient per kelvin ("0.0011 /K").
        """
        for written, law in self.thermal:
            if not written:
                return law
            if nominal is not None and _same_amount(written, nominal):
                return law
        return ""


@dataclass(frozen=True, slots=True)
class TitrimetricEquivalent:
    """What each millilitre of titrant stands for.

    Fields:
        text: "each mL of 1 mol/L hydrochloric acid is equivalent to 40.00 mg of NaOH".
        titrant_concentration: that the figure holds for.
        mg_per_mL: molar mass × concentration × equivalents of the titrant / equivalents of the substance.
        source: of the figure.
        published_mg_per_mL, published_in, published_status: the figure as a publication prints it, and which; empty
            when none was found.
    """

    text: str
    titrant_concentration: Quantity
    mg_per_mL: str
    source: str
    published_mg_per_mL: str = ""
    published_in: str = ""
    published_status: str = ""


@dataclass(frozen=True, slots=True)
class Endpoint:
    """How the end of the reaction is seen, and by how much that misses the equivalence point.

    Fields:
        kind: one of :data:`ENDPOINT_KINDS`.
        indicator, colour_change: as seen at the bench.
        titration_error: volume of titrant between equivalence point and endpoint, with its uncertainty; None where it
            cannot be computed.
        at: concentration of titrant that the titration error is stated for; with another it takes as much more or less
            titrant as it is weaker or stronger. None where it is the same volume at every strength.
        treatment: one of :data:`TREATMENTS`.
        influence: shared text of this influence; a standardisation and an assay that write the same share the error,
            and it partly cancels.
        reason: why the error is as stated.
        curve: where the error follows from the curve of each titration; ``titration_error`` is then what that leaves.
    """

    kind: str
    indicator: str
    colour_change: str
    titration_error: Quantity | None
    treatment: str
    influence: str
    reason: str
    at: Quantity | None = None
    curve: EndpointCurve | None = None


@dataclass(frozen=True, slots=True)
class Blank:
    """Which blank the method titrates; ``required`` when a result without it is held back."""

    kind: str
    required: bool
    text: str = ""


@dataclass(frozen=True, slots=True)
class SampleHandling:
    """How a portion is taken.

    Fields:
        handling: what is allowed, of :data:`HANDLINGS`.
        text: in words.
        thermal: law of thermal expansion, where the sample is like a standard solution.
        strongest: amount concentration up to which the method is meant for a solution; None for any.
        pipetted_up_to: amount concentration above which a solution is weighed, or diluted first; None for any.
    """

    handling: tuple[str, ...]
    text: tuple[str, ...]
    thermal: str = ""
    strongest: Quantity | None = None
    pipetted_up_to: Quantity | None = None


@dataclass(frozen=True, slots=True)
class AcceptanceRule:
    """A named rule by which replicates are accepted, its relative limit where it has one, and who says so."""

    rule: str
    limit: Quantity | None
    source: str


@dataclass(frozen=True, slots=True)
class Repeatability:
    """Pooled relative standard deviation of one determination [%], its degrees of freedom, and where it comes from."""

    pooled: Quantity
    degrees_of_freedom: float
    source: str


@dataclass(frozen=True, slots=True)
class Measurand:
    """One of several results of the same titrations, for the schemes of two endpoints and of barium chloride.

    Fields:
        name: in words ("sodium carbonate").
        formula, equivalents: of the substance it is expressed as, in ``reaction``.
        part: which part of the acid it rests on, one of :data:`ACID_PARTS`. With P to the first endpoint and T to the
            second: total T, hydroxide 2P − T, carbonate 2(T − P). Where 2P lies below T, carbonate is 2P, and
            hydrogencarbonate, T − 2P, stands in the hydroxide's place. With H to an aliquot after barium chloride:
            hydroxide H, carbonate T − H.
        unit: content unit.
        reaction: by which it takes the acid of its part.
        convention: how the equivalents go with a conventional figure that looks different.
        titrimetric_equivalent: or None.
    """

    name: str
    formula: str
    equivalents: int
    part: str
    unit: str
    reaction: str
    convention: str
    titrimetric_equivalent: TitrimetricEquivalent | None = None


@dataclass(frozen=True, slots=True)
class ResultForm:
    """How the result is expressed when the worksheet does not ask for something else."""

    unit: str
    species: str
    measurands: tuple[Measurand, ...] = ()


@dataclass(frozen=True, slots=True)
class Hazard:
    """The GHS hazard statement codes and signal word of a substance or solution; no code means not classified.

    Fields:
        statements: its codes with their words, where they are to be read in full.
        remark: what else to know of it, in a sentence without its end.
    """

    substance: str
    codes: tuple[str, ...]
    signal_word: str
    source: str
    statements: tuple[str, ...] = ()
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Cautions:
    """What is said before the first step, and that the safety data sheet and local rules go first."""

    protective_equipment: tuple[str, ...]
    hazards: tuple[Hazard, ...]
    incompatibilities: tuple[str, ...]
    notes: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class Reference:
    """A publication the method rests on; ``status`` is "read", "from memory" or "common practice, no source"."""

    text: str
    status: str


@dataclass(frozen=True, slots=True)
class Method:
    """A method as its file tells it, checked.

    Fields:
        edition: changed whenever the file's meaning changes.
        determines: in words.
        route: what lies between sample and titration, one of :data:`ROUTES`. Nothing; another substance set free by
            the analyte and titrated in its place; a distillate caught and titrated; or a precipitate thrown down first.
        reaction: of analyte and titrant; of analyte and reagent in a back titration; of the weighed standard, or of the
            solution set against, and titrant in a standardisation.
        reagent_reaction: in a back titration, of the reagent's excess and the titrant.
        analyte: what is determined; in a standardisation the titrant itself.
        titrant: in a standardisation the solution sought.
        reagent, standard, against: where the scheme has one; else None.
        first_endpoint: of two endpoints, the first, or that of the aliquot with barium chloride; ``endpoint`` is the
            last, or that of the other aliquot.
        medium: what the flask holds besides; None where nothing is said of it.
        replicates: number of determinations wanted.
        further_examples: published readings with their result, beside the example that shows the whole method.
        sha256: hash of the file's text, for the record of every result.
        where: the file, as named when it was loaded.
    """

    name: str
    title: str
    edition: str
    determines: str
    kind: str
    scheme: str
    type: str
    route: str
    reaction: str
    reagent_reaction: str
    analyte: Reactant
    titrant: Reactant
    reagent: Reactant | None
    standard: Reactant | None
    against: Reactant | None
    titrimetric_equivalent: TitrimetricEquivalent
    endpoint: Endpoint
    first_endpoint: Endpoint | None
    medium: Medium | None
    sample: SampleHandling
    blank: Blank
    procedure: tuple[str, ...]
    replicates: int
    acceptance: tuple[AcceptanceRule, ...]
    repeatability: Repeatability
    result: ResultForm
    cautions: Cautions
    references: tuple[Reference, ...]
    example: Example
    further_examples: tuple[Example, ...]
    sha256: str
    where: str

    @property
    def examples(self) -> tuple[Example, ...]:
        """The worked example and those that stand beside it."""
        return (self.example, *self.further_examples)


def method_names() -> tuple[str, ...]:
    """Return the names of the program's own methods, in alphabetical order."""
    return tuple(sorted(_own_files()))


@cache
def load_method(name: str, edition: str = "") -> Method:
    """Return one of the program's own methods, read once, checked and kept.

    Arguments:
        name: of the file without its ending ("caustic-soda-by-acid").
        edition: an earlier one by its number; the one in force when not given.

    Raises:
        Refusal: no such method or edition, or the file breaks a rule of :func:`parse_method`.
    """
    from assaywright.assay.near_names import nearest_names
    from assaywright.metrology.typed import shown

    if name not in _own_files():
        near = " or ".join(nearest_names(name, method_names()))
        raise Refusal(f"there is no method '{shown(name)}'",
                      remedy=f"did you mean {near}? " * bool(near) + "assaywright methods lists them all")
    if edition in earlier_editions(name):
        return parse_method(library_text(name, edition), f"methods/{EARLIER}/{name}{EDITION}{edition}.toml")
    method = parse_method(library_text(name), f"methods/{name}.toml")
    if edition and edition != method.edition:
        held = " and ".join((*earlier_editions(name), method.edition))
        raise Refusal(f"the method '{name}' has no edition '{shown(edition)}' here", where="method_edition",
                      remedy=f"its editions are {held}; leave the line out for the one in force")
    if method.name != name:
        raise Refusal(f"the method calls itself '{method.name}'", where=method.where,
                      remedy="give the file the method's name")
    return method


def parse_method(text: str, where: str = "method") -> Method:
    """Return the method that a text in TOML tells, once it has passed every check.

    The reaction is balanced in atoms and charge, the equivalents agree with it, the hazard statements are known ones,
    nothing is misspelt, nothing is missing, and there is a worked example.

    Arguments:
        text: the whole file.
        where: what to call the file in a refusal.

    Raises:
        Refusal: any of that fails; one sentence says what, where and what to do.
    """
    from assaywright.assay.method_checks import check_method
    from assaywright.assay.method_file import read_method

    method = read_method(text, where)
    check_method(method)
    return method


def library_text(name: str, edition: str = "") -> str:
    """Return the text of one of the program's own method files by the method's name, or that of an earlier edition."""
    from importlib.resources import files

    folder = files("assaywright.assay") / "methods"
    file = folder / EARLIER / f"{name}{EDITION}{edition}.toml" if edition else folder / f"{name}.toml"
    return file.read_text(encoding="utf-8")


@cache
def _own_files() -> frozenset[str]:
    return frozenset(_names())


def _names() -> Iterator[str]:
    from importlib.resources import files

    for entry in (files("assaywright.assay") / "methods").iterdir():
        if entry.name.endswith(".toml"):
            yield entry.name.removesuffix(".toml")


def _same_amount(written: str, nominal: Quantity) -> bool:
    from assaywright.metrology.typed import read_quantity

    given = read_quantity(written)
    return given.unit == nominal.unit and given.value == nominal.value
