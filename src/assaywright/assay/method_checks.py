"""Whether a method holds together: its chemistry, its cautions and its example."""

import re
from fractions import Fraction

from assaywright.assay.endpoint_curve import BESIDE_CARBON_DIOXIDE
from assaywright.assay.method import ALKALI_SCHEMES, Endpoint, Method, Reactant, TitrimetricEquivalent
from assaywright.assay.method_example import Example
from assaywright.assay.toml_trouble import not_toml
from assaywright.metrology.refusal import Refusal

_COEFFICIENT = re.compile(r"\d+(?:\.\d+)?(?:e-\d+)? /K")
_ASSAY_SCHEMES = ("direct", "back", *ALKALI_SCHEMES)


def check_method(method: Method) -> None:
    """Refuse a method whose parts contradict each other.

    Arguments:
        method: as read from its file.

    Raises:
        Refusal: kind and scheme do not go together, a table does not hold what is named from it, a reaction does not
            balance or does not bear out the equivalents, a titrimetric equivalent is not what the molar mass gives, an
            indicator blank and an applied titration error both take the same volume away, a hazard statement is no such
            code, or the example is not of this method.
    """
    if (method.scheme in _ASSAY_SCHEMES) != (method.kind == "assay"):
        raise Refusal(f"the scheme '{method.scheme}' is not one of a method of the kind '{method.kind}'",
                      where=method.where, remedy=f"for an assay use {', '.join(_ASSAY_SCHEMES)}")
    _check_tables(method)
    _check_stoichiometry(method)
    _check_titrimetric_equivalents(method)
    _check_endpoint(method)
    _check_cautions(method)
    for number, example in enumerate(method.examples):
        _check_example(method, example, f"{method.where}, {'further example' if number else 'example'}")


def _check_tables(method: Method) -> None:
    """Refuse a primary standard or a law of thermal expansion that the tables do not hold."""
    from assaywright.chemistry.formula import parse_formula
    from assaywright.reference.solutions import volume_correction_columns
    from assaywright.reference.substances import primary_standard

    if method.standard is not None:
        known = primary_standard(method.standard.name)
        if not parse_formula(known.formula).is_same_entity(parse_formula(method.standard.formula)):
            raise Refusal(f"{method.standard.name} is {known.formula} in the table of primary standards, "
                          f"{method.standard.formula} here", where=method.where, remedy="mend the formula or the name")
    laws = {law for one in (method.titrant, method.reagent, method.against) if one for _, law in one.thermal}
    laws |= {method.sample.thermal} - {""}
    for law in sorted(laws):
        if law != "water" and law not in volume_correction_columns() and not _COEFFICIENT.fullmatch(law):
            raise Refusal(f"'{law}' is no law of thermal expansion", where=method.where,
                          remedy=f'use {", ".join(volume_correction_columns())}, "water", or "0.0011 /K"')


def _check_stoichiometry(method: Method) -> None:
    partner = method.standard or method.against or method.analyte
    if method.reagent is not None:
        _check_pair(method, method.reaction, partner, method.reagent)
        _check_pair(method, method.reagent_reaction, method.reagent, method.titrant)
    else:
        _check_pair(method, method.reaction, partner, method.titrant)
    for part in method.result.measurands:
        _check_pair(method, part.reaction, Reactant(part.name, part.formula, part.equivalents, part.formula),
                    method.titrant)


def _check_pair(method: Method, reaction: str, one: Reactant, other: Reactant) -> None:
    """Refuse when the reaction uses up the two in another ratio than their equivalents say.

    n(other) / n(one) = equivalents(one) / equivalents(other)
    """
    from assaywright.chemistry.reaction import parse_reaction

    try:
        ratio = parse_reaction(reaction).ratio(other.reacts_as, one.reacts_as)
    except Refusal as refusal:
        raise refusal.at(method.where) from None
    ratio *= Fraction(one.reacts_as_moles, other.reacts_as_moles)
    claimed = Fraction(one.equivalents, other.equivalents)
    if ratio != claimed:
        raise Refusal(
            f"one mole of {one.formula} takes {ratio} mol of {other.formula} by the reaction {reaction}, but the "
            f"equivalents {one.equivalents} and {other.equivalents} say {claimed}",
            where=method.where, remedy="mend the equivalents or the reaction")


def _check_titrimetric_equivalents(method: Method) -> None:
    substance = method.standard or method.against or method.analyte
    _check_equivalent(method, method.titrimetric_equivalent, substance.formula, substance.equivalents)
    for part in method.result.measurands:
        if part.titrimetric_equivalent is not None:
            between = part.part == "carbonate" and method.scheme == "two endpoints"
            _check_equivalent(method, part.titrimetric_equivalent, part.formula, 1 if between else part.equivalents)


def _check_equivalent(method: Method, stated: TitrimetricEquivalent, formula: str, equivalents: int) -> None:
    """Refuse a figure that molar mass, concentration and equivalents do not give to half a unit of its last digit.

    A published figure may lie two units away, since prints rest on older atomic weights and on rounded molar masses.

    m/V = c(titrant) × equivalents(titrant) × M / equivalents(substance), in mg/mL; for carbonate, between two
    endpoints, one proton per mole.
    """
    from assaywright.chemistry.formula import molar_mass

    mass = molar_mass(formula).value * float(stated.titrant_concentration.value)
    ours = mass * method.titrant.equivalents / equivalents
    for figure, units in ((stated.mg_per_mL, 0.5), (stated.published_mg_per_mL, 2.0)):
        if figure and abs(ours - float(figure)) > units * _last_place(figure):
            raise Refusal(f"the titrimetric equivalent {figure} mg/mL is not the {ours:.5g} mg/mL that molar mass, "
                          "concentration and equivalents give", where=method.where, remedy="mend the figure")


def _last_place(figure: str) -> float:
    return float(10.0 ** -len(figure.partition(".")[2]))


def _check_endpoint(method: Method) -> None:
    where = f"{method.where}, endpoint"
    endpoints = [one for one in (method.first_endpoint, method.endpoint) if one is not None]
    for endpoint in endpoints:
        if endpoint.treatment != "negligible" and endpoint.titration_error is None and endpoint.curve is None:
            raise Refusal(f"the titration error is {endpoint.treatment} but not stated", where=where,
                          remedy='state it, as titration_error = "0 mL ± 0.02 mL, rectangular"')
        error = endpoint.titration_error
        if endpoint.treatment == "in the uncertainty" and error and (error.uncertainty is None or error.value != 0):
            raise Refusal("a titration error that enters the uncertainty only must be zero with an uncertainty",
                          where=where,
                          remedy='state it as "0 mL ± 0.02 mL, rectangular", or say treatment = "applied"')
        if endpoint.treatment == "applied" and method.blank.kind == "indicator blank":
            raise Refusal("an indicator blank and an applied titration error would both take the same volume away",
                          where=method.where, remedy="keep one of them")
        _check_curve(method, endpoint, where)


def _check_curve(method: Method, endpoint: Endpoint, where: str) -> None:
    """Refuse a law of two endpoints elsewhere, or one that the treatment of its endpoint does not go with."""
    if endpoint.curve is None:
        return
    if method.scheme not in ALKALI_SCHEMES:
        raise Refusal(f"an endpoint of the scheme '{method.scheme}' has no law of its curve", where=f"{where}, curve",
                      remedy="state its titration error, as titration_error")
    applied = endpoint.curve.law == BESIDE_CARBON_DIOXIDE
    if applied != (endpoint.treatment == "applied"):
        raise Refusal(f"the law '{endpoint.curve.law}' does not go with the treatment '{endpoint.treatment}'",
                      where=f"{where}, curve",
                      remedy=f'write treatment = "{"applied" if applied else "in the uncertainty"}"')


def _check_cautions(method: Method) -> None:
    from assaywright.reference.safety import hazard_statement

    where = f"{method.where}, cautions"
    for hazard in method.cautions.hazards:
        for code in hazard.codes:
            try:
                hazard_statement(code)
            except Refusal as refusal:
                raise Refusal(refusal.what, where=f"{where}, hazards ({hazard.substance}), codes",
                              remedy=refusal.remedy) from None
        if bool(hazard.signal_word) != _with_signal_word(hazard.codes):
            raise Refusal(f"codes and signal word of {hazard.substance} do not go together", where=where,
                          remedy="give Danger or Warning with codes, none without")
    if "safety data sheet" not in method.cautions.text:
        raise Refusal("the cautions do not defer to the safety data sheet", where=where,
                      remedy='write text = "See the safety data sheet and local rules."')


def _with_signal_word(codes: tuple[str, ...]) -> bool:
    """Whether any code is of a class with a signal word; chronic aquatic 2 to 4 and EUH have none (UN GHS, Annex 1)."""
    return not all(code.startswith("EUH") or code in {"H411", "H412", "H413"} for code in codes)


def _check_example(method: Method, example: Example, where: str) -> None:
    """Refuse an example whose worksheet names another method, or whose working does not end in the expected figures."""
    import tomllib

    try:
        worksheet = tomllib.loads(example.worksheet)
    except tomllib.TOMLDecodeError as problem:
        raise not_toml(str(problem), example.worksheet, f"{where}, worksheet") from None
    if worksheet.get("method") != method.name or worksheet.get("kind") != method.kind:
        raise Refusal(f"the worksheet is not of the {method.kind} '{method.name}'", where=where,
                      remedy=f'write kind = "{method.kind}" and method = "{method.name}" in it')
    names = {part.name for part in method.result.measurands}
    for expected in example.expected:
        if expected.measurand and expected.measurand not in names:
            raise Refusal(f"'{expected.measurand}' is not one of the results", where=where,
                          remedy=f"use {', '.join(sorted(names))}")
        figure = str(expected.value.value)
        if not re.search(rf"(?<![\d.]){re.escape(figure)}(?![\d])", example.working):
            raise Refusal(f"the working does not arrive at {figure}", where=where,
                          remedy="write the arithmetic out to the expected figure")
