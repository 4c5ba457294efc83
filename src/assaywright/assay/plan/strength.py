"""How strong a product is: which methods are meant for it, how it is taken, and what its own bottle warns of."""

from collections.abc import Iterator

from assaywright.assay.method import Method
from assaywright.assay.plan.product import Product
from assaywright.assay.plan.setup import HANDLING, PIPETTED, TWO_ENDPOINTS, WEIGHED, Setup
from assaywright.assay.plan.words import decimals, per_cent
from assaywright.assay.wording import written_figures, written_limits
from assaywright.chemistry.cautions import cautions
from assaywright.chemistry.content import Content, Converted, Known, Wanted, convert
from assaywright.chemistry.content_units import AS_EQUIVALENTS
from assaywright.chemistry.solute import find_solute
from assaywright.metrology.estimate import exact, influence, influence_key
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import shown
from assaywright.reference.substances import substance, substances

WHOLE_PERCENT = 100
LITTLE_CARBONATE = 0.01  # moles to one of hydroxide: the method of two endpoints says that less is too little for it


def converted(product: Product) -> Converted | None:
    """Return the nominal content as an amount concentration; None for a solid, or where it cannot be told.

    Arguments:
        product: with its density where it states one; else the tables are asked.
    """
    if product.state == "solid":
        return None
    try:
        return _convert(product)
    except Refusal:
        return None


def _convert(product: Product) -> Converted:
    nominal, density = product.nominal, product.density
    known = Known() if density is None else Known(
        density=influence(influence_key("density", product.name, "stated", "density"), density.to("g/mL"),
                          density.uncertainty_in("g/mL"), "g/mL"),
        density_source="as the product states it")
    content = Content(exact(float(nominal.value), nominal.unit), find_solute(product.formula))
    return convert(content, Wanted("mol/L"), known)


def doubt_about_nominal(product: Product) -> str:
    """Return that so much does not dissolve in water, as a sentence; empty where it does, or where nothing is held.

    Raises:
        Refusal: a content that cannot be, more than the whole or than the pure substance.
    """
    nominal = product.nominal
    if nominal.unit == "% w/w" and nominal.value > WHOLE_PERCENT:
        raise Refusal(f"{shown(nominal.text)} is more than the whole", where=f"{product.path}: nominal",
                      remedy="give a content from 0 to 100 % w/w")
    if product.state == "solid" or nominal.unit in AS_EQUIVALENTS:
        return ""
    try:
        _convert(product)
    except Refusal as refusal:
        if refusal.where != "content":
            return ""
        if "dissolves" in refusal.what:
            return (f"The nominal content, {shown(nominal.text)}: {refusal.what}; check the content, its unit, and "
                    "what else is dissolved.")
        raise Refusal(refusal.what, where=f"{product.path}: nominal", remedy=refusal.remedy) from None
    return ""


def doubt_about_lots(product: Product) -> str:
    """Return that the mean of the lots lies outside the limits, as a sentence; empty where it does not."""
    specification = product.specification
    if specification.prior is None:
        return ""
    mean, lower, upper = specification.prior[0], specification.lower, specification.upper
    if (lower is None or lower.value <= mean.value) and (upper is None or mean.value <= upper.value):
        return ""
    return (f"The mean of the lots, {shown(mean.text)}, lies outside the limits, {written_limits(specification)}: most "
            "lots would not conform; check the mean and the limits.")


def too_strong(product: Product, method: Method) -> str:
    """Return why a method is not meant for a product so strong, as a sentence; empty where it is."""
    most, found = method.sample.strongest, converted(product)
    if most is None or found is None or found.estimate.value <= most.to("mol/L"):
        return ""
    return (f"{method.name} is left out: the product has {written_figures(found.estimate.value, 3)} mol/L, and the "
            f"method is meant for up to {most.text}.")


def density_remark(product: Product) -> str:
    """Return that the density stated is far from the table's, as a sentence; empty where it is not."""
    found = converted(product) if product.density is not None else None
    return " ".join(f"{one.what[0].upper()}{one.what[1:]}: {one.remedy}." for one in found.remarks) if found else ""


def product_caution(product: Product) -> str:
    """Return the hazards of the product at its own strength, as a sentence; empty where none is held.

    Source: as :func:`assaywright.chemistry.cautions.cautions`.
    """
    found = converted(product)
    try:
        name = _named(product)
        if product.state == "solid":
            told, strength = cautions(name), "as supplied"
        elif found is not None and found.mass_percent is not None:
            told = cautions(name, mass_percent=found.mass_percent.value)
            strength = f"{written_figures(found.mass_percent.value, 3)} % w/w"
        else:
            return ""
    except Refusal:
        return ""
    codes = ", ".join(one.code for one in told.statements) or "not classed"
    return f"{told.signal_word or 'No signal word'}: the product itself, {told.substance}, {strength} ({codes})."


def _named(product: Product) -> str:
    """Return the name by which the tables of hazards hold a product; of a gas, that of its solution."""
    if product.state == "solution":
        for one in map(substance, substances()):
            if one.formula == product.formula and one.state == "solution":
                return one.name
    return find_solute(product.formula).name


def option_remarks(setup: Setup, product: Product | None) -> Iterator[str]:
    """Yield what the method itself says against a way that is offered, in sentences.

    Arguments:
        setup: the way.
        product: None for a standardisation.
    """
    most = setup.method.sample.pipetted_up_to
    found = converted(product) if product is not None and most is not None and setup.way == PIPETTED else None
    if found is not None and most is not None and found.estimate.value > most.to("mol/L"):
        first = "weighed, or diluted first" if HANDLING[WEIGHED] in setup.method.sample.handling else "diluted first"
        yield (f"{written_figures(found.estimate.value, 3)} mol/L are pipetted as they are: above {_about(most)} the "
               f"method has the portion {first}, since a strong solution clings to the pipette.")
    if setup.method.scheme == TWO_ENDPOINTS and setup.carbonate / 2 <= LITTLE_CARBONATE * (1 - setup.carbonate):
        gap = setup.titre_mL - setup.late_mL - (setup.first_mL or 0.0)
        yield (f"With {per_cent(setup.carbonate)} of the alkali as carbonate the two endpoints lie only "
               f"{decimals(gap, 2)} mL apart: the method's own step sends so little carbonate to barium chloride.")


def _about(most: Quantity) -> str:
    return f"about {most.text.strip()}"
