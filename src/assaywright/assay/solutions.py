"""Which value of a standard solution is in force, and what it rests on."""

from dataclasses import dataclass, field
from datetime import date

from assaywright.assay.glass import edition, written_edition
from assaywright.assay.left_out import counts, standing_remarks
from assaywright.assay.method import Method, Reactant
from assaywright.assay.moments import Moment, first_moment, is_after, last_moment, order
from assaywright.assay.nominal import equivalents_counted, nominal_concentration, nominal_in_moles, nominal_remarks
from assaywright.assay.observations import Certificate, Solution, Worksheet
from assaywright.assay.result import ChainLink, Outcome
from assaywright.assay.solution_remarks import (
    date_remarks,
    formula_remarks,
    incomplete_certificate,
    last_day,
    opening_remarks,
    standardised_remarks,
)
from assaywright.assay.stated import stated_estimate
from assaywright.assay.stored import StoredResult, restore
from assaywright.assay.thermal import ThermalLaw, measured
from assaywright.assay.troubles import remark
from assaywright.assay.upstream import Upstream
from assaywright.assay.wording import written_date, written_estimate, written_figures, written_number
from assaywright.metrology.comparison import normalised_error
from assaywright.metrology.estimate import Estimate, combine, influence_key
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark

COUNTED = {2: "two", 3: "three", 4: "four"}


@dataclass(frozen=True, slots=True)
class SolutionInForce:
    """A standard solution with the value that counts at the time of the determinations.

    Fields:
        estimate: concentration [mol/L or mol/kg] of the formula the method names.
        reference_degC: temperature that a concentration by volume refers to.
        law: of its thermal expansion.
        link: its node of the traceability chain.
    """

    estimate: Estimate
    reference_degC: float
    law: ThermalLaw
    link: ChainLink


@dataclass(slots=True)
class Candidate:
    """One value that a solution may have: where it comes from, when it was found, and whether it may be used."""

    name: str
    estimate: Estimate
    reference_degC: float
    found: Moment
    link: ChainLink
    standardised: Solution
    accepted: bool = True
    remarks: tuple[Remark, ...] = field(default=())


def law_of(solution: Solution, reactant: Reactant, method: Method, role: str) -> ThermalLaw:
    """Return a solution's law of thermal expansion: its own, else the method's for its nominal concentration.

    Arguments:
        reactant: what the method says of it.
        role: "titrant", "against" or "reagent": with the method it tells how a concentration in equivalents counts.

    Raises:
        Refusal: a nominal concentration in equivalents whose reaction is not the method's.
    """
    law = solution.thermal or reactant.thermal_for(nominal_in_moles(solution, reactant, method, role))
    return ThermalLaw(law, measured(solution.densities))


def in_force(
    solution: Solution,
    reactant: Reactant,
    worksheet: Worksheet,
    role: str,
    method: Method,
    upstream: Upstream,
    remarks: list[Remark],
) -> SolutionInForce:
    """Return the value of a solution that is in force when the worksheet was performed.

    Arguments:
        solution: as the worksheet describes it.
        reactant: what the method says of it.
        role: "titrant", "against" or "reagent", for messages.
        remarks: receives what is irregular about it.

    Raises:
        Refusal: no value at all, a circular chain, or a concentration in a unit that cannot be one.
    """
    where = f"{worksheet.path}: {role}"
    remarks += [*date_remarks(solution, worksheet, where), *opening_remarks(solution, worksheet, where),
                *formula_remarks(solution, reactant, where)]
    if solution.concentration is not None:
        try:
            chosen = _certified(solution, reactant, method, role, solution.concentration)
        except Refusal as refusal:
            raise refusal.at(where) from None
        estimate, links = chosen.estimate, chosen.link.rests_on
        remarks += _certificate_remarks(solution, where)
    else:
        candidates = _candidates(solution, worksheet, role, upstream)
        chosen, estimate, used = _choose(candidates, solution, worksheet, where, remarks)
        links = tuple(one.link for one in used)
        for one in used:
            remarks += standardised_remarks(one.name, one.standardised, solution, where)
    try:
        nominal = nominal_concentration(solution, reactant, method, role, estimate.unit)
    except Refusal as refusal:
        raise refusal.at(f"{where}, nominal") from None
    remarks += nominal_remarks(solution, nominal, estimate, where)
    link = ChainLink(
        "titrant" if role != "reagent" else "reagent",
        _named(solution),
        _statement(estimate, len(links)),
        written_edition(solution.certificate, ""),
        _validity(solution),
        links,
    )
    return SolutionInForce(estimate, chosen.reference_degC, law_of(solution, reactant, method, role), link)


def _statement(estimate: Estimate, number: int) -> str:
    """Return the value in force, and of how many standardisations it is the mean."""
    mean = f", mean of {COUNTED.get(number, number)} standardisations" if number > 1 else ""
    return f"{written_estimate(estimate)}{mean}"


def _named(solution: Solution) -> str:
    bottle = f", bottle {solution.bottle}" if solution.bottle else ""
    return f"{solution.name}, lot {solution.lot}{bottle}" if solution.lot else f"{solution.name}{bottle}"


def _validity(solution: Solution) -> str:
    last = last_day(solution)
    return f"use before {written_date(last)}" if last else "no last day of use stated"


def _certificate_remarks(solution: Solution, where: str) -> list[Remark]:
    if solution.certificate is not None:
        return list(incomplete_certificate(solution.certificate, solution.name, where))
    return [
        remark(
            "titrant-without-certificate",
            f"the concentration of {solution.name} is stated without a certificate",
            where,
            "name the certificate, or refer to a standardisation",
        )
    ]


def _certified(solution: Solution, reactant: Reactant, method: Method, role: str, stated: Quantity) -> Candidate:
    """Return the candidate that a certificate states.

    Raises:
        Refusal: a concentration in equivalents that does not tell the amount.
    """
    unit, scale = "mol/kg" if stated.unit in ("mol/kg", "mmol/kg") else "mol/L", 1.0
    if stated.unit in ("eq/L", "meq/L"):
        unit, scale = "eq/L", 1.0 / equivalents_counted(solution, reactant, method, role, stated)
    identity = edition(solution.certificate, "as stated")
    # One certificate certifies a lot: what it leaves open is shared by all the lot's bottles.
    key = influence_key("solution", f"{solution.name} {solution.lot}".strip(), identity, "concentration")
    final_unit = "mol/kg" if unit == "mol/kg" else "mol/L"
    label = f"certified concentration of {solution.name}"
    estimate = stated_estimate(key, stated, unit, label, scale=scale, name=final_unit)
    reference = solution.at_temperature.to("°C") if solution.at_temperature else 20.0
    below: tuple[ChainLink, ...] = ()
    if solution.certificate is not None:
        below = (certificate_link("certificate", solution.certificate, stated.text),)
    certificate = written_edition(solution.certificate, "as stated")
    link = ChainLink("titrant", _named(solution), stated.text, certificate, "", below)
    return Candidate(identity, estimate, reference, date.min, link, solution)


def certificate_link(kind: str, certificate: Certificate, statement: str) -> ChainLink:
    """Return the chain's node for a certificate: its number, its validity and its own traceability statement."""
    due = f"to {written_date(certificate.due)}" if certificate.due else "no due date stated"
    return ChainLink(
        kind,
        certificate.identity,
        statement,
        written_edition(certificate, ""),
        due,
        (ChainLink("traceability", certificate.traceable_to, ""),) if certificate.traceable_to else (),
    )


def _candidates(solution: Solution, worksheet: Worksheet, role: str, upstream: Upstream) -> list[Candidate]:
    """Return every value that the named standardisations or the stored result give."""
    found = []
    for path in solution.worksheets:
        outcome = upstream.outcome(worksheet.path, path, f"{role}, worksheets")
        found.append(_from_outcome(outcome, path))
    if solution.stored:
        resolved, data = upstream.read(worksheet.path, solution.stored, f"{role}, stored")
        stored = _concentration(restore(data, resolved), resolved)
        link = ChainLink(
            "result",
            stored.worksheet,
            written_estimate(stored.estimate),
            stored.digest,
            f"found {written_date(stored.performed)}",
            (),
        )
        found.append(
            Candidate(
                stored.worksheet,
                stored.estimate,
                stored.reference_temperature_degC,
                stored.performed,
                link,
                Solution(stored.measurand, stored.formula, lot=stored.lot, bottle=stored.bottle),
                stored.releasable,
            )
        )
    if not found:
        raise Refusal(
            f"nothing tells the concentration of the {role} {solution.name}",
            where=f"{worksheet.path}: {role}",
            remedy='give worksheets = ["..."], stored = "..." or concentration = "..." with its certificate',
        )
    return found


def _concentration(stored: StoredResult, path: str) -> StoredResult:
    """Return a stored result that is a solution's concentration; refuse any other, saying what the file holds."""
    if stored.formula and stored.estimate.unit in ("mol/L", "mol/kg"):
        return stored
    kind = "a standardisation" if stored.formula else "an assay"
    held = f"{stored.measurand}, {written_estimate(stored.estimate)}"
    raise Refusal(
        f"it holds the result of {kind}, worksheet {stored.worksheet} ({held}), and no concentration of a titrant",
        where=path,
        remedy="save the standardisation of the solution with assaywright evaluate FILE --save, and name that",
    )


def _from_outcome(outcome: Outcome, path: str) -> Candidate:
    if outcome.worksheet.kind != "standardisation":
        raise Refusal(
            f"'{path}' is an assay, not a standardisation",
            where=outcome.worksheet.path,
            remedy="refer to the worksheet that standardises the solution",
        )
    result = outcome.result
    estimate = result.estimate
    if estimate.unit not in ("mol/L", "mol/kg"):
        raise Refusal(
            f"the standardisation states its result in {estimate.unit}",
            where=outcome.worksheet.path,
            remedy='ask for it in mol/L or mol/kg with [report] unit = "mol/L"',
        )
    return Candidate(
        outcome.worksheet.identity,
        estimate,
        result.reference_temperature_degC,
        last_moment(outcome.worksheet),
        outcome.chain,
        outcome.worksheet.titrant,
        outcome.releasable,
        outcome.remarks,
    )


def _choose(
    candidates: list[Candidate], solution: Solution, worksheet: Worksheet, where: str, remarks: list[Remark]
) -> tuple[Candidate, Estimate, list[Candidate]]:
    """Return the candidate and the value in force by the stated rule, and the candidates it rests on.

    "last accepted": the newest one that was found by then and is releasable; "mean of accepted": their mean, with what
    they share added once. One that is held back counts where somebody in charge let it pass before. Where none counts,
    all are used and the result is held back.
    """
    begun = first_moment(worksheet)
    remarks += [
        remark(
            "titrant-standardised-afterwards",
            f"{one.name} was found on {written_date(one.found)}, after the {worksheet.kind} of {written_date(begun)}",
            where,
            "use the value that was in force on the day",
        )
        for one in candidates if is_after(one.found, begun)
    ]
    usable = [one for one in candidates if counts(one, solution) and not is_after(one.found, begun)] or candidates
    if solution.in_force == "last accepted":
        newest = max(reversed(usable), key=lambda one: order(one.found))
        remarks += standing_remarks(candidates, [newest], solution, where)
        return newest, newest.estimate, [newest]
    remarks += standing_remarks(candidates, usable, solution, where)
    _compare(usable, where, remarks)
    units = {one.estimate.unit for one in usable}
    if len(units) > 1 or len({one.reference_degC for one in usable}) > 1:
        raise Refusal(
            "the standardisations differ in unit or in reference temperature",
            where=where,
            remedy="state them all alike",
        )
    mean = combine(units.pop(), [(1.0 / len(usable), one.estimate) for one in usable])
    return usable[-1], mean, usable


def _compare(usable: list[Candidate], where: str, remarks: list[Remark]) -> None:
    """Remark on every pair of standardisations whose E_n exceeds one."""
    for index, first in enumerate(usable):
        for second in usable[index + 1 :]:
            outcome = normalised_error(first.estimate, second.estimate)
            if not outcome.agree:
                remarks.append(
                    remark(
                        "standardisations-disagree",
                        f"{first.name} and {second.name} differ by {written_figures(outcome.difference, 3)} "
                        f"{first.estimate.unit}, E_n = {written_number(format(outcome.normalised_error, '.2f'))}",
                        where,
                        "find out which of them is wrong before using either",
                    )
                )
