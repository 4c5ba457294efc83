"""The verb ``plan``: from a product or a method of standardisation and a shelf to the feasible ways, best first."""

import argparse
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import TypeVar

from assaywright.assay.plan.plan import plan_assay
from assaywright.assay.plan.product import Product, read_product
from assaywright.assay.plan.result import Plan
from assaywright.assay.plan.shelf import Shelf, read_shelf
from assaywright.assay.plan.standardise import Conditioning, plan_standardisation
from assaywright.assay.upstream import resolve
from assaywright.cli.files import read_file, read_named, write_output
from assaywright.cli.opening import terminal_width
from assaywright.cli.typed_option import of_option
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity, shown

OWN_FILE = ".toml"

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan with the day it is for, and with what is to be done to a standard first."""

    plan: Plan
    day: date
    conditioning: tuple[Conditioning, ...] = ()


def run(parsed: argparse.Namespace) -> int:
    """Plan, and print the options as text or JSON; draw them where a chart is asked for."""
    if parsed.chart is not None and not parsed.chart.casefold().endswith(".svg"):
        raise Refusal("the chart is drawn as SVG", where=parsed.chart, remedy="let the name end in .svg")
    found = planned(parsed)
    if parsed.chart is not None:
        from assaywright.reports.chart_plan import plan_svg

        write_output(parsed.chart, plan_svg(found.plan).encode("utf-8"), replace=parsed.replace)
    if parsed.json:
        from assaywright.cli.plan_json import plan_record
        from assaywright.cli.show_json import json_text

        plain = (sys.stdout.encoding or "").replace("-", "").casefold() != "utf8"
        print(json_text(plan_record(found), plain=plain))
        return 0
    from assaywright.cli.show_plan import plan_lines

    for line in plan_lines(found, terminal_width()):
        print(line)
    if parsed.chart is not None:
        print(f"\n{parsed.chart} written")
    return 0


def planned(parsed: argparse.Namespace) -> Planned:
    """Return the plan that the arguments ask for.

    Raises:
        Refusal: something cannot be read, or nothing feasible is found.
    """
    uncertainty = _typed("--uncertainty", parsed.uncertainty, _uncertainty)
    day = _typed("--day", parsed.day, _day) or datetime.now(UTC).date()
    if parsed.product.endswith(OWN_FILE):
        if parsed.nominal is not None:
            raise Refusal("a product states its own nominal content", where="--nominal", remedy="leave it out")
        product = read_product(read_named(parsed.product), parsed.product)
        return Planned(plan_assay(product, _shelf(parsed.vessels, product), day, read_file, uncertainty=uncertainty),
                       day)
    if parsed.vessels is None:
        raise Refusal(f"'{shown(parsed.product)}' is no product file, and no shelf is named for a standardisation",
                      where="assaywright plan", remedy="name a product's FILE.toml, or add --vessels FILE")
    nominal = _typed("--nominal", parsed.nominal, lambda text: read_quantity(text, "mol/L"))
    found = plan_standardisation(parsed.product, read_shelf(read_named(parsed.vessels), parsed.vessels), day,
                                 read_file, nominal=nominal, uncertainty=uncertainty)
    return Planned(found.plan, day, found.conditioning)


def _shelf(named: str | None, product: Product) -> Shelf:
    """Return the shelf that is named, else the one that the product names."""
    path = named or (resolve(product.path, product.shelf) if product.shelf else "")
    if not path:
        raise Refusal("nothing tells what the laboratory has", where=product.path,
                      remedy='name its shelf with --vessels FILE, or write shelf = "shelf.toml" in the product')
    return read_shelf(read_named(path), path)


def _typed(option: str, text: str | None, read: Callable[[str], T]) -> T | None:
    """Return what an option's text means; None where it is not given; a refusal names the option."""
    if text is None:
        return None
    try:
        return read(text)
    except Refusal as refusal:
        raise of_option(refusal, option) from None


def _uncertainty(text: str) -> float:
    """Return a relative expanded uncertainty as a share [1]."""
    found: Quantity = read_quantity(text, "%")
    if found.unit != "%" or found.uncertainty is not None or not 0 < found.value < 100:
        raise Refusal(f'"{shown(text)}" is no relative uncertainty', remedy='write it like "0.2 %"')
    return found.to("%") / 100


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Refusal(f'"{shown(text)}" is no day', remedy="write it like 2026-11-02") from None
