"""What stands on the label of a lot or of a solution."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from assaywright.assay.wording import written_date
from assaywright.chemistry.cautions import spared
from assaywright.metrology.refusal import Refusal
from assaywright.records.models import Lot, Product, Solution
from assaywright.records.models.equipment import IN_USE
from assaywright.records.models.lots import ON_HOLD, RELEASED
from assaywright.records.selectors.proposed_hazards import proposed_hazards
from assaywright.records.titrants import UNCLASSIFIED, certified_facts
from assaywright.reference.labelling import (
    LEFT_OPEN,
    LabelElement,
    label_element_of_statement,
    pictogram_name,
    precaution_of,
    precautionary_statement,
)
from assaywright.reference.tables import hazard_statement


@dataclass(frozen=True)
class Hazard:
    """A hazard statement: code and words."""

    code: str
    words: str


@dataclass(frozen=True)
class Precaution:
    """A precautionary statement: code and published words.

    Fields:
        words: empty for a code that the table does not hold.
        remark: what its supplier still has to do about it; empty where nothing.
    """

    code: str
    words: str
    remark: str = ""


@dataclass(frozen=True)
class Label:
    """A label.

    Fields:
        contents: what it holds, each "name: figure".
        dates: each with what it is.
        scanned: what a scanner reads.
        standing: whether the lot is released, in words.
        place: of the works.
        pictograms: each with its code and the name of its symbol.
        precautions: precautionary statements, with their published words.
        warning: large within the frame, while it is not to be used: "NOT RELEASED", "ON HOLD", "DISCARDED".
        unstated: whether nobody has stated its hazards.
        contains: the substance that makes it harmful, by name.
    """

    maker: str
    name: str
    lot: str
    contents: tuple[str, ...]
    dates: tuple[tuple[str, str], ...]
    signal_word: str
    pictograms: tuple[str, ...]
    hazards: tuple[Hazard, ...]
    cautions: tuple[str, ...]
    storage: str
    scanned: str
    standing: str
    place: str = ""
    precautions: tuple[Precaution, ...] = ()
    warning: str = ""
    unstated: bool = False
    contains: str = ""


OPEN_LIKE = {"P264": "hands", "P501": "an approved waste disposal plant", "P370+P378": "water spray"}
# Acute toxicity, skin corrosion, serious damage to eyes, sensitisation, harm to genes, cancer, reproduction, organs.
NAMED_FOR = ("H300", "H301", "H302", "H304", "H31", "H33", "H34", "H35", "H36", "H37")
ONLY_IRRITATING = ("H315", "H319")
NOT_RELEASED, HELD, DISCARDED = "NOT RELEASED", "ON HOLD", "DISCARDED"
DEFERRAL = "Read the safety data sheet before opening; it, local rules and qualified persons go before this label."


def label_of_lot(lot: Lot) -> Label:
    """Return a lot's label: once it is released with the titrated content as its certificate states it.

    Before that, and on hold, it carries no figure, and says so in large letters.
    """
    from assaywright.records.selectors.lots import lot_shown

    content = {**Product.objects.get(pk=lot.product).content, **lot.content}
    released = lot.state == RELEASED
    known = [one for one in lot_shown(lot).characteristics if one.value and one.method] if released else []
    contents = tuple(f"{one.name}: ({one.value} ± {one.uncertainty}) {one.unit}" for one in known)
    warning = "" if released else HELD if lot.state == ON_HOLD else NOT_RELEASED
    label = _label(content, lot.product, lot.identity, contents, f"lot {lot.state}",
                   (("quantity of the lot", str(lot.content.get("quantity", ""))), ("made", lot.made),
                    ("use before the end of", lot.use_before)))
    return replace(label, warning=warning)


def label_of_solution(solution: Solution, in_force: str) -> Label:
    """Return a standard solution's label.

    Arguments:
        in_force: concentration and factor in force, as printed, or why there is none.
    """
    content = {**solution.content, **certified_facts(solution)}
    label = _label(content, solution.name, solution.identity, (in_force,), solution.state,
                   (("quantity prepared", str(content.get("volume", ""))),
                    ("prepared", str(content.get("prepared", ""))), ("use before the end of", solution.use_before)),
                   of=f"{solution.formula} {content.get('nominal', '')}")
    return replace(label, warning=DISCARDED) if solution.state != IN_USE else label


def _label(
    content: dict[str, object], name: str, identity: str, contents: tuple[str, ...], standing: str,
    dates: tuple[tuple[str, str], ...], of: str = "",
) -> Label:
    stated = tuple(str(one) for one in _listed(content.get("hazards")))
    codes = tuple(one for one in stated if one not in spared(stated))
    elements = [found for code in codes if (found := label_element_of_statement(code)) is not None]
    signals = {one.signal_word for one in elements}
    last = dict(dates).get("use before the end of", "")
    scanned = "; ".join(filter(None, (f"lot {identity}", name, f"use before {last}" if last else "")))
    return Label(
        str(content.get("maker", "")), name, identity, contents,
        tuple((words, _day(day)) for words, day in dates if day),
        "Danger" if "Danger" in signals else "Warning" if "Warning" in signals else "", _pictograms(elements),
        tuple(Hazard(code, _words(code)) for code in codes),
        tuple(str(one) for one in _listed(content.get("cautions"))), str(content.get("storage", "")), scanned, standing,
        place=str(content.get("place", "")), precautions=precautions_of(content),
        unstated=not codes and not content.get(UNCLASSIFIED), contains=_contains(codes, of or name))


def _contains(codes: tuple[str, ...], name: str) -> str:
    """Return the substance to be named on a label for the harm it does; empty where no such harm is stated.

    Source: Regulation (EC) 1272/2008, Article 18(3)(b) (from memory).
    """
    found = proposed_hazards(name) if any(
        one.startswith(NAMED_FOR) and one not in ONLY_IRRITATING for one in codes) else None
    return found.substance if found is not None else ""


def _pictograms(elements: list[LabelElement]) -> tuple[str, ...]:
    """Return the pictograms' codes after precedence (UN GHS, 1.4.10.5.3.1): skull and corrosion drive out the mark."""
    codes = {one.code for one in elements}
    spared = {"H315", "H319"} if codes & {"H314", "H318"} else set()
    found = {one.pictogram for one in elements if one.pictogram and one.code not in spared}
    if "GHS06" in found:
        found.discard("GHS07")
    return tuple(f"{code} {pictogram_name(code)}" for code in sorted(found))


def precautions_of(content: Mapping[str, object]) -> tuple[Precaution, ...]:
    """Return the precautionary statements of a product, in published words; of an unknown code the code alone."""
    return tuple(_precaution(*precaution_of(str(line))) for line in _listed(content.get("precautions")))


def _precaution(code: str, stated: str) -> Precaution:
    try:
        words = precautionary_statement(code, stated)
    except Refusal:
        return Precaution(code, "", "the table holds no wording: the label prints the code alone; look it up on the "
                                    "safety data sheet")
    if LEFT_OPEN in words:
        return Precaution(code, words, f"the published wording leaves {LEFT_OPEN} open: state it after a colon, as in "
                                       f"“{code}: {OPEN_LIKE.get(code, 'what is meant')}”")
    return Precaution(code, words)


def _listed(value: object) -> list[object]:
    return value if isinstance(value, list) else []


def _words(code: str) -> str:
    try:
        return hazard_statement(code)
    except Refusal:
        return ""


def _day(text: str) -> str:
    from datetime import date

    try:
        written = written_date(date.fromisoformat(text if len(text) > len("2026-11") else f"{text}-01"))
    except ValueError:
        return text
    return written if len(text) > len("2026-11") else written.removeprefix("1 ")
