"""Worksheet and lot files into the records: what they name is registered, what they rest on comes first."""

import posixpath
import tomllib
from collections.abc import Callable
from typing import Any

from django.db import transaction

from assaywright.actions.equipment import IN_CHARGE
from assaywright.actions.names import demand_name
from assaywright.actions.permission import demand
from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.upstream import resolve
from assaywright.assay.worksheet import parse_worksheet, read_bytes
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import shown
from assaywright.records.bridge import determinations_of, numbered, places_of
from assaywright.records.instruments import BALANCE, THERMOMETER
from assaywright.records.log import append
from assaywright.records.models import (
    Assay,
    Instrument,
    Lot,
    Material,
    MethodEdition,
    Product,
    Solution,
)
from assaywright.records.toml_text import day_text, from_toml

Opener = Callable[[str], bytes]
SOLUTIONS = ("titrant", "against", "reagent")
ON_THE_LABEL = ("maker", "place", "storage", "hazards", "unclassified", "precautions", "cautions")


class WorksheetImport:
    """Brings worksheets from files into the records, each once, with all that they rest on.

    Arguments:
        opener: gives the bytes of a file by its path.
        by: who imports.
    """

    def __init__(self, opener: Opener, by: str) -> None:
        self.opener = opener
        self.by = by
        self.done: dict[str, str] = {}
        self.there: set[str] = set()  # numbers of those that were on record already, as they are in the files

    def worksheet(self, path: str) -> str:
        """Import a worksheet and return its number; one that is in the records already is left as it is.

        Raises:
            Refusal: the worksheet, or one that it rests on, cannot be evaluated, or its number is on record with
                another heading or other readings; the sentence names the first field that differs.
        """
        demand(self.by, *IN_CHARGE)
        path = resolve("", path)
        if path in self.done:
            return self.done[path]
        data = self._read(path)
        sheet = parse_worksheet(data, path)
        evaluate_worksheet(sheet, self.opener)
        with transaction.atomic():
            return self._import(path, data, sheet.identity)

    def _import(self, path: str, data: bytes, identity: str) -> str:
        table = from_toml(tomllib.loads(data.decode()))
        rests_on = self._upstream(table, path)
        self._register(table)
        determinations = table.pop("determination", [])
        del table["format"]
        kept = Assay.objects.filter(pk=identity).first()
        if kept is None:
            demand_name(identity, "the worksheet's number", path, among=Assay)
            if places := places_of(determinations):
                determinations = [{key: text for key, text in one.items() if key != "label"} for one in determinations]
            append("assay.imported", subject=identity, by=self.by, payload={
                "heading": table, "about": _about(table), "rests_on": rests_on, "path": f"{identity}.toml",
                "determinations": determinations, "file": posixpath.basename(path),
                **({"places": places} if places else {})})
        else:
            _demand_same(kept, table, determinations, path)
            self.there.add(identity)
        self.done[path] = identity
        return identity

    def _upstream(self, table: dict[str, Any], path: str) -> list[str]:
        """Import what a worksheet rests on, and let its table name it by the paths of the records."""
        rests_on = []
        for role in SOLUTIONS:
            solution = table.get(role, {})
            if solution.get("stored"):
                raise Refusal(f"the {role} rests on a stored result", where=path,
                              remedy="name its worksheets, so that the records hold the whole chain")
            if "worksheets" in solution:
                numbers = [self.worksheet(resolve(path, one)) for one in solution["worksheets"]]
                solution["worksheets"] = [f"{number}.toml" for number in numbers]
                rests_on += numbers
        if str(table["method"]).endswith(".toml"):
            table["method"] = self._own_method(resolve(path, table["method"]))
        return list(dict.fromkeys(rests_on))

    def _own_method(self, path: str) -> str:
        """Adopt a laboratory's own method, and return the path by which the records know it."""
        from assaywright.actions.equipment import method_adopt
        from assaywright.assay.method import parse_method

        text = self._read(path).decode()
        method = parse_method(text, path)
        if not MethodEdition.objects.filter(name=method.name, sha256=method.sha256).exists():
            method_adopt(name=method.name, text=text, by=self.by)
        return f"{method.name}.toml"

    def _register(self, table: dict[str, Any]) -> None:
        """Register instruments, reference materials and solutions that the records do not know yet."""
        for group, kind in (("vessels", ""), ("balances", BALANCE), ("thermometers", THERMOMETER)):
            for role, one in table.get(group, {}).items():
                self._instrument(kind or one.get("kind", role), one)
        standard = table.get("standard", {})
        number = str(standard.get("lot", "") or standard.get("id", ""))
        if number and not Material.objects.filter(pk=number).exists():
            demand_name(number, "the reference material's number", "standard", among=Material)
            append("material.received", subject=number, by=self.by, payload={"table": standard})
        for role in SOLUTIONS:
            solution = table.get(role, {})
            lot = str(solution.get("lot", ""))
            if lot and not Solution.objects.filter(pk=lot).exists():
                known = {key: solution[key] for key in ("name", "formula", "nominal", "use_before") if key in solution}
                own = table.get("lot", {}) if role == "titrant" and table["kind"] == "standardisation" else {}
                known |= {key: own[key] for key in ON_THE_LABEL if key in own}
                demand_name(lot, "the solution's lot number", role, among=Solution)
                append("solution.prepared", subject=lot, by=self.by, payload={"table": known})

    def _instrument(self, kind: str, table: dict[str, Any]) -> None:
        number = str(table["id"])
        known = Instrument.objects.filter(pk=number).first()
        if known is None:
            demand_name(number, f"the number of the {kind}", "id", among=Instrument)
            append("instrument.registered", subject=number, by=self.by, payload={"kind": kind, "table": table})
        elif known.content != table and "certificate" in table:
            append("instrument.calibrated", subject=number, by=self.by, payload={"kind": kind, "table": table})

    def lot(self, path: str) -> str:
        """Import a lot file with its product, its worksheets and its entered characteristics; return its number.

        Raises:
            Refusal: the lot or one of its worksheets is refused, or its number stands for another lot.
        """
        demand(self.by, *IN_CHARGE)
        path = resolve("", path)
        data = self._read(path)
        read_bytes(data, path)
        table = from_toml(tomllib.loads(data.decode()))
        characteristics = table.pop("characteristic", [])
        if Lot.objects.filter(pk=table["id"]).exists():
            raise Refusal(f"there is a lot {table['id']} already", where=path, remedy="import each lot once")
        with transaction.atomic():
            specified = [self._specified(one, path) for one in characteristics]
            self._product(table, specified)
            heading = {key: value for key, value in table.items() if key not in ("format", "kind", "id")}
            demand_name(str(table["id"]), "the lot number", path, among=Lot)
            append("lot.made", subject=table["id"], by=self.by, payload={"table": heading})
            for one in characteristics:
                if "worksheet" not in one:
                    entry = {key: one[key] for key in ("name", "value", "less_than", "found", "satisfied", "source")
                             if key in one}
                    append("characteristic.entered", subject=table["id"], by=self.by,
                           payload={"table": entry, "imported": True, "to_check": True})
        return str(table["id"])

    def _specified(self, one: dict[str, Any], path: str) -> dict[str, Any]:
        """Return a characteristic as its product specifies it; the worksheet that assays it is imported."""
        limits = {key: value for key, value in one.items()
                  if key not in ("worksheet", "value", "less_than", "found", "satisfied", "source")}
        if "worksheet" in one:
            number = self.worksheet(resolve(path, one["worksheet"]))
            limits["method"] = Assay.objects.get(pk=number).method
        return limits

    def _product(self, table: dict[str, Any], specified: list[dict[str, Any]]) -> None:
        definition = {"characteristics": specified, **{key: table[key] for key in ON_THE_LABEL if key in table}}
        if not Product.objects.filter(pk=table["product"]).exists():
            demand_name(table["product"], "the product's name", "product", among=Product, product=True)
            append("product.defined", subject=table["product"], by=self.by,
                   payload={"definition": definition, "edition": 1})

    def _read(self, path: str) -> bytes:
        try:
            return self.opener(path)
        except OSError as problem:
            raise Refusal(f"the file is not there to be read ({problem.strerror})", where=path,
                          remedy="correct the name") from problem


def _demand_same(kept: Assay, table: dict[str, Any], determinations: list[dict[str, Any]], path: str) -> None:
    """Refuse a worksheet whose number is on record with another heading, or with other readings.

    Raises:
        Refusal: naming the first field that differs, with what is on record and what the file says.
    """
    differs = _first_difference(kept.content, table)
    place = ""
    on_record = numbered(determinations_of(kept))
    for number in range(1, max(len(on_record), len(determinations)) + 1):
        if differs:
            break
        pair = [some[number - 1] if number <= len(some) else {} for some in (on_record, determinations)]
        differs, place = _first_difference(*pair), f"determination {number}, "
    if differs:
        field, before, now = differs
        where = f"{place}{field.replace('_', ' ')}"
        raise Refusal(f"the worksheet {kept.identity} is on record otherwise: {where} is {before} there and {now} here",
                      where=path,
                      remedy="give this one its own number, or correct the one on record on its page, with the reason")


def _first_difference(kept: dict[str, Any], table: dict[str, Any]) -> tuple[str, str, str] | None:
    """Return the first field that differs, with both values; None where none does."""
    for key in (*kept, *(one for one in table if one not in kept)):
        before, now = kept.get(key), table.get(key)
        if before == now:
            continue
        if isinstance(before, dict) and isinstance(now, dict) and (within := _first_difference(before, now)):
            return f"{key}, {within[0]}", within[1], within[2]
        return key, _shown(before), _shown(now)
    return None


def _shown(value: Any) -> str:
    if value in (None, "", {}, []):
        return "not stated"
    if isinstance(value, dict):
        return day_text(value) or "another table"
    return f"'{shown(str(value))}'"


def _about(table: dict[str, Any]) -> str:
    """Return the number of what a worksheet is about: the lot of its sample, or of the solution it sets."""
    about = table.get("sample", {}) if table["kind"] == "assay" else table.get("titrant", {})
    return str(about.get("lot", ""))


