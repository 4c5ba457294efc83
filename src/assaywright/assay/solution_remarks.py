"""What is irregular about a solution in use: its dates, its package, whether it is the one the method names."""

import re
from collections.abc import Iterator
from datetime import date, timedelta

from assaywright.assay.method import Reactant
from assaywright.assay.moments import day_of, first_moment, is_after, last_day_of_use
from assaywright.assay.observations import Certificate, Solution, Worksheet
from assaywright.assay.troubles import remark
from assaywright.assay.wording import written_date
from assaywright.chemistry.formula import parse_formula
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark

_WATER_OF_CRYSTALLISATION = re.compile(r"\s*[·.*•]\s*\d*\s*H2O$")


def last_day(solution: Solution) -> date | None:
    """Return the last day on which a solution may be used.

    It is the earliest of its own date, the end of its life once opened, and the last day of its certificate.
    """
    days = [solution.use_before] if solution.use_before else []
    if solution.opened is not None and solution.in_use_days is not None:
        days.append(solution.opened + timedelta(days=solution.in_use_days))
    if solution.certificate is not None and solution.certificate.due is not None:
        days.append(solution.certificate.due)
    return min(days) if days else None


def date_remarks(solution: Solution, worksheet: Worksheet, where: str) -> Iterator[Remark]:
    """Yield a remark for a solution past its last day, and for one certified only after it was used."""
    last, used = last_day(solution), last_day_of_use(worksheet)
    if last is not None and used > last:
        yield remark(
            "titrant-past-its-date",
            f"{solution.name} could be used until {written_date(last)} and was used on {written_date(used)}",
            where,
            "use a solution in date, or have the use authorised with a reason",
        )
    certificate = solution.certificate
    if certificate is not None and certificate.issued is not None and is_after(
        certificate.issued, first_moment(worksheet)
    ):
        yield remark(
            "titrant-standardised-afterwards",
            f"certificate {certificate.identity} was issued on {written_date(certificate.issued)}, after "
            f"{solution.name} was used",
            where,
            "use the value that was in force on the day",
        )


def opening_remarks(solution: Solution, worksheet: Worksheet, where: str) -> Iterator[Remark]:
    """Yield a remark for a bottle that was opened only after it was used."""
    used = day_of(first_moment(worksheet))
    if solution.opened is not None and solution.opened > used:
        yield remark(
            "dates-out-of-order",
            f"{solution.name} was opened on {written_date(solution.opened)} and used on {written_date(used)}",
            where,
            "correct the date that is wrong",
        )


def incomplete_certificate(certificate: Certificate, name: str, where: str) -> Iterator[Remark]:
    """Yield a remark for a certificate of content that names no date or nothing it is traceable to."""
    missing = [
        what
        for what, stated in (("no date of issue", certificate.issued), ("no reference", certificate.traceable_to))
        if not stated
    ]
    if missing:
        yield remark(
            "certificate-incomplete",
            f"certificate {certificate.identity} of {name} states {' and '.join(missing)}",
            where,
            'copy them from the certificate, as issued = 2026-01-12 and traceable_to = "SI, through ..."',
        )


def formula_remarks(solution: Solution, reactant: Reactant, where: str) -> Iterator[Remark]:
    """Yield a remark when a solution is not of the substance the method names.

    Water of crystallisation is lost in solution, so it makes no difference here.

    Raises:
        Refusal: a formula that cannot be read.
    """
    try:
        fits = is_of(solution.formula, reactant)
    except Refusal as refusal:
        raise refusal.at(where) from None
    if not fits:
        yield remark(
            "titrant-of-another-kind",
            f"{solution.name} is {solution.formula}, the method is for {reactant.formula}",
            where,
            "name a method for this solution, or correct the formula",
        )


def is_of(formula: str, reactant: Reactant) -> bool:
    """Return whether a solution is of the substance that a method names; where no formula is stated it may be.

    Arguments:
        formula: of the solution; its water of crystallisation makes no difference.

    Raises:
        Refusal: a formula that cannot be read.
    """
    if not formula:
        return True
    here = parse_formula(_WATER_OF_CRYSTALLISATION.sub("", formula))
    named = (_WATER_OF_CRYSTALLISATION.sub("", reactant.formula), reactant.reacts_as)
    return any(here.is_same_entity(parse_formula(one)) for one in named if one)


def standardised_remarks(name: str, standardised: Solution, solution: Solution, where: str) -> Iterator[Remark]:
    """Yield a remark when a standardisation is of another substance, lot or bottle than the solution in use.

    Arguments:
        name: of the standardisation.
        standardised: the solution it standardises; a lot or bottle that either side leaves out is not compared.
    """
    formulas = [_WATER_OF_CRYSTALLISATION.sub("", one.formula) for one in (standardised, solution)]
    if all(formulas) and not parse_formula(formulas[0]).is_same_entity(parse_formula(formulas[1])):
        yield remark(
            "titrant-of-another-kind",
            f"{name} standardises {standardised.formula}, the worksheet uses {solution.formula}",
            where,
            "refer to a standardisation of this very solution",
        )
    for word, there, here in (
        ("lot", standardised.lot, solution.lot),
        ("bottle", standardised.bottle, solution.bottle),
    ):
        if there and here and there != here:
            yield remark(
                "titrant-of-another-package",
                f"{name} standardises {word} {there}, the worksheet uses {word} {here}",
                where,
                "refer to a standardisation of this very package, or correct the number",
            )
