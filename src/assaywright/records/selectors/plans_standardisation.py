"""A plan for standardising a solution with what is registered: what to weigh or to pipette, and what comes of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from assaywright.assay.method import method_names
from assaywright.assay.plan.guide import BenchGuide, bench_guide
from assaywright.assay.plan.result import Plan
from assaywright.assay.plan.setup import Setup
from assaywright.assay.plan.standardise import Conditioning, StandardisationPlan, plan_standardisation
from assaywright.assay.plan.words import whole_per_cent
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.records.bridge import open_by_path
from assaywright.records.methods import method_of
from assaywright.records.models import Assay, MethodEdition, Solution
from assaywright.records.selectors.plans import (
    OWN_METHOD,
    OptionShown,
    cautions_of,
    equipment_of,
    option_shown,
    relative,
)
from assaywright.records.shelf import shelf_on_record

UNIT = "mol/L"


@dataclass(frozen=True)
class StandardisationAsked:
    """What a plan is asked for, as typed; ``methods`` are those that fit the solution, by name and title."""

    methods: tuple[tuple[str, str], ...]
    method: str = ""
    nominal: str = ""
    uncertainty: str = ""


@dataclass(frozen=True)
class StandardisationShown:
    """What the page of a plan says; without ``plan`` only what is asked and what stands in the way."""

    solution: Solution
    asked: StandardisationAsked
    plan: Plan | None = None
    method: str = ""
    options: tuple[OptionShown, ...] = ()
    conditioning: tuple[Conditioning, ...] = ()
    left_out: tuple[str, ...] = ()
    cautions: str = ""
    influences: tuple[tuple[str, str], ...] = ()
    query: str = ""


def methods_for(solution: Solution) -> tuple[tuple[str, str], ...]:
    """Return the methods that standardise a solution of its formula, by name and title, the library's first."""
    own = MethodEdition.objects.exclude(body__contains='"text": ""').values_list("name", flat=True).distinct()
    names = [*method_names(), *(f"{name}{OWN_METHOD}" for name in own if name not in method_names())]
    found = [(name, method_of(name)) for name in names]
    return tuple((name, method.title) for name, method in found
                 if method.kind == "standardisation" and method.titrant.formula == solution.formula)


def standardisation_asked(solution: Solution, typed: Mapping[str, str]) -> StandardisationAsked:
    """Return what is asked: as typed, else by the method of the last standardisation, at the nominal concentration.

    Raises:
        Refusal: no method standardises it, or none of that name does.
    """
    methods = methods_for(solution)
    if not methods:
        raise Refusal(f"no method standardises {solution.formula}", where=f"solution {solution.identity}",
                      remedy="adopt one under Methods")
    named = typed.get("method", "").strip() or _last_method(solution, methods)
    if named not in (name for name, _title in methods):
        raise Refusal(f"no method '{named[:60]}' standardises {solution.formula}",
                      where=f"solution {solution.identity}", remedy="choose one of the list")
    return StandardisationAsked(methods, named, typed.get("nominal", solution.nominal).strip(),
                                typed.get("uncertainty", "").strip())


def standardisation_shown(solution: Solution, asked: StandardisationAsked, day: date) -> StandardisationShown:
    """Return the plan for a solution with what is on record.

    Arguments:
        asked: see :func:`standardisation_asked`.
        day: of the work.

    Raises:
        Refusal: something asked cannot be, or nothing feasible is found.
    """
    found, left_out = _planned(solution, asked, day)
    best = found.plan.options[0]
    return StandardisationShown(
        solution, asked, found.plan, best.setup.method.title,
        tuple(option_shown(one, _begin(one.setup, solution, asked)) for one in found.plan.options), found.conditioning,
        left_out, cautions_of(best), tuple((one.name, whole_per_cent(one.share)) for one in best.influences[:6]),
        urlencode({key: getattr(asked, key) for key in ("method", "nominal", "uncertainty")}))


def guide_of_standardisation(solution: Solution, asked: StandardisationAsked, number: str, day: date) -> BenchGuide:
    """Return the bench guide of one option of the plan.

    Raises:
        Refusal: see :func:`standardisation_shown`; or there is no option of that number.
    """
    plan = _planned(solution, asked, day)[0].plan
    chosen = next((one for one in plan.options if str(one.number) == number), None)
    option = Refusal.unless(chosen, f"the plan has no option '{number[:20]}'", where="option",
                            remedy=f"choose one from 1 to {len(plan.options)}")
    return bench_guide(plan, option, day, open_by_path)


def _planned(solution: Solution, asked: StandardisationAsked, day: date) -> tuple[StandardisationPlan, tuple[str, ...]]:
    """Return the plan, and what is registered and left out of it: the solution itself needs no value for it."""
    on_record = shelf_on_record(day)
    nominal = read_quantity(asked.nominal if not asked.nominal[-1:].isdigit() else f"{asked.nominal} {UNIT}", UNIT)
    found = plan_standardisation(
        asked.method, on_record.shelf, day, open_by_path, nominal=nominal, uncertainty=relative(asked.uncertainty),
        own=method_of(asked.method) if asked.method.endswith(OWN_METHOD) else None)
    itself = f"{solution.name}, lot {solution.identity}:"
    return found, tuple(one for one in on_record.left_out if not one.startswith(itself))


def _last_method(solution: Solution, methods: tuple[tuple[str, str], ...]) -> str:
    """Return the method of the solution's last standardisation, else of the last of its formula, else the first."""
    fitting = [name for name, _title in methods]
    same = Solution.objects.filter(formula=solution.formula).values("identity")
    before = Assay.objects.filter(kind="standardisation", method__in=fitting)
    for found in (before.filter(about=solution.identity), before.filter(about__in=same)):
        last = found.order_by("performed", "identity").last()
        if last is not None:
            return last.method
    return fitting[0]


def _begin(setup: Setup, solution: Solution, asked: StandardisationAsked) -> str:
    """Return what the form that begins the standardisation is filled with, by its own names."""
    filled = {"about": solution.identity, "method": asked.method, **equipment_of(setup)}
    if setup.standard is not None:
        filled |= {"standard": setup.standard.lot, "dried": setup.standard.dried}
    if setup.against is not None:
        filled |= {"against": setup.against.lot, "against_in_force": setup.against.in_force,
                   "against_in_burette": "yes" if setup.known_in_burette else ""}
    return urlencode({key: text for key, text in filled.items() if text})
