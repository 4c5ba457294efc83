"""The certificate: everything it says, as one frozen document of formatted text beside plain numbers.

Nothing is concluded here. Results, decisions and chains come from the lot's outcome; this module chooses the words and
refuses a certificate for what is not releasable. Nothing about paper is known here either.
"""

import math
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from assaywright import __version__
from assaywright.assay.accepted import AcceptedIrregularity
from assaywright.assay.certified_chain import CertifiedChain, certified_chains
from assaywright.assay.chain import open_ends
from assaywright.assay.evaluate_lot import CharacteristicOutcome, LotOutcome
from assaywright.assay.labelled import Labelled
from assaywright.assay.moments import day_of, moments_of
from assaywright.assay.observations import Lot
from assaywright.assay.result import ConformityDecision, Outcome, Result
from assaywright.assay.wording import (
    dates_in_words,
    refers_to_volume,
    written_coverage,
    written_date,
    written_decimal,
    written_factor,
    written_limits,
    written_number,
    written_probability,
)
from assaywright.metrology.refusal import Refusal, placed

if TYPE_CHECKING:
    from assaywright.assay.certificate_changes import CertificateChange

FORMAT = "assaywright certificate 1"
ONLY_REPORTED = "reported only"


@dataclass(frozen=True, slots=True)
class CertifiedNumbers:
    """A characteristic in plain numbers, for programs.

    Fields:
        value: [unit]; of a value found below a bound, that bound.
        less_than: whether ``value`` is such a bound.
        standard_uncertainty, expanded_uncertainty: [unit]; None where there is none.
        degrees_of_freedom: None for infinite, or where there is no uncertainty.
        lower_limit, upper_limit: [unit]
        conformance_probability: 0 to 1.
        factor, factor_expanded_uncertainty: actual over nominal concentration, as printed.
    """

    value: float | None
    unit: str
    less_than: bool
    standard_uncertainty: float | None
    coverage_factor: float | None
    coverage_probability: float | None
    degrees_of_freedom: float | None
    expanded_uncertainty: float | None
    lower_limit: float | None
    upper_limit: float | None
    conformance_probability: float | None
    factor: float | None
    factor_expanded_uncertainty: float | None


@dataclass(frozen=True, slots=True)
class CertifiedCharacteristic:
    """One characteristic as the certificate states it.

    Fields:
        accredited: whether it is reported under the maker’s accreditation.
        value, uncertainty, unit: as printed; the uncertainty is the expanded one, empty where there is none.
        no_uncertainty: why there is none; exactly one of ``uncertainty`` and ``no_uncertainty`` is empty.
        coverage: coverage factor, coverage probability and degrees of freedom.
        factor: of a titrant, with its expanded uncertainty.
        temperature: that a content refers to.
        limits, decision, rule, compared, statement: of conformity; ``limits`` is empty for what is only reported.
        probability: of conformance, with the prior it rests on.
        risks: global risks, where a prior of the product is stated.
        method: title and edition of the method, or empty.
        source: where a value that was not titrated comes from.
        numbers: the same for programs.
    """

    name: str
    accredited: bool
    value: str
    uncertainty: str
    unit: str
    no_uncertainty: str
    coverage: str
    factor: str
    temperature: str
    limits: str
    decision: str
    rule: str
    compared: str
    statement: str
    probability: str
    risks: str
    method: str
    source: str
    numbers: CertifiedNumbers


@dataclass(frozen=True, slots=True)
class Hazard:
    """A GHS hazard statement: code and words."""

    code: str
    statement: str


@dataclass(frozen=True, slots=True)
class AssayRecord:
    """What a recomputation needs: the worksheet and the method by content, and who did the work when."""

    worksheet: str
    sha256: str
    method: str
    method_edition: str
    method_sha256: str
    performed: str
    analyst: str
    reviewer: str


@dataclass(frozen=True, slots=True)
class CertificateDocument:
    """Everything a certificate says.

    Fields:
        made, assayed, issued, use_before: dates as year-month-day; ``assayed`` is the first and the last, or empty.
        identification: what the lot is, as printed.
        conformity, traceability, accreditation, responsibility, safety: sentences, as printed.
        standing: whether this is a draft or signed, in one sentence.
        lot_sha256: of the lot file's bytes.
        software: name and version of the program that computed it.
        accepted: irregularities that an authorised person let pass, with who and why.
        accreditation_number: of the accreditation that covers what is marked, where the records state one.
        changes: of an amended certificate, what it says otherwise than the one whose place it takes.
        address: of the works, as printed beneath the maker's name.
        in_place_of: which certificate it replaces or amends, as printed beneath its own number.
        demonstration: in a demonstration, that it certifies nothing; said on every page.
    """

    format: str
    title: str
    number: str
    maker: str
    product: str
    lot: str
    made: str
    assayed: tuple[str, ...]
    issued: str
    use_before: str
    identification: tuple[Labelled, ...]
    characteristics: tuple[CertifiedCharacteristic, ...]
    conformity: str
    accreditation: str
    traceability: str
    chains: tuple[CertifiedChain, ...]
    storage: str
    hazards: tuple[Hazard, ...]
    cautions: tuple[str, ...]
    safety: str
    responsible: str
    responsible_function: str
    responsibility: str
    standing: str
    note: str
    records: tuple[AssayRecord, ...]
    lot_sha256: str
    software: str
    accepted: tuple[AcceptedIrregularity, ...] = ()
    accreditation_number: str = ""
    changes: "tuple[CertificateChange, ...]" = ()
    demonstration: str = ""
    address: str = ""
    in_place_of: str = ""


NEEDED = {"certificate_number": "a certificate number", "maker": "a maker", "product": "a product",
          "issued": "a date of issue", "responsible": "a responsible person",
          "responsible_function": "the responsible person's function"}
SAFETY = ("Read the safety data sheet before opening. It, local rules and the advice of qualified persons go before "
          "anything said here.")
RESPONSIBILITY = ("The program computes; it answers for nothing. By signing, the person named here states that they "
                  "have judged what it computed, and is responsible for this certificate.")
DEMONSTRATION = "Demonstration: certifies nothing"
STANDING = "Draft: valid only when signed by the person named at its end."


def certificate_document(outcome: LotOutcome, judge: str = "") -> CertificateDocument:
    """Return what the certificate of a lot says.

    Arguments:
        judge: name and function of whoever judged what was found in words; who is responsible for the certificate where
            it is empty.

    Raises:
        Refusal: something holds the lot back, told with its remarks; or the lot does not name what a certificate must.
    """
    _require_releasable(outcome)
    lot = outcome.lot
    issued = _require_named(lot)
    days = sorted({day_of(moment) for item in outcome.outcomes for moment in moments_of(item.worksheet)})
    judge = judge or ", ".join(filter(None, (lot.responsible, lot.responsible_function)))
    characteristics = tuple(_characteristic(item, judge) for item in outcome.characteristics)
    return CertificateDocument(
        format=FORMAT, title="Certificate of analysis", number=lot.certificate_number, maker=lot.maker,
        product=lot.product, lot=lot.identity, made=_iso(lot.made),
        assayed=tuple(day.isoformat() for day in ((days[0], days[-1]) if days else ())), issued=issued.isoformat(),
        use_before=_iso(lot.use_before), identification=_identification(outcome, days), characteristics=characteristics,
        conformity=_conformity(characteristics), accreditation=_accreditation(characteristics),
        traceability=_traceability(outcome), chains=certified_chains(outcome), storage=lot.storage,
        hazards=_hazards(lot), cautions=lot.cautions, safety=SAFETY, responsible=lot.responsible,
        responsible_function=lot.responsible_function, responsibility=RESPONSIBILITY, standing=STANDING, note=lot.note,
        records=tuple(_record(item) for item in outcome.outcomes), lot_sha256=lot.digest,
        software=f"Assaywright {__version__}", accepted=tuple(one.on_paper() for one in outcome.accepted))


def _require_releasable(outcome: LotOutcome) -> None:
    if outcome.releasable:
        return
    told = "; ".join(placed(remark.where, remark.what) for remark in outcome.holds)
    remedies = "; ".join(dict.fromkeys(remark.remedy for remark in outcome.holds))
    raise Refusal(f"no certificate, because the lot is held back ({told})", where=_place(outcome.lot),
                  remedy=remedies)


def _require_named(lot: Lot) -> date:
    missing = {name: field for field, name in NEEDED.items() if not getattr(lot, field)}
    if missing or lot.issued is None:
        raise Refusal(f"a certificate needs {' and '.join(missing)}", where=_place(lot),
                      remedy=f"state {' and '.join(missing.values())} there")
    if not lot.characteristics:
        raise Refusal("a certificate without a characteristic", where=_place(lot),
                      remedy="name at least one characteristic")
    return lot.issued


def _place(lot: Lot) -> str:
    """Return the lot's file, where it has one, and its number."""
    return f"{lot.path}: lot {lot.identity}".removeprefix(": ")


def _identification(outcome: LotOutcome, days: list[date]) -> tuple[Labelled, ...]:
    lot = outcome.lot
    samples = dict.fromkeys(item.worksheet.sample.taken for item in outcome.outcomes if item.worksheet.sample)
    assayed = " to ".join(dict.fromkeys(written_date(day) for day in (days[:1] + days[-1:])))
    rows = (("Customer", lot.customer), ("Made", written_date(lot.made)),
            ("Sample taken", dates_in_words("; ".join(text for text in samples if text) or lot.sampled)),
            ("Assayed", assayed), ("Issued", written_date(lot.issued)),
            ("Use before the end of", written_date(lot.use_before)))
    return tuple(Labelled(label, text) for label, text in rows if text)


def _characteristic(item: CharacteristicOutcome, judge: str) -> CertifiedCharacteristic:
    entered, result, decision = item.characteristic, item.result, item.decision
    limits = written_limits(entered.specification)
    value, uncertainty, unit = _printed(item)
    factor = _factor(result)
    return CertifiedCharacteristic(
        name=item.name, accredited=entered.accredited, value=value, uncertainty=uncertainty, unit=unit,
        no_uncertainty=item.no_uncertainty,
        coverage=written_coverage(result, entered=item.outcome is None) if result else "",
        factor=factor, temperature=_temperature(item), limits=limits,
        decision=decision.decision if decision else ONLY_REPORTED, rule=decision.rule if decision else "",
        compared=decision.compared if decision else "", statement=_statement(item, judge),
        probability=_probability(decision), risks=_risks(decision),
        method=f"{item.outcome.method_title}, edition {item.outcome.method_edition}" if item.outcome else "",
        source=dates_in_words(entered.source), numbers=_numbers(item))


def _printed(item: CharacteristicOutcome) -> tuple[str, str, str]:
    entered, result = item.characteristic, item.result
    if result is not None:
        return written_number(result.value_text), written_number(result.uncertainty_text), result.estimate.unit
    if entered.value is not None:
        bound = "less than " if entered.less_than else ""
        return bound + written_decimal(entered.value.value), "", entered.value.unit
    return entered.text, "", ""


def _statement(item: CharacteristicOutcome, judge: str) -> str:
    """Return the statement of conformity; the rule, the figure compared and the probability stand beside it."""
    if item.decision is None or item.result is None:
        return item.decision.sentence.replace("the person named", judge) if item.decision else ""
    value, uncertainty, unit = _printed(item)
    limits = written_limits(item.characteristic.specification)
    return f"Found ({value} ± {uncertainty}) {unit}; specified {limits}: {item.decision.decision}."


def _factor(result: Result | None) -> str:
    value, uncertainty = written_factor(result) if result else ("", "")
    return f"factor, actual over nominal concentration: f = {value} ± {uncertainty}, with the same k" if value else ""


def _temperature(item: CharacteristicOutcome) -> str:
    """Return the temperature that a content by volume refers to; a content by mass refers to none."""
    result = item.result
    if item.outcome is None or result is None or not refers_to_volume(result.estimate.unit):
        return ""
    return f"{result.reference_temperature_degC:g} °C"


def _probability(decision: ConformityDecision | None) -> str:
    if decision is None or decision.conformance_probability is None:
        return ""
    prior = f", {decision.prior}" if decision.prior else ""
    return f"{written_probability(decision.conformance_probability)}{prior}"


def _risks(decision: ConformityDecision | None) -> str:
    if decision is None or decision.global_consumer_risk is None or decision.global_producer_risk is None:
        return ""
    return (f"global consumer’s risk {written_probability(decision.global_consumer_risk)}, global producer’s risk "
            f"{written_probability(decision.global_producer_risk)}")


def _numbers(item: CharacteristicOutcome) -> CertifiedNumbers:
    entered, result, decision = item.characteristic, item.result, item.decision
    specification = entered.specification
    factor, factor_uncertainty = written_factor(result) if result else ("", "")
    typed = float(entered.value.value) if entered.value else None
    return CertifiedNumbers(
        value=result.estimate.value if result else typed,
        unit=_printed(item)[2],
        less_than=entered.less_than,
        standard_uncertainty=result.estimate.standard_uncertainty if result else None,
        coverage_factor=result.coverage_factor if result else None,
        coverage_probability=result.coverage_probability if result else None,
        degrees_of_freedom=_finite(result.estimate.degrees_of_freedom) if result else None,
        expanded_uncertainty=result.expanded_uncertainty if result else None,
        lower_limit=float(specification.lower.value) if specification.lower else None,
        upper_limit=float(specification.upper.value) if specification.upper else None,
        conformance_probability=decision.conformance_probability if decision else None,
        factor=float(factor) if factor else None,
        factor_expanded_uncertainty=float(factor_uncertainty) if factor_uncertainty else None)


def _finite(number: float) -> float | None:
    return number if math.isfinite(number) else None


def _conformity(characteristics: tuple[CertifiedCharacteristic, ...]) -> str:
    specified = sum(1 for item in characteristics if item.limits)
    if not specified:
        return "Nothing is specified for this lot; its characteristics are reported, and no conformity is claimed."
    conforming = ("The one specified characteristic conforms, by" if specified == 1 else
                  f"All {specified} specified characteristics conform, each by")
    return f"{conforming} the decision rule named with it. The results relate to this lot only."


def _accreditation(characteristics: tuple[CertifiedCharacteristic, ...]) -> str:
    covered = sum(1 for item in characteristics if item.accredited)
    if not covered:
        return "No result on this certificate is reported as accredited."
    if covered == len(characteristics):
        return "Every result on this certificate is reported as accredited, under the maker’s accreditation."
    return ("Results marked as accredited are reported under the maker’s accreditation; the others are not reported as "
            "accredited.")


def _traceability(outcome: LotOutcome) -> str:
    if not outcome.outcomes:
        return "No value on this certificate was titrated; each rests on the source named with it."
    ends = dict.fromkeys(end for evaluated in outcome.outcomes for end in open_ends(evaluated.chain))
    but = f", but for {'; '.join(ends)}" if ends else ""
    sentence = ("Each titrated result is traceable through the documented chain drawn here to the references at the "
                f"ends of its branches{but}. Each link adds its part to the stated uncertainty.")
    if all(item.outcome for item in outcome.characteristics):
        return sentence
    return f"{sentence} A value that was not titrated rests on the source named with it."


def _hazards(lot: Lot) -> tuple[Hazard, ...]:
    from assaywright.reference.tables import hazard_statement

    return tuple(Hazard(code, hazard_statement(code)) for code in lot.hazards)


def _record(outcome: Outcome) -> AssayRecord:
    worksheet = outcome.worksheet
    return AssayRecord(
        worksheet=worksheet.identity, sha256=worksheet.digest, method=worksheet.method,
        method_edition=outcome.method_edition, method_sha256=outcome.method_sha256,
        performed=worksheet.performed.isoformat(), analyst=worksheet.analysts, reviewer=worksheet.reviewer)


def _iso(day: date | None) -> str:
    return day.isoformat() if day else ""
