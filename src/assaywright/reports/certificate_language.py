"""A certificate in another language: what is printed, word for word the same, figure for figure the same.

The document's own words are said in the language; what the laboratory typed (names, sources, storage, cautions, a
note) stays as it was typed, and so do formulas, codes and units, but for % w/w and % w/v. Hazard statements are those
that the regulation words in the language.
"""

from collections.abc import Callable
from dataclasses import replace
from functools import cache

from assaywright.assay.accepted import AcceptedIrregularity
from assaywright.assay.certificate import AssayRecord, CertificateDocument, CertifiedCharacteristic, Hazard
from assaywright.assay.certificate_changes import NONE, CertificateChange
from assaywright.assay.labelled import Labelled
from assaywright.assay.method import load_method, method_names
from assaywright.assay.result import ChainLink
from assaywright.reference.tables import hazard_statement
from assaywright.reports.certificate_phrases import PHRASES, WORDS
from assaywright.reports.language import Language, translations

JUDGED = "judged by a person"
UNITS_ALONE = {"% w/w": "mass fraction in %", "% w/v": "mass concentration in g/dL"}
OF_DAYS = ("Made", "Assayed", "Issued", "Use before the end of")


@cache
def language_of_certificates(code: str) -> Language:
    """Return a language with every phrase of a certificate.

    Raises:
        Refusal: certificates are not printed in it.
    """
    return Language(code, translations(code).gettext, certificate_phrases())


@cache
def certificate_phrases() -> dict[str, tuple[str, ...]]:
    """Return every phrase by its group: those of the certificate and of the methods."""
    methods = [load_method(name) for name in method_names()]
    return {
        **PHRASES,
        "method title": tuple(dict.fromkeys(one.title for one in methods)),
        "measurand": (*PHRASES["measurand"], *dict.fromkeys(name for one in methods for name in (
            one.determines, *(part.name for part in one.result.measurands)))),
    }


def certificate_in(document: CertificateDocument, language: Language) -> CertificateDocument:
    """Return what a certificate prints in a language.

    Raises:
        Refusal: something that it says has no words in the language.
    """
    say = language.phrase
    return replace(
        document,
        title=say(document.title, "title"),
        identification=tuple(_labelled(one, language) for one in document.identification),
        characteristics=tuple(_characteristic(one, language) for one in document.characteristics),
        conformity=say(document.conformity, "conformity"),
        accreditation=say(document.accreditation, "accreditation"),
        traceability=say(document.traceability, "traceability"),
        chains=tuple(replace(one, chain=chain_in(one.chain, language)) for one in document.chains),
        hazards=tuple(Hazard(one.code, hazard_statement(one.code, language.code)) for one in document.hazards),
        safety=say(document.safety, "safety"),
        responsible_function=language.phrase_or_typed(document.responsible_function, "function"),
        responsibility=say(document.responsibility, "responsibility"),
        standing=say(document.standing, "standing"),
        demonstration=say(document.demonstration, "demonstration"),
        note=language.phrase_or_typed(document.note, "note"),
        in_place_of=say(document.in_place_of, "in place of"),
        records=tuple(_record(one, language) for one in document.records),
        accepted=tuple(_accepted(one, language) for one in document.accepted),
        changes=tuple(_change(one, language) for one in document.changes),
    )


def words_of(language: Language) -> dict[str, str]:
    """Return what the page itself says, beside the document: the English, and the same in the language."""
    return {word: language.say(word) for word in WORDS}


def _labelled(one: Labelled, language: Language) -> Labelled:
    text = language.phrase(one.text, "days") if one.label in OF_DAYS else language.dates(one.text)
    return Labelled(language.phrase(one.label, "label"), text)


def _characteristic(one: CertifiedCharacteristic, language: Language) -> CertifiedCharacteristic:
    say, measured, judged = language.phrase, one.numbers.value is not None, one.rule == JUDGED
    limited = one.numbers.lower_limit is not None or one.numbers.upper_limit is not None
    return replace(
        one,
        value=say(one.value, "value") if measured else one.value,
        uncertainty=language.figures(one.uncertainty),
        unit=say(UNITS_ALONE[one.unit], "unit alone") if one.unit in UNITS_ALONE else one.unit,
        no_uncertainty=say(one.no_uncertainty, "no_uncertainty"),
        coverage=say(one.coverage, "coverage"),
        factor=say(one.factor, "factor"),
        temperature=language.figures(one.temperature),
        limits=say(one.limits, "limits") if limited else one.limits,
        decision=say(one.decision, "decision"),
        rule=say(one.rule, "rule"),
        compared=one.compared if judged else say(one.compared, "value"),
        statement=say(one.statement, "statement"),
        probability=say(one.probability, "probability"),
        risks=say(one.risks, "risks"),
        method=say(one.method, "method"),
        source=language.dates(one.source),
    )


def chain_in(link: ChainLink, language: Language) -> ChainLink:
    """Return a traceability chain in a language.

    Raises:
        Refusal: something that it says has no words in the language.
    """
    identity, statement = _KINDS[link.kind]
    return replace(
        link,
        kind=language.phrase(link.kind, "kind"),
        identity=identity(language, link.identity),
        statement=statement(language, link.statement),
        certificate=language.phrase(link.certificate, "certificate"),
        valid=language.phrase(link.valid, "valid"),
        rests_on=tuple(chain_in(below, language) for below in link.rests_on),
    )


def _record(one: AssayRecord, language: Language) -> AssayRecord:
    return replace(one, performed=language.day(one.performed))


def _accepted(one: AcceptedIrregularity, language: Language) -> AcceptedIrregularity:
    """Return what was accepted; the remark and the reason stay in the words that are on record."""
    return replace(one, day=language.day(one.day), function=language.phrase_or_typed(one.function, "function"))


def _change(one: CertificateChange, language: Language) -> CertificateChange:
    """Return what changed; what somebody typed stays as it is, but for its dates."""
    def said(text: str) -> str:
        if text == NONE:
            return language.say(NONE)
        return language.phrase_or_typed(text, one.group) if one.group else language.dates(text)

    return replace(one, what=language.phrase(one.what, "changed"), before=said(one.before), now=said(one.now))


def _typed(_language: Language, text: str) -> str:
    return text


def _said(group: str) -> Callable[[Language, str], str]:
    return lambda language, text: language.phrase(text, group)


# How the identity and the statement of a link of the chain are said, by its kind.
_KINDS: dict[str, tuple[Callable[[Language, str], str], Callable[[Language, str], str]]] = {
    "result": (_typed, _said("result statement")),
    "titrant": (_said("solution"), _said("solution statement")),
    "reagent": (_said("solution"), _said("solution statement")),
    "reference material": (_typed, Language.stated),
    "certificate": (_typed, _said("certificate statement")),
    "traceability": (_typed, _typed),
    "vessel": (_said("vessel"), _said("vessel statement")),
    "balance": (_typed, _said("balance statement")),
    "thermometer": (_typed, Language.stated),
    "table": (_said("table"), _said("table statement")),
    "repeatability": (_said("repeatability"), _said("repeatability statement")),
}
