"""Hazard classes of a solution from the classes of what is dissolved, by limits of concentration and by additivity."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from assaywright.metrology.refusal import Refusal
from assaywright.reference.labelling import (
    OWN_CODE,
    ConcentrationLimit,
    acute_toxicity,
    concentration_limits,
    generic_limits,
    has_label_element,
    label_element,
    m_factor,
)
from assaywright.reference.safety import Hazards, hazards
from assaywright.reference.substances import substance

ROUTES = ("oral", "dermal", "inhalation")
CUT_OFF_PERCENT = {1: 0.1, 2: 0.1, 3: 0.1, 4: 1.0}
NOT_CLASSIFIED = "not classified"
SUPPLIER_PRACTICE = "supplier practice"

# A class on the left makes those on the right superfluous.
_COVERS = {
    "Skin Corr.": ("Skin Irrit.", "Eye Irrit."),
    "Eye Dam.": ("Eye Irrit.",),
    "STOT SE 1": ("STOT SE 2",),
    "STOT RE 1": ("STOT RE 2",),
    "Aquatic Chronic 1": ("Aquatic Chronic 2", "Aquatic Chronic 3"),
    "Aquatic Chronic 2": ("Aquatic Chronic 3",),
    "Carc. 1": ("Carc. 2",),
    "Muta. 1": ("Muta. 2",),
    "Repr. 1": ("Repr. 2",),
}


@dataclass(frozen=True, slots=True)
class HazardClass:
    """A hazard class with its statement and why it holds.

    Fields:
        name: in the standard's short names ("Skin Corr. 1B"); in words for a supplementary statement.
        code: of the hazard statement.
        reason: the limit or rule, with its figures.
        source: who says so.
        status: "read" or "recalled".
    """

    name: str
    code: str
    reason: str
    source: str
    status: str


def classify_pure(name: str) -> tuple[HazardClass, ...]:
    """Return the classes of a substance as supplied; of an acid sold in several strengths, those of the strongest.

    Arguments:
        name: of the substance, see :func:`assaywright.reference.substances.substance`.

    Raises:
        Refusal: no such substance, or no classification of it is held.
    """
    entry = max(_entries(name, strictest=False), key=lambda one: one.from_percent or 0.0)
    return tuple(HazardClass(hazard_class, code, f"as supplied, {entry.form}", entry.source, entry.status)
                 for hazard_class, code in _classes_of(entry).items())


def classify_solution(name: str, mass_percent: float, *, strictest: bool = False) -> tuple[HazardClass, ...]:
    """Return the classes of a solution in which one substance is classified and the rest is water.

    Where a specific limit or a published band is held it decides its kind of hazard; every other class of the substance
    follows the generic limits, water hazards weighted by the M factor, and acute toxicity the additivity formula
    100 / ATE_mix = w / ATE with the point estimate of the category. Oxidising, flammable and metal-corroding power
    is given only where a limit or band says so: tests decide it.

    Arguments:
        name: of the substance.
        mass_percent: w, of the substance as named, its hydrate water included [%].
        strictest: whether classes that other sources add are counted as well.

    Returns: the classes that hold, without those that another covers; empty where none does.

    Raises:
        Refusal: no such substance, no classification of it is held, or a mass fraction outside 0 to 100 %.

    Source: UN GHS, parts 2 to 4; limits of Regulation (EC) 1272/2008, Annexes I and VI, as each reason says.

    Example:
        >>> [(one.name, one.code) for one in classify_solution("NaOH", 3.85)]
        [('Skin Corr. 1B', 'H314')]
    """
    if not 0 <= mass_percent <= 100:
        raise Refusal(f"a mass fraction of {mass_percent:g} %", where="classification", remedy="give 0 to 100 %")
    wanted = substance(name)
    specific = tuple(one for one in concentration_limits(wanted.name) if one.chosen)
    decided = {family(one.hazard_class) for one in specific}
    own = own_classes(name, strictest=strictest)
    found = [*_specific(specific, mass_percent)]
    for hazard_class, code in own.items():
        found.extend(_generic(wanted.name, hazard_class, code, mass_percent, decided))
    is_vapour = wanted.state in {"liquid", "gas"}
    for route in ROUTES:
        if f"Acute Tox. ({route})" not in decided:
            found.extend(_acute(own, route, mass_percent, is_vapour=is_vapour))
    return _without_covered(found)


def added_by_suppliers(name: str, mass_percent: float) -> tuple[HazardClass, ...]:
    """Return the classes that suppliers put on a label though no limit of concentration decides them.

    Arguments:
        name: of the substance.
        mass_percent: of the solution, 100 for the substance as supplied [%].

    Returns: those that hold at that strength; corrosion of metals is one, which a test decides

    Raises:
        Refusal: no such substance.

    Source: safety data sheets of suppliers, as the table says (recalled).

    Example:
        >>> [one.code for one in added_by_suppliers("NaOH", 50.0)]
        ['H290']
    """
    return tuple(_specific(tuple(one for one in concentration_limits(substance(name).name)
                                 if one.kind == SUPPLIER_PRACTICE), mass_percent))


def own_classes(name: str, *, strictest: bool = False) -> Mapping[str, str]:
    """Return the classes that a substance carries in any strength, each with its code; supplementary codes stand alone.

    Raises:
        Refusal: no such substance, or no classification of it is held.
    """
    found: dict[str, str] = {}
    for entry in _entries(name, strictest=strictest):
        found.update(_classes_of(entry))
    return found


def family(hazard_class: str) -> str:
    """Return the kind of hazard within which a specific limit takes the place of the generic ones.

    Example:
        >>> family("Acute Tox. 3 (oral)"), family("Eye Dam. 1"), family("Carc. 1B")
        ('Acute Tox. (oral)', 'Eye', 'Carc. 1B')
    """
    if hazard_class.startswith("Acute Tox."):
        return f"Acute Tox. {hazard_class[hazard_class.index('('):]}"
    if hazard_class.startswith("Eye "):
        return "Eye"
    for kind in ("Skin Corr.", "Skin Irrit.", "Ox.", "Met. Corr.", "STOT RE"):
        if hazard_class.startswith(kind):
            return kind
    return "STOT SE" if hazard_class in {"STOT SE 1", "STOT SE 2"} else hazard_class


def _entries(name: str, *, strictest: bool) -> tuple[Hazards, ...]:
    held = tuple(one for one in hazards(name) if one.chosen or strictest)
    if not held:
        raise Refusal(f"no classification of {substance(name).name} is held", where="classification",
                      remedy="read its safety data sheet")
    return held


def _classes_of(entry: Hazards) -> dict[str, str]:
    codes = [one.code for one in entry.statements]
    found = {}
    for hazard_class in entry.hazard_classes:
        if has_label_element(hazard_class):
            usual = label_element(hazard_class).code
            found[hazard_class] = next((code for code in codes if code.startswith(usual)), usual)
    return found | {code: code for code in codes if code.startswith("EUH")}


def _specific(limits: tuple[ConcentrationLimit, ...], mass_percent: float) -> Iterator[HazardClass]:
    for one in limits:
        if one.holds(mass_percent):
            note = f"; {one.note}" if one.note else ""
            yield HazardClass(one.hazard_class, one.code, f"{one.kind} {told(one)}{note}", one.source, one.status)


def _generic(
    name: str, hazard_class: str, code: str, mass_percent: float, decided: set[str]
) -> Iterator[HazardClass]:
    for rule in generic_limits(hazard_class):
        if family(rule.hazard_class) in decided:
            continue
        factor = m_factor(name, hazard_class) if rule.is_weighted else 1.0
        if rule.limit.holds(mass_percent * factor):
            weighted = f" of {factor:g} times the mass fraction" if rule.is_weighted else ""
            yield HazardClass(
                rule.hazard_class, code if rule.code == OWN_CODE else rule.code,
                f"{rule.limit.kind} {told(rule.limit)}{weighted} for {hazard_class}", rule.limit.source,
                rule.limit.status)


def _acute(
    own: Mapping[str, str], route: str, mass_percent: float, *, is_vapour: bool
) -> Iterator[HazardClass]:
    """Yield the category of the mixture on one route, by the additivity formula with one ingredient."""
    categories = [n for n in range(1, 5) if f"Acute Tox. {n} ({route})" in own]
    if not categories or mass_percent < CUT_OFF_PERCENT[categories[0]]:
        return
    phase = ("inhalation of vapours" if is_vapour else "inhalation of dust or mist") if route == "inhalation" else route
    scale = acute_toxicity(phase)
    estimate = scale[categories[0] - 1].point_estimate * 100 / mass_percent
    for one in scale:
        if estimate <= one.upper_bound:
            name = f"Acute Tox. {one.category} ({route})"
            yield HazardClass(name, label_element(name).code,
                              f"additivity: estimate of the mixture {estimate:.3g}, up to {one.upper_bound:g}",
                              "UN GHS, 3.1.3.6", "recalled")
            return


def told(limit: ConcentrationLimit) -> str:
    """Return the range of a limit in words."""
    begin = f"{'from' if limit.includes_lower else 'above'} {limit.from_percent:g} %"
    if limit.below_percent is None:
        return begin
    return f"{begin} to {'' if limit.includes_upper else 'below '}{limit.below_percent:g} %"


def _without_covered(found: list[HazardClass]) -> tuple[HazardClass, ...]:
    names = {one.name for one in found}
    covered = tuple(less for name in names for more, lesser in _COVERS.items() if name.startswith(more)
                    for less in lesser)
    kept: dict[str, HazardClass] = {}
    for one in found:
        if not one.name.startswith(covered):
            kept.setdefault(one.name, one)
    return tuple(kept.values())
