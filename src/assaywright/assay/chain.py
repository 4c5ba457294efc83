"""The traceability chain of a worksheet: everything its result rests on, down to certificates and tables."""

from collections.abc import Iterator

from assaywright.assay.glass import open_error, written_edition
from assaywright.assay.method import Method
from assaywright.assay.moments import day_of
from assaywright.assay.observations import Balance, Certificate, Thermometer, Vessel, Worksheet
from assaywright.assay.result import ChainLink, Result
from assaywright.assay.solutions import certificate_link
from assaywright.assay.wording import written_date, written_figures
from assaywright.metrology.model import Model

SOLUTIONS = ("titrant", "reagent")
MEASURING = ("vessel", "balance", "thermometer", "reference material", *SOLUTIONS)
TABLES_OF_TOLERANCE = ("ISO", "ASTM")


def chain_of(
    worksheet: Worksheet,
    method: Method,
    result: Result,
    links: list[ChainLink],
    repeatability: str,
    model: Model,
) -> ChainLink:
    """Return the chain's top node with everything below it.

    Arguments:
        method: the method used.
        links: nodes of the solutions and reference materials.
        repeatability: where the repeatability comes from, in words.
        model: of the result; its inputs tell whose molar masses enter.
    """
    below = list(links)
    below += [_vessel(vessel) for vessel in worksheet.vessels if vessel.role in used_roles(worksheet)]
    below += [_instrument("balance", one, "mass") for one in worksheet.balances if _weighs(worksheet)]
    below += [_instrument("thermometer", one, one.uncertainty.text) for one in worksheet.thermometers]
    formulas = tuple(dict.fromkeys(name[2:-1] for name in model.inputs if name.startswith("M(")))
    named = f"{method.name}, edition {method.edition}"
    if formulas:
        below.append(ChainLink("table", "CIAAW standard atomic weights 2021", f"molar mass of {', '.join(formulas)}"))
    below.append(ChainLink("repeatability", repeatability, f"method {named}"))
    statement = f"{result.value_text} {result.estimate.unit} ± {result.uncertainty_text} {result.estimate.unit}"
    return ChainLink(
        "result",
        worksheet.identity,
        f"{result.measurand}: {statement}",
        named,
        f"performed {written_date(day_of(worksheet.performed))}",
        tuple(below),
    )


def open_ends(link: ChainLink) -> Iterator[str]:
    """Yield in words what a chain rests on without a certificate that says what it is traceable to.

    Tables and the repeatability are no such ends: the one is cited, the other found by repeating.
    """
    if link.kind in MEASURING and not any(below.kind in ("result", *SOLUTIONS) for below in link.rests_on):
        certificates = [below for below in link.rests_on if below.kind == "certificate"]
        if not any(below.rests_on for below in certificates):
            yield f"{_spoken(link)} ({_instead(link, certificates)})"
    for below in link.rests_on:
        yield from open_ends(below)


def _spoken(link: ChainLink) -> str:
    return link.identity if link.kind in ("vessel", *SOLUTIONS) else f"{link.kind} {link.identity}"


def _instead(link: ChainLink, certificates: list[ChainLink]) -> str:
    """Return what an open end rests on instead."""
    if certificates:
        return f"certificate {certificates[0].identity} names no reference"
    toleranced = link.certificate.startswith(TABLES_OF_TOLERANCE)
    return f"{link.certificate}, no certificate" if toleranced else "no certificate"


def used_roles(worksheet: Worksheet) -> set[str]:
    """Return the roles of the vessels that the worksheet's observations name."""
    roles: set[str] = set()
    deliveries = [one.delivery for one in worksheet.determinations]
    portions = [one.portion for one in worksheet.determinations]
    portions += [one.excess for one in worksheet.determinations if one.excess]
    if worksheet.blank is not None:
        deliveries += worksheet.blank.deliveries
    portions += [stage.portion for stage in worksheet.dilutions]
    roles |= {stage.flask for stage in worksheet.dilutions}
    roles |= {one.burette for one in deliveries if one.fillings}
    roles |= {one.pipette for one in portions}
    return roles - {""}


def _weighs(worksheet: Worksheet) -> bool:
    portions = [one.portion for one in worksheet.determinations] + [one.portion for one in worksheet.dilutions]
    return any(one.mass is not None for one in portions) or any(
        one.delivery.mass is not None for one in worksheet.determinations
    )


def _vessel(vessel: Vessel) -> ChainLink:
    uncertainty, distribution, _, source = open_error(vessel)
    return ChainLink(
        "vessel",
        f"{vessel.kind} {vessel.identity}, {vessel.nominal.text}",
        f"u = {written_figures(uncertainty, 2)} mL ({distribution})",
        source,
        _validity(vessel.certificate),
        _certificates(vessel.certificate),
    )


def _instrument(kind: str, instrument: Balance | Thermometer, statement: str) -> ChainLink:
    return ChainLink(
        kind,
        instrument.identity,
        statement,
        written_edition(instrument.certificate, "no certificate on record"),
        _validity(instrument.certificate),
        _certificates(instrument.certificate),
    )


def _validity(certificate: Certificate | None) -> str:
    return f"calibration due {written_date(certificate.due)}" if certificate and certificate.due else ""


def _certificates(certificate: Certificate | None) -> tuple[ChainLink, ...]:
    return (certificate_link("certificate", certificate, "calibration"),) if certificate else ()
