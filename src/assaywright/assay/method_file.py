"""Read a method file: every table of it into the dataclass that stands for it, nothing skipped and nothing guessed."""

import hashlib
from typing import Any

from assaywright.assay.endpoint_curve import read_curve
from assaywright.assay.medium_file import read_medium
from assaywright.assay.method import (
    ACCEPTANCE_RULES,
    ACID_PARTS,
    ALKALI_SCHEMES,
    BLANK_KINDS,
    ENDPOINT_KINDS,
    FORMAT,
    HANDLINGS,
    KINDS,
    ROUTES,
    SCHEMES,
    STATUSES,
    TREATMENTS,
    TYPES,
    AcceptanceRule,
    Blank,
    Cautions,
    Endpoint,
    Hazard,
    Measurand,
    Method,
    Reactant,
    Reference,
    Repeatability,
    ResultForm,
    SampleHandling,
    TitrimetricEquivalent,
)
from assaywright.assay.method_example import EXAMPLE_STATUSES, Example, Expected
from assaywright.assay.method_table import MethodTable
from assaywright.assay.toml_trouble import not_toml
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal

LONGEST_BYTES = 1_000_000


def read_method(text: str, where: str) -> Method:
    """Return the method a text tells, complete and well formed; whether its chemistry holds is not asked here.

    Arguments:
        text: the whole file.
        where: what to call the file in a refusal.

    Raises:
        Refusal: not TOML, a key unknown or missing, or a value that is not of its kind.
    """
    content = _toml(text, where)
    if "example" not in content:
        raise Refusal("there is no worked example", where=where,
                      remedy="add [example] with a published case or a calculation by hand")
    with MethodTable(content, where) as table:
        if table.text("format") != FORMAT:
            raise table.refusal("format", f"is '{content['format']}'", f'write format = "{FORMAT}"')
        return _method(table, hashlib.sha256(text.encode("utf-8")).hexdigest())


def _toml(text: str, where: str) -> dict[str, Any]:
    import tomllib

    if len(text) > LONGEST_BYTES:
        raise Refusal(f"the method has {len(text)} characters", where=where, remedy="hand in the method file only")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise not_toml(str(problem), text, where) from None


def _method(table: MethodTable, sha256: str) -> Method:
    kind = table.choice("kind", KINDS)
    scheme = table.choice("scheme", SCHEMES)
    titrant = _reactant(table.table("titrant"), solution=True)
    reagent, reagent_reaction = _reagent(table) if scheme == "back" else (None, "")
    return Method(
        name=table.text("name"),
        title=table.text("title"),
        edition=table.text("edition"),
        determines=table.text("determines"),
        kind=kind,
        scheme=scheme,
        type=table.choice("type", TYPES),
        route=table.choice("route", ROUTES, ROUTES[0]),
        reaction=table.text("reaction"),
        reagent_reaction=reagent_reaction,
        analyte=_reactant(table.table("analyte")) if kind == "assay" else titrant,
        titrant=titrant,
        reagent=reagent,
        standard=_reactant(table.table("standard")) if scheme == "standardisation by weighing" else None,
        against=_reactant(table.table("against"), solution=True) if scheme == "standardisation by solution" else None,
        titrimetric_equivalent=_titrimetric_equivalent(table.table("titrimetric_equivalent")),
        endpoint=_endpoint(table.table("endpoint"), with_first=scheme in ALKALI_SCHEMES),
        first_endpoint=_endpoint(_first_endpoint(table)) if scheme in ALKALI_SCHEMES else None,
        medium=read_medium(table.table("medium")) if table.has("medium") else None,
        sample=_sample(table.table("sample")),
        blank=_blank(table.table("blank")),
        procedure=_steps(table.table("procedure")),
        replicates=_replicates(table.table("replicates")),
        acceptance=tuple(_acceptance(one) for one in table.tables("acceptance", at_least=1)),
        repeatability=_repeatability(table.table("repeatability")),
        result=_result(table.table("result"), with_measurands=scheme in ALKALI_SCHEMES),
        cautions=_cautions(table.table("cautions")),
        references=tuple(_reference(one) for one in table.tables("references", at_least=1)),
        example=_example(table.table("example")),
        further_examples=tuple(_example(one) for one in table.tables("further_example")),
        sha256=sha256,
        where=table.where,
    )


def _reactant(given: MethodTable, *, solution: bool = False) -> Reactant:
    with given as table:
        formula = table.text("formula")
        return Reactant(
            name=table.text("name"),
            formula=formula,
            equivalents=table.whole("equivalents"),
            reacts_as=table.text("reacts_as", formula),
            reacts_as_moles=table.whole("reacts_as_moles", 1),
            nominal=table.quantities("nominal") if solution else (),
            thermal=_thermal(table) if solution else (),
        )


def _thermal(table: MethodTable) -> tuple[tuple[str, str], ...]:
    if not table.has("thermal"):
        return ()
    laws = table.content["thermal"]
    if isinstance(laws, str):
        return (("", laws),)
    if not isinstance(laws, dict) or not all(isinstance(law, str) for law in laws.values()):
        raise table.refusal("thermal", "is neither a law nor a table of laws by concentration",
                            'write thermal = "water" or thermal = {"1 mol/L" = "HCl_1"}')
    return tuple(laws.items())


def _reagent(table: MethodTable) -> tuple[Reactant, str]:
    given = table.table("reagent")
    reaction = given.text("reaction_with_titrant")
    return _reactant(given, solution=True), reaction


def _titrimetric_equivalent(given: MethodTable) -> TitrimetricEquivalent:
    with given as table:
        published = table.figure("published_mg_per_mL", "")
        status = table.choice("published_status", STATUSES) if published else ""
        return TitrimetricEquivalent(
            text=table.text("text"),
            titrant_concentration=table.quantity("titrant_concentration", "mol/L"),
            mg_per_mL=table.figure("mg_per_mL"),
            source=table.text("source"),
            published_mg_per_mL=published,
            published_in=table.text("published_in") if published else "",
            published_status=status,
        )


def _endpoint(given: MethodTable, *, with_first: bool = False) -> Endpoint:
    with given as table:
        if with_first:
            table.has("first")
        error: Quantity | None = None
        if table.has("titration_error"):
            error = table.quantity("titration_error", "mL")
        return Endpoint(
            kind=table.choice("kind", ENDPOINT_KINDS),
            indicator=table.text("indicator"),
            colour_change=table.text("colour_change"),
            titration_error=error,
            treatment=table.choice("treatment", TREATMENTS),
            influence=table.text("influence"),
            reason=table.text("reason"),
            at=table.quantity("at", "mol/L") if table.has("at") else None,
            curve=read_curve(table.table("curve")) if table.has("curve") else None,
        )


def _first_endpoint(table: MethodTable) -> MethodTable:
    return table.table("endpoint").table("first")


def _sample(given: MethodTable) -> SampleHandling:
    with given as table:
        handling = table.texts("handling", at_least=1)
        for one in handling:
            if one not in HANDLINGS:
                raise table.refusal("handling", f"lists '{one}'", f"use {', '.join(HANDLINGS)}")
        strongest, pipetted = (table.quantity(key, "mol/L") if table.has(key) else None
                               for key in ("strongest", "pipetted_up_to"))
        return SampleHandling(handling, table.texts("text", at_least=1), table.text("thermal", ""), strongest, pipetted)


def _blank(given: MethodTable) -> Blank:
    with given as table:
        return Blank(table.choice("kind", BLANK_KINDS), table.flag("required"), table.text("text", ""))


def _steps(given: MethodTable) -> tuple[str, ...]:
    with given as table:
        return table.texts("steps", at_least=3)


def _replicates(given: MethodTable) -> int:
    with given as table:
        return table.whole("number")


def _acceptance(given: MethodTable) -> AcceptanceRule:
    with given as table:
        rule = table.choice("rule", ACCEPTANCE_RULES)
        limit = table.quantity("limit", "%") if table.has("limit") else None
        if limit is None and rule in ("range", "Ph. Eur. RSD"):
            raise Refusal(f"the rule '{rule}' has no limit", where=table.where, remedy='give one, as limit = "0.2 %"')
        return AcceptanceRule(rule, limit, table.text("source"))


def _repeatability(given: MethodTable) -> Repeatability:
    with given as table:
        pooled = table.quantity("pooled", "%")
        if not pooled.value > 0:
            raise table.refusal("pooled", f"is {pooled.text}, and no titration repeats without scatter",
                                'give what was found, like "0.05 %"')
        return Repeatability(pooled, float(table.whole("degrees_of_freedom")), table.text("source"))


def _result(given: MethodTable, *, with_measurands: bool) -> ResultForm:
    with given as table:
        measurands = tuple(_measurand(one) for one in table.tables("measurands", at_least=2)) if with_measurands else ()
        return ResultForm(table.text("unit"), table.text("species"), measurands)


def _measurand(given: MethodTable) -> Measurand:
    with given as table:
        equivalent = None
        if table.has("titrimetric_equivalent"):
            equivalent = _titrimetric_equivalent(table.table("titrimetric_equivalent"))
        return Measurand(
            name=table.text("name"),
            formula=table.text("formula"),
            equivalents=table.whole("equivalents"),
            part=table.choice("part", ACID_PARTS),
            unit=table.text("unit"),
            reaction=table.text("reaction"),
            convention=table.text("convention"),
            titrimetric_equivalent=equivalent,
        )


def _cautions(given: MethodTable) -> Cautions:
    with given as table:
        return Cautions(
            protective_equipment=table.texts("ppe", at_least=1),
            hazards=tuple(_hazard(one) for one in table.tables("hazards", at_least=1)),
            incompatibilities=table.texts("incompatibilities"),
            notes=table.texts("notes"),
            text=table.text("text"),
        )


def _hazard(given: MethodTable) -> Hazard:
    with given as table:
        codes = table.texts("codes")
        word = table.choice("signal_word", ("Danger", "Warning", "none"), "none")
        return Hazard(table.text("substance"), codes, "" if word == "none" else word, table.text("source"))


def _reference(given: MethodTable) -> Reference:
    with given as table:
        return Reference(table.text("text"), table.choice("status", STATUSES))


def _example(given: MethodTable) -> Example:
    with given as table:
        first = _expected(table, "")
        further = table.tables("further")
        return Example(
            title=table.text("title"),
            source=table.text("source"),
            clause=table.text("clause"),
            status=table.choice("status", EXAMPLE_STATUSES),
            working=table.text("working"),
            worksheet=table.text("worksheet"),
            expected=(first, *(_further(one) for one in further)),
        )


def _further(given: MethodTable) -> Expected:
    with given as table:
        return _expected(table, table.text("measurand"))


def _expected(table: MethodTable, measurand: str) -> Expected:
    value = table.quantity("expected")
    tolerance, reason = value.resolution / 2, ""
    if table.has("tolerance"):
        tolerance = float(table.quantity("tolerance", value.unit).value)
        if tolerance > value.resolution / 2 * (1 + 1e-9):
            reason = table.text("tolerance_reason")
    if not tolerance > 0:
        raise table.refusal("tolerance", f"is {tolerance}", "give a figure above zero")
    return Expected(measurand, value, tolerance, reason)
