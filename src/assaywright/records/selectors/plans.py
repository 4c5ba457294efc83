"""A plan for assaying a lot with what is registered: what was asked, the options best first, the bench guide of one."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from urllib.parse import urlencode

from assaywright.assay.asked import ALIQUOT_PIPETTE, BURETTE, DILUTED_BY_MASS, FLASK, PIPETTE, WEIGHED_INTO_FLASK
from assaywright.assay.plan.guide import BenchGuide, bench_guide
from assaywright.assay.plan.plan import plan_assay
from assaywright.assay.plan.product import FORMAT, read_product
from assaywright.assay.plan.product import Product as PlannedProduct
from assaywright.assay.plan.result import Option, Plan
from assaywright.assay.plan.setup import HANDLING, WEIGHED_DILUTION, WEIGHED_FLASK, Setup
from assaywright.assay.plan.words import decimals, per_cent, way_words, whole_per_cent
from assaywright.assay.reading.determinations import EXCESS_PIPETTE
from assaywright.assay.reading.report import LIMIT_FIELDS
from assaywright.assay.wording import written_number
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.records.bridge import open_by_path, unreviewed_below
from assaywright.records.methods import method_of
from assaywright.records.models import Assay, EnteredCharacteristic, Lot
from assaywright.records.shelf import shelf_on_record
from assaywright.records.specified import edition_of, specified_of
from assaywright.records.toml_text import toml_text

OWN_METHOD = ".toml"
NO_CHARACTERISTIC = "{} has no characteristic '{}' that a method assays"
WEIGHED_ONLY = ("weighed",)
WAY_OF_FORM = {**HANDLING, WEIGHED_FLASK: WEIGHED_INTO_FLASK, WEIGHED_DILUTION: DILUTED_BY_MASS}


@dataclass(frozen=True)
class PlanAsked:
    """What a plan is asked for, as typed; ``characteristics`` are those of the product that a method assays."""

    characteristics: tuple[str, ...]
    characteristic: str = ""
    nominal: str = ""
    state: str = "solution"
    density: str = ""
    thermal: str = ""
    pooled: str = ""
    uncertainty: str = ""


@dataclass(frozen=True)
class OptionShown:
    """An option as a row shows it, figures as printed.

    Fields:
        uncertainty: expanded, relative, in per cent; ``expanded`` the same in the unit of the content.
        share_of_width: 2U of the width of the specification; empty where that is not two-sided.
        begin: what the form that begins the assay is filled with, as a query.
    """

    number: int
    way: str
    titrant: str
    burette: str
    titre_mL: str
    burette_use: str
    determinations: int
    uncertainty: str
    expanded: str
    coverage: str
    share_of_width: str
    minutes: str
    reaches: bool
    held: tuple[str, ...]
    remarks: tuple[str, ...]
    begin: str


@dataclass(frozen=True)
class PlanShown:
    """What the page of a plan says; without ``plan`` only what is asked and what stands in the way.

    Fields:
        named: the method by the name that a worksheet is begun with.
    """

    lot: Lot
    asked: PlanAsked
    method: str = ""
    plan: Plan | None = None
    options: tuple[OptionShown, ...] = ()
    left_out: tuple[str, ...] = ()
    cautions: str = ""
    influences: tuple[tuple[str, str], ...] = ()
    wanted: str = ""
    query: str = field(default="")
    named: str = ""


def plan_asked(lot: Lot, typed: Mapping[str, str]) -> PlanAsked:
    """Return what is asked: as typed, else as the specification and the last assay of the product have it.

    Raises:
        Refusal: no characteristic of the product is assayed by a method.
    """
    specified = _assayed(lot)
    name = typed.get("characteristic", "").strip() or specified[0]["name"]
    chosen = Refusal.unless(
        next((one for one in specified if one["name"] == name), None), NO_CHARACTERISTIC.format(lot.product, name[:60]),
        where=f"lot {lot.identity}", remedy=f"choose {' or '.join(str(one['name']) for one in specified)}")
    sheet = _last_sheet(lot, str(chosen["method"]))
    density = str(sheet.get("sample", {}).get("density", "")) or _density_of(lot)
    before = {"nominal": nominal_of(lot, chosen), "state": _state_of(str(chosen["method"]), density),
              "density": density,
              "thermal": str(sheet.get("sample", {}).get("thermal", "")),
              "pooled": str(sheet.get("repeatability", {}).get("pooled", ""))}
    asked = {key: typed[key].strip() if key in typed else text for key, text in before.items()}
    return PlanAsked(tuple(str(one["name"]) for one in specified), str(chosen["name"]),
                     uncertainty=typed.get("uncertainty", "").strip(), **asked)


def plan_shown(lot: Lot, asked: PlanAsked, day: date) -> PlanShown:
    """Return the plan for a lot with what is on record.

    Arguments:
        asked: see :func:`plan_asked`.
        day: of the work.

    Raises:
        Refusal: something asked cannot be, or nothing feasible is found.
    """
    product, on_record = _product(lot, asked), shelf_on_record(day)
    named = _method_named(lot, asked)
    plan = plan_assay(product, on_record.shelf, day, open_by_path, uncertainty=relative(asked.uncertainty),
                      own={named: method_of(named)} if named.endswith(OWN_METHOD) else None)
    best = plan.options[0]
    wanted = "" if plan.wanted is None else (
        f"{per_cent(plan.wanted / float(product.nominal.value))}, {plan.wanted_from}")
    return PlanShown(
        lot, asked, best.setup.method.title, plan,
        tuple(option_shown(one, _begin(one.setup, lot, asked, named)) for one in plan.options), on_record.left_out,
        cautions_of(best),
        tuple((one.name, whole_per_cent(one.share)) for one in best.influences[:6]), wanted, _query(asked), named)


def cautions_of(best: Option) -> str:
    """Return what is told before the first step of an option."""
    cautions = best.setup.method.cautions
    return f"{'; '.join(cautions.protective_equipment)}. {cautions.text}"


def guide_of(lot: Lot, asked: PlanAsked, number: str, day: date) -> BenchGuide:
    """Return the bench guide of one option of the plan.

    Raises:
        Refusal: see :func:`plan_shown`; or there is no option of that number.
    """
    plan = plan_shown(lot, asked, day).plan
    options = plan.options if plan is not None else ()
    chosen = next((one for one in options if str(one.number) == number), None)
    option = Refusal.unless(chosen, f"the plan has no option '{number[:20]}'", where="option",
                            remedy=f"choose one from 1 to {len(options)}")
    return bench_guide(Refusal.unless(plan, "there is no plan"), option, day, open_by_path)


# --- what is asked ----------------------------------------------------------------------------------------------------


def _assayed(lot: Lot) -> list[dict[str, Any]]:
    found = [one for one in specified_of(lot) if one.get("method")]
    if not found:
        raise Refusal(f"no characteristic of {lot.product} is assayed by a method", where=f"lot {lot.identity}",
                      remedy="name its method in the product's specification")
    return found


def nominal_of(lot: Lot, specified: dict[str, Any]) -> str:
    """Return the nominal content: as the product states it, else the middle of its limits, else the one limit."""
    return nominal_in(edition_of(lot).content, specified)


def nominal_in(edition: Mapping[str, Any], specified: Mapping[str, Any]) -> str:
    """Return the nominal content as an edition of a product has it: stated, else by the limits.

    Arguments:
        edition: its content.
        specified: the characteristic.
    """
    stated = edition.get("nominal")
    if stated:
        return str(stated)
    limits = [read_quantity(str(specified[key])) for key in ("lower", "upper") if specified.get(key)]
    if not limits or len({one.unit for one in limits}) > 1:
        return ""
    return f"{sum(one.value for one in limits) / len(limits):f} {limits[0].unit}"


def _last_sheet(lot: Lot, method: str) -> dict[str, Any]:
    """Return the heading of the last assay of the product by that method; an empty one where there is none."""
    lots = Lot.objects.filter(product=lot.product).values("identity")
    found = Assay.objects.filter(about__in=lots, method=method).order_by("performed", "identity").last()
    return found.content if found is not None else {}


def _density_of(lot: Lot) -> str:
    """Return the density that was entered of the lot, else of the product's last lot; empty where none was."""
    lots = Lot.objects.filter(product=lot.product).values("identity")
    entries = EnteredCharacteristic.objects.filter(lot__in=lots).order_by("id")
    found = [(one.lot == lot.identity, one.id, str(one.content["value"])) for one in entries
             if str(one.content.get("value", "")).partition("±")[0].strip().endswith(" g/mL")]
    return max(found)[-1] if found else ""


def _state_of(method: str, density: str) -> str:
    """Return whether the product is taken for a solid: its method only weighs, and no density was ever stated."""
    return "solid" if not density and method_of(method).sample.handling == WEIGHED_ONLY else "solution"


def _method_named(lot: Lot, asked: PlanAsked) -> str:
    """Return the method of the characteristic, by the name that the product gives it."""
    return next(str(one["method"]) for one in _assayed(lot) if one["name"] == asked.characteristic)


def _product(lot: Lot, asked: PlanAsked) -> PlannedProduct:
    """Return the product as the plan reads it."""
    specified = next(one for one in _assayed(lot) if one["name"] == asked.characteristic)
    named = str(specified["method"])
    if not asked.nominal:
        raise Refusal("no nominal content is stated", where="nominal content", remedy='write it like "20 % w/v"')
    limits = {key: value for key, value in specified.items() if key in LIMIT_FIELDS}
    table: dict[str, Any] = {
        "format": FORMAT, "name": lot.product, "substance": method_of(named).analyte.formula, "nominal": asked.nominal,
        "state": asked.state, "methods": [named],
        **{key: text for key, text in (("density", asked.density), ("thermal", asked.thermal)) if text}}
    if asked.pooled:
        table["repeatability"] = {"pooled": asked.pooled}
    table["characteristic"] = [{"name": specified["name"], **limits}]
    try:
        return read_product(toml_text(table).encode(), "")
    except Refusal as refusal:
        raise Refusal(refusal.what, where=refusal.where.removeprefix(": "), remedy=refusal.remedy) from refusal


def relative(text: str) -> float | None:
    """Return a relative expanded uncertainty as a share [1]; None where none is asked for.

    Raises:
        Refusal: it is none.
    """
    if not text:
        return None
    found = read_quantity(text if "%" in text else f"{text} %", "%")
    if found.unit != "%" or found.uncertainty is not None or not 0 < found.value < 100:
        raise Refusal(f"'{text[:40]}' is no relative uncertainty", where="uncertainty wanted",
                      remedy='write it like "0.2 %"')
    return found.to("%") / 100


# --- what is shown ----------------------------------------------------------------------------------------------------


def option_shown(one: Option, begin: str) -> OptionShown:
    """Return an option as a row shows it.

    Arguments:
        begin: what the form that begins it is filled with, as a query.
    """
    setup, result = one.setup, one.result
    return OptionShown(
        one.number, way_words(setup),
        setup.in_burette.name + (f", lot {setup.in_burette.lot}" if setup.in_burette.lot else ""),
        f"{setup.burette.identity}, {setup.burette.nominal.text}", decimals(setup.titre_mL, 2),
        whole_per_cent(one.burette_use), setup.determinations, per_cent(one.relative_uncertainty),
        f"({written_number(result.value_text)} ± {written_number(result.uncertainty_text)}) {result.estimate.unit}",
        f"k = {decimals(result.coverage_factor, 2)}",
        whole_per_cent(one.share_of_width) if one.share_of_width is not None else "", f"{one.minutes:.0f}",
        one.reaches, one.held, (*one.remarks, *not_reviewed_in(setup)), begin)


def not_reviewed_in(setup: Setup) -> tuple[str, ...]:
    """Return of each solution of an option that rests on standardisations which nobody has reviewed, that it does."""
    told = []
    for one in (setup.titrant, setup.reagent, setup.against):
        paths = one.worksheets if one is not None else ()
        numbers = list(Assay.objects.filter(path__in=paths).values_list("identity", flat=True)) if paths else []
        if one is not None and (waiting := unreviewed_below(numbers)):
            sheets = " and ".join(waiting)
            told.append(f"{one.name}, lot {one.lot}: nobody has reviewed {sheets}, which its value rests on; the "
                        "release of what is titrated with it waits for that.")
    return tuple(dict.fromkeys(told))


def _begin(setup: Setup, lot: Lot, asked: PlanAsked, named: str) -> str:
    """Return what the form that begins the assay is filled with, by its own names."""
    filled = {"about": lot.identity, "method": named, **equipment_of(setup),
              "titrant": setup.titrant.lot, "titrant_in_force": setup.titrant.in_force}
    if setup.reagent is not None:
        filled |= {"reagent": setup.reagent.lot, "reagent_in_force": setup.reagent.in_force}
    filled |= {"density": asked.density, "thermal": asked.thermal, "pooled": asked.pooled}
    return urlencode({key: text for key, text in filled.items() if text})


def equipment_of(setup: Setup) -> dict[str, str]:
    """Return how the portion is taken and with what, by the names of the form that begins a worksheet."""
    parts = ((BURETTE, setup.burette), (PIPETTE, setup.pipette), (ALIQUOT_PIPETTE, setup.aliquot), (FLASK, setup.flask),
             (EXCESS_PIPETTE, setup.excess))
    filled = {"handling": WAY_OF_FORM[setup.way]}
    filled |= {f"vessel {role}": vessel.identity for role, vessel in parts if vessel is not None}
    return filled if setup.balance is None else {**filled, "balance": setup.balance.identity}


def _query(asked: PlanAsked) -> str:
    return urlencode({key: getattr(asked, key) for key in (
        "characteristic", "nominal", "state", "density", "thermal", "pooled", "uncertainty")})
