"""Odd readings of a titrated blank, asked about while they are fresh, as those of a determination are."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from statistics import fmean
from typing import Any

from assaywright.assay.asked import Asked
from assaywright.assay.bench.asking import Question
from assaywright.assay.bench.expected import Expectation, at_titre
from assaywright.assay.bench.heading import burette_of, mark_of, without_portion_mL
from assaywright.assay.bench.questions import Circumstances, questions
from assaywright.assay.bench.taken import Fields, runs_of, titre_mL
from assaywright.assay.method import Method
from assaywright.assay.wording import written_decimal
from assaywright.reference.practice import burette_practice

OF_A_BLANK = ("excess_temperature", "initial", "final", "temperature")
INDICATOR, LIKEWISE = "indicator blank", "titrated likewise"
LARGE_INDICATOR_BLANK_ML = 0.1  # two drops: common practice, no source
# Half of how far from nominal both concentrations may lead, 5 % together; a titre is asked about at twice a half-width.
WITHIN_NOMINAL = 0.025  # relative: common practice, no source


def asked_of_blank(asked: Asked) -> Asked:
    """Return what is asked for of one titration of a blank: what a determination is asked for, without a portion."""
    return replace(asked, readings=tuple(one for one in asked.readings if one.name in OF_A_BLANK))


def blank_questions(method: Method, heading: Mapping[str, Any], asked: Asked,
                    titrations: Mapping[int, Fields]) -> tuple[Question, ...]:
    """Return what is asked about the titrations of a blank as far as they are typed.

    Arguments:
        method: of the worksheet.
        heading: with burette, reagent and titrant.
        asked: what the method asks for of a determination.
        titrations: number of a titration to its fields, as a worksheet holds them.

    Returns: named as a worksheet names the fields: "titrations.2.final", "titrations.1.fillings.2.final"
    """
    wanted, mark, found, before = asked_of_blank(asked), mark_of(heading), list[Question](), list[float]()
    for number, fields in sorted(titrations.items()):
        burette = burette_of(heading, fields)
        at = Circumstances(burette.nominal_mL, burette.division_mL, burette.displayed, decimal_mark=mark)
        # All titrations of a blank have their temperatures in common: they are asked about once.
        own = {name: text for name, text in fields.items() if number == min(titrations) or "temperature" not in name}
        expected = _expected(method, heading, before) if method.blank.kind == LIKEWISE else None
        one = [*questions(wanted, own, {"final": expected} if expected else {}, at), *_large(method, own, mark)]
        found += [replace(question, name=f"titrations.{number}.{question.name}") for question in one]
        titre = titre_mL(fields, mark)
        before += [float(titre)] if titre is not None and titre > 0 else []
    return tuple(found)


def _expected(method: Method, heading: Mapping[str, Any], before: list[float]) -> Expectation | None:
    """Return what a blank titrated likewise takes: as those before it, else the whole of the reagent."""
    if before:
        drop = burette_practice("drop").value or 0.0
        counted = "1 titration" if len(before) == 1 else f"{len(before)} titrations"
        return at_titre("final", fmean(before), drop, f"{counted} of the blank before this one", len(before))
    whole = without_portion_mL(method, {**heading, "blank": {}})
    if whole is None:
        return None
    return at_titre("final", whole, WITHIN_NOMINAL * whole, "the nominal concentrations of reagent and titrant")


def _large(method: Method, fields: Fields, mark: str) -> Iterator[Question]:
    """Yield the question about an indicator blank of more than two drops."""
    titre = titre_mL(fields, mark)
    if method.blank.kind == INDICATOR and titre is not None and titre > LARGE_INDICATOR_BLANK_ML:
        yield Question(runs_of(fields, mark)[-1].final_field, "large-blank",
                       f"An indicator blank of {written_decimal(titre)} mL is more than two drops, "
                       f"{LARGE_INDICATOR_BLANK_ML} mL.", "read again and look at indicator and water, or confirm that "
                       "it is so")
