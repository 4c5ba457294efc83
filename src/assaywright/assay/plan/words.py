"""How a setup, its portion and its limits are put into words."""

from assaywright.assay.plan.result import Influence, Option
from assaywright.assay.plan.setup import (
    PIPETTED,
    PIPETTED_FLASK,
    WEIGHED,
    WEIGHED_DILUTION,
    WEIGHED_FLASK,
    Setup,
)
from assaywright.assay.result import BudgetLine
from assaywright.assay.wording import written_figures, written_number
from assaywright.metrology.rounding import decimal_of_result, plain, round_to_places

OBJECTS = {
    "solution": "the concentration of {}", "reference material": "the content of {}", "endpoint": "the endpoint ({})",
    "atomic weight": "the atomic weights", "air": "the density of the air", "balance": "balance {}",
    "thermometer": "the temperatures", "density": "the density of the product",
    "expansion coefficient": "the expansion of the glass",
}

GLASS = ("burette", "pipette", "flask", "piston burette", "piston pipette")


def decimals(value: float, places: int) -> str:
    """Return a number with so many decimals and a true minus sign."""
    return written_number(plain(round_to_places(decimal_of_result(value), places)))


def per_cent(share: float) -> str:
    """Return a share of one as a percentage with two significant digits."""
    return f"{written_figures(100 * share, 2)} %"


def whole_per_cent(share: float) -> str:
    """Return a share of one as a whole percentage."""
    return f"{100 * share:.0f} %"


def portion_words(setup: Setup) -> str:
    """Return what is taken of the sample or the standard for one titration or for the dilution: "8 mL, pipette P-8"."""
    if setup.pipette is not None:
        of = f" of {setup.in_pipette.name}" if setup.in_pipette is not None else ""
        return f"{written_size(setup.pipette.nominal.text)}{of}, pipette {setup.pipette.identity}"
    balance = f", balance {setup.balance.identity}" if setup.balance is not None else ""
    return f"{grams(setup.portion_g)}, weighed{balance}"


def aliquot_words(setup: Setup) -> str:
    """Return what is titrated: the portion itself, or the aliquot of its dilution."""
    if setup.way == WEIGHED_DILUTION:
        return f"{grams(setup.aliquot_g)} of the dilution, weighed"
    if setup.aliquot is not None:
        return f"{written_size(setup.aliquot.nominal.text)} of the dilution, pipette {setup.aliquot.identity}"
    return portion_words(setup)


def way_words(setup: Setup) -> str:
    """Return the whole way in a phrase."""
    portion, flask = portion_words(setup), setup.flask.nominal.text if setup.flask is not None else ""
    told = {
        PIPETTED: portion,
        WEIGHED: portion,
        PIPETTED_FLASK: f"{portion}, made up to {flask}; aliquots of {aliquot_words(setup)}",
        WEIGHED_FLASK: f"{portion}, made up to {flask}; aliquots of {aliquot_words(setup)}",
        WEIGHED_DILUTION: f"{portion}, made up to about {grams(setup.dilution_g)} and weighed; aliquots of "
                          f"{aliquot_words(setup)}",
    }
    return told[setup.way] + excess_words(setup)


def excess_words(setup: Setup) -> str:
    """Return what is added in excess, with the blanks titrated likewise; nothing but in a back titration."""
    if setup.excess is None or setup.reagent is None:
        return ""
    blanks = f", and {setup.blanks} blanks titrated likewise" if setup.blanks else ""
    return (f"; {written_size(setup.excess.nominal.text)} of {setup.reagent.name} in excess, pipette "
            f"{setup.excess.identity}{blanks}")


def grams(mass_g: float) -> str:
    """Return a mass as a person would aim at it, with three significant digits [g]."""
    return f"{written_figures(mass_g, 3)} g"


def gathered(budget: tuple[BudgetLine, ...], setup: Setup) -> tuple[Influence, ...]:
    """Return the shares of the variance by object: all nodes of one burette's scale are one burette.

    What the setup does not use came in with a solution that was standardised with it, and says so.

    Arguments:
        budget: of the result expected.
        setup: whose glass and balance are used.
    """
    shares: dict[str, float] = {}
    for line in budget:
        name = influence_words(line) + _from_before(line, setup)
        shares[name] = shares.get(name, 0.0) + line.share
    return tuple(sorted((Influence(*one) for one in shares.items()), key=lambda one: -one.share))


def influence_words(line: BudgetLine) -> str:
    """Return the object that a line of the budget belongs to, in words."""
    kind, identity, *_, effect = line.key.split("|")
    if kind == "worksheet":
        return "repeatability" if effect.startswith("repeatability") else effect
    if kind in GLASS:
        return f"{kind} {identity}"
    return OBJECTS[kind].format(identity) if kind in OBJECTS else line.influence


def _from_before(line: BudgetLine, setup: Setup) -> str:
    """Return in words that glass or a balance was used before, for a solution; empty for what the setup uses."""
    kind, identity, *_ = line.key.split("|")
    used = (setup.burette, setup.pipette, setup.flask, setup.aliquot, setup.excess, setup.balance)
    if kind not in (*GLASS, "balance") or identity in {one.identity for one in used if one is not None}:
        return ""
    whose = "the titrant’s standardisation" if setup.reagent is None and setup.against is None else "a standardisation"
    return f", from {whose}"


def why_best(best: Option, *, wanted: bool) -> str:
    """Return why the best is the best and what limits it, in one sentence.

    Arguments:
        best: the first option.
        wanted: whether the options were ranked by time among those that reach the uncertainty wanted.
    """
    setup, limiting = best.setup, best.influences[0]
    reason = (f"of the options that reach the uncertainty wanted none takes less bench time (about {best.minutes:.0f} "
              f"min for {setup.determinations} determinations) with a smaller uncertainty" if wanted else
              "no other option has a smaller uncertainty")
    held = f" Its result would be held all the same: {' '.join(best.held)}" if best.held else ""
    return (f"The best is {way_words(setup)}, with {setup.in_burette.name} from a {setup.burette.nominal.text} "
            f"burette, because {reason}; what limits it is {limiting.name}, with "
            f"{whole_per_cent(limiting.share)} of the variance.{held}")


def written_size(text: str) -> str:
    """Return a nominal volume as typed, without its uncertainty."""
    return text.partition("±")[0].strip()
