"""How a substance is counted: equivalents in a named reaction, and moles of the species it is expressed as."""

from dataclasses import dataclass
from fractions import Fraction

from assaywright.chemistry.equivalent import equivalents
from assaywright.chemistry.formula import Formula, parse_formula
from assaywright.chemistry.oxidation import moves_electrons
from assaywright.chemistry.reaction import Reaction, Term, parse_reaction
from assaywright.chemistry.solute import Solute, find_solute
from assaywright.metrology.refusal import Refusal

PROTON_COUNTERS = ("H+", "OH-", "H3O+")
ELECTRON = "e-"
HYDROXIDE = "OH-"
OXYGEN_ACIDS_OF = frozenset(("B", "C", "N", "Si", "P", "S", "Cl", "As", "Se", "Br", "I"))  # their OH is an acid's
COUNTED_WHERE = "reaction"
ARROWS = ("->", "→", "=", "⇌")


@dataclass(frozen=True, slots=True)
class Counting:
    """How many equivalents a mole of a substance has.

    Fields:
        number: equivalents per mole, exact.
        counted: the species, one of which is one equivalent.
        reaction: the reaction as written.
    """

    number: Fraction
    counted: str
    reaction: str


@dataclass(frozen=True, slots=True)
class Expressed:
    """The species a content is expressed as.

    Fields:
        formula: of the species.
        moles_per_mole: moles of it for a mole of the substance, exact.
        reason: why so many, in words.
    """

    formula: Formula
    moles_per_mole: Fraction
    reason: str


def count_equivalents(solute: Solute, reaction: str, counted: str = "") -> Counting:
    """Return how many equivalents a mole of a substance has in a named reaction.

    z = n(counted)/n(substance), from the coefficients.

    Arguments:
        solute: the substance; it, or an ion of it, stands in the reaction.
        reaction: balanced, in one line; or, for a primary standard, the basis on which it is held.
        counted: the species, one of which is one equivalent. When not given: electrons where they are written, else
            the H+ or OH- of a reaction that moves no electrons.

    Raises:
        Refusal: no reaction, a substance that is not in it, or nothing that can be counted without being named.

    Source: IUPAC Compendium of Chemical Terminology, "equivalent entity".

    Example:
        >>> count_equivalents(find_solute("KMnO4"), "MnO4- + 8 H+ + 5 e- -> Mn2+ + 4 H2O").number
        Fraction(5, 1)
    """
    if not any(arrow in reaction for arrow in ARROWS):
        held = equivalents(solute.name, reaction.strip())
        return Counting(Fraction(held.number), held.counted, held.reaction)
    read = parse_reaction(reaction)
    term, ions = _standing_in(read, solute)
    hydroxides = _hydroxides_used(read) if not counted else None
    if hydroxides is not None:
        return Counting(hydroxides / term.coefficient * ions, HYDROXIDE, reaction)
    name = counted or _counter(read)
    number = read.coefficient(name) / term.coefficient * ions
    return Counting(number, name, reaction)


def express_as(solute: Solute, species: str, reaction: str = "") -> Expressed:
    """Return how many moles of a species a mole of a substance is expressed as.

    Arguments:
        solute: the substance.
        species: formula of the species ("Na2O", "Cl-"), or the name of a substance.
        reaction: a reaction that holds both, which then decides; else the elements that both count decide, hydrogen
            and oxygen left out.

    Raises:
        Refusal: nothing common to count by, elements that count differently, or a free element (available chlorine,
            active oxygen), whose amount only a reaction tells.

    Example:
        >>> express_as(find_solute("NaOH"), "Na2O").moles_per_mole
        Fraction(1, 2)
    """
    formula = _species(species)
    if reaction:
        read = parse_reaction(reaction)
        found = [term for term in read.left + read.right if term.species.is_same_entity(formula)]
        if found:
            term, ions = _standing_in(read, solute)
            return Expressed(formula, found[0].coefficient / term.coefficient * ions, reaction)
    if formula.is_same_entity(solute.formula) or formula.is_same_entity(solute.anhydrous):
        return Expressed(formula, Fraction(1), "the substance itself")
    if _is_free_element(formula):
        raise Refusal(f"how much {species} answers to {solute.name} is decided by a reaction", where="expressed as",
                      remedy=f"name one that holds both {solute.formula.text} and {species}")
    return _by_elements(solute, formula, species)


def _by_elements(solute: Solute, formula: Formula, species: str) -> Expressed:
    """Return the ratio that the common elements beside hydrogen and oxygen give."""
    common = [symbol for symbol, _ in formula.atoms if symbol not in ("H", "O") and solute.formula.count(symbol)]
    ratios = {solute.formula.count(symbol) / formula.count(symbol) for symbol in common}
    if len(ratios) != 1:
        why = ("have no element in common to count by" if not ratios else
               f"count {' and '.join(common)} in different ratios")
        raise Refusal(f"{solute.formula.text} and {species} {why}", where="expressed as",
                      remedy="name a reaction that holds both")
    return Expressed(formula, ratios.pop(), f"by {' and '.join(common)}")


def _species(text: str) -> Formula:
    """Return a species by its formula, or by the name of a substance."""
    try:
        return parse_formula(text)
    except Refusal as unreadable:
        try:
            return find_solute(text).formula
        except Refusal:
            raise unreadable from None


def _is_free_element(formula: Formula) -> bool:
    """Whether it is a free non-metal such as Cl2 or O2, which no salt holds as such."""
    return len(formula.atoms) == 1 and formula.charge == 0 and (formula.atoms[0][1] >= 2 or formula.atoms[0][0] == "O")


def _counter(reaction: Reaction) -> str:
    """Return the species that counts equivalents where none was named."""
    terms = reaction.left + reaction.right
    if any(term.species.charge == -1 and not term.species.atoms for term in terms):
        return ELECTRON
    if moves_electrons(reaction):
        raise Refusal("the reaction moves electrons, and its H+ and OH- do not count them", where=reaction.text,
                      remedy="write the half reaction with e-, or name the species of which one is one equivalent")
    found = [name for name in PROTON_COUNTERS
             if any(term.species.is_same_entity(parse_formula(name)) for term in terms)]
    if len({reaction.coefficient(name) for name in found}) != 1:
        raise Refusal("nothing in the reaction counts equivalents by itself", where=reaction.text,
                      remedy="write it with its ions, such as OH- or H+, with e-, or name the species of which one is "
                             "one equivalent, such as Ag+")
    return found[0]


def _hydroxides_used(reaction: Reaction) -> Fraction | None:
    """Return how many OH- the hydroxides on the left bring, where the reaction is written without ions.

    None where ions or electrons are written, electrons move, or a hydroxide is left or formed.
    """
    if any(term.species.charge for term in reaction.left + reaction.right) or moves_electrons(reaction):
        return None
    if any(_of_a_base(term.species) for term in reaction.right):
        return None
    brought = [term.coefficient * number for term in reaction.left if (number := _of_a_base(term.species))]
    return sum(brought, Fraction(0)) or None


def _of_a_base(formula: Formula) -> Fraction | None:
    """Return how many hydroxide ions a metal's hydroxide counts; none for boric acid and its like."""
    return None if OXYGEN_ACIDS_OF & {symbol for symbol, _ in formula.atoms} else _hydroxide(formula)


def _standing_in(reaction: Reaction, solute: Solute) -> tuple[Term, Fraction]:
    """Return the term under which a substance stands in a reaction, and how many of it a mole gives."""
    terms = reaction.left + reaction.right
    whole = [term for term in terms if term.species.is_same_entity(solute.formula)
             or term.species.is_same_entity(solute.anhydrous)]
    if whole:
        return whole[0], Fraction(1)
    found = [(term, number) for term in reaction.left if (number := _ions(term.species, solute))]
    most = max((len(term.species.atoms) for term, _ in found), default=0)  # of KIO3, IO3- rather than I-
    found = [(term, number) for term, number in found if len(term.species.atoms) == most]
    if len(found) != 1:
        raise Refusal(f"the reaction holds {'no' if not found else 'more than one'} {solute.formula.text} or ion of it",
                      where=reaction.text, remedy=f"write it with {solute.anhydrous.text} itself")
    return found[0]


def _ions(species: Formula, solute: Solute) -> Fraction | None:
    """Return how many of an ion a formula unit gives; none where it is no ion of it."""
    if not species.charge or not species.atoms:
        return None
    if species.is_same_entity(parse_formula("OH-")):
        return _hydroxide(solute.anhydrous)
    if species.is_same_entity(parse_formula("H+")):
        return Fraction(1) if solute.anhydrous.text.startswith("H") and solute.anhydrous.count("H") == 1 else None
    heavy = [(symbol, count) for symbol, count in species.atoms if symbol not in ("H", "O")]
    ratios = {solute.anhydrous.count(symbol) / count for symbol, count in heavy}
    if len(ratios) != 1 or 0 in ratios:
        return None
    number = ratios.pop()
    fits = all(solute.anhydrous.count(symbol) >= number * count for symbol, count in species.atoms if symbol != "H")
    return number if fits else None


def _hydroxide(formula: Formula) -> Fraction | None:
    """Return how many hydroxide ions the formula of a metal's hydroxide counts."""
    others = [symbol for symbol, _ in formula.atoms if symbol not in ("H", "O")]
    return formula.count("O") if len(others) == 1 and formula.count("O") == formula.count("H") else None


def moles_per_mole(reaction: str, of: Solute, per: Solute) -> Fraction:
    """Return how many moles of one substance react with, or come from, a mole of another.

    Arguments:
        reaction: balanced; each substance, or an ion of it, stands in it.
        of, per: the substances.

    Raises:
        Refusal: a reaction that cannot be read, or that does not hold them.

    Example:
        >>> moles_per_mole("2 OH- + H2SO4 -> SO4 2- + 2 H2O", find_solute("H2SO4"), find_solute("NaOH"))
        Fraction(1, 2)
    """
    read = parse_reaction(reaction)
    (first, first_ions), (second, second_ions) = _standing_in(read, of), _standing_in(read, per)
    return (first.coefficient / first_ions) / (second.coefficient / second_ions)
