"""A blank worksheet for a method: the fields its scheme needs, each with an example behind it, cautions before all."""

import re
import textwrap
import tomllib
from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal
from typing import Any

from assaywright.assay.bench.cautioned import hazard_words, of_nominals
from assaywright.assay.method import Method, Reactant
from assaywright.assay.reading.determinations import EXCESS_PIPETTE
from assaywright.assay.worksheet import FORMAT
from assaywright.chemistry.content_units import PER_VOLUME

WIDTH = 110
EXAMPLE_COLUMN = 40
CERTIFICATE = (("id", '"C-118"'), ("issued", "2026-01-12"), ("due", '"2026-11"'), ("traceable_to", '"SI, through …"'))


def blank_worksheet(method: Method, named: str = "") -> str:
    """Return a worksheet for a method as text: what the scheme needs is empty, what may be given is commented out.

    What it is comes first, then who and when, the equipment, the solutions and standards, and the readings last: the
    order in which a person at the bench knows them.

    Every empty field has an example behind it. An empty field left empty is refused by name when the worksheet is
    evaluated.

    Arguments:
        method: as loaded.
        named: what the worksheet calls it; the path of its file for a laboratory's own, its name when empty.
    """
    named = named or method.name
    lines = [*_opening(method, named), *_heading(method, named)]
    lines += [*_sample(method), *_equipment(method), *_materials(method), *_choices(method)]
    for number in range(1, method.replicates + 1):
        lines += _determination(method, number)
    return "\n".join(_with_examples_of(method, lines)) + "\n"


# --- the examples behind the fields -----------------------------------------------------------------------------------


def _with_examples_of(method: Method, lines: Iterable[str]) -> Iterator[str]:
    """Yield the lines with the method's own worked example behind each field, wherever that holds the field."""
    sheet = tomllib.loads(method.example.worksheet)
    here: Any = sheet
    seen = 0
    for line in lines:
        opened = _TABLE.match(line)
        if line.startswith("[[determination]]"):
            rows, seen = sheet.get("determination", []), seen + 1
            here = rows[min(seen, len(rows)) - 1] if rows else {}
        elif opened:
            here = sheet
            for name in opened["path"].replace('"', "").split("."):
                here = here.get(name, {}) if isinstance(here, dict) else {}
            if "nominal" in here and "kind" in here and "class" not in here:
                here = {}  # a vessel of no class, and the blank one asks for a class
        field = _FIELD.match(line)
        value = here.get(field["key"]) if field and isinstance(here, dict) else None
        if field is None or not isinstance(value, str | date) or line.startswith("#"):
            yield line
        else:
            shown = f'"{value}"' if isinstance(value, str) else value.isoformat()
            yield f"{field['head']}{shown}{field['said'] or ''}"


_TABLE = re.compile(r"\[(?P<path>[^\[\]]+)\]$")
_FIELD = re.compile(r'(?P<head>(?P<key>\w+) = ""\s+# example: )(?:"[^"]*"|\S+)(?P<said>   .+)?$')


# --- the forms of a line ----------------------------------------------------------------------------------------------


def _comment(text: str) -> list[str]:
    """Return text as comment lines."""
    return [f"# {line}".rstrip() for line in textwrap.wrap(text, WIDTH - 2)]


def _empty(key: str, example: str, *, said: str = "") -> str:
    """Return a field to be filled, with its example."""
    field = f'{key} = ""'
    return f"{field:<{EXAMPLE_COLUMN}}# example: {example}" + (f"   {said}" if said else "")


def _may(key: str, example: str) -> str:
    """Return a field that may be given, commented out."""
    return f"# {key} = {example}"


def _table(name: str) -> list[str]:
    return ["", f"[{name}]"]


# --- the parts of the worksheet ---------------------------------------------------------------------------------------


def _opening(method: Method, named: str) -> Iterator[str]:
    """Yield what is said before the first step: title, cautions, and how the sheet is filled."""
    yield from _comment(f"{method.title} (method {method.name}, edition {method.edition}): {method.determines}.")
    yield "#"
    cautions = of_nominals(method)
    yield from _comment(f"CAUTION, before the first step. Wear {', '.join(cautions.protective_equipment)}.")
    for hazard in cautions.hazards:
        yield from _comment(hazard_words(hazard))
    for sentence in (*cautions.incompatibilities, *cautions.notes, cautions.text):
        yield from _comment(f"{sentence[0].upper()}{sentence[1:].rstrip('.')}.")
    yield from _comment("Local codes and licensed practice go before anything printed here; a qualified person answers "
                        "for the work.")
    yield "#"
    yield from _comment('Fill each "" and quote every quantity as read, with its unit. A line that begins with # may '
                        "be given: take the # away. The fields are explained in docs/worksheet.md; the steps of the "
                        f"method are printed by: assaywright methods {named}")
    yield ""


def _heading(method: Method, named: str) -> list[str]:
    """Return the fields above the first table."""
    return [
        f'format = "{FORMAT}"',
        f'kind = "{method.kind}"',
        _empty("id", '"WS-26-0412"', said="your own number, never used twice"),
        f'method = "{named}"',
        _empty("performed", "2026-10-12", said="a day, or a time"),
        _empty("analyst", '"Ines Okafor"'),
        _may("reviewer", '"Mirela Anand"'),
        _may("zone", '"Europe/London"'),
        _may("decimal_mark", '","'),
        _may("titration_error", '"0.02 mL ± 0.02 mL, rectangular"'),
    ]


def _sample(method: Method) -> list[str]:
    """Return the table of what is assayed; a standardisation has none."""
    if method.kind != "assay":
        return []
    return [*_table("sample"), _empty("product", '"caustic soda solution 20 % w/v"'), _empty("lot", '"0417"'),
            _may("taken", '"tank 4, top, 2026-10-12 08:10"'), _may("density", '"1.219 g/mL ± 0.001 g/mL, k = 2"'),
            _may("thermal", '"water"')]


def _materials(method: Method) -> list[str]:
    """Return the tables of the solutions and of the standard."""
    lines = _solution("titrant", method.titrant, known=method.kind == "assay")
    if method.reagent is not None:
        lines += _solution("reagent", method.reagent, known=True)
    if method.against is not None:
        lines += [*_solution("against", method.against, known=True)]
    if method.standard is not None:
        lines += _standard(method.standard)
    return lines


def _solution(table: str, reactant: Reactant, *, known: bool) -> list[str]:
    """Return the table of a solution, known or sought."""
    nominal = reactant.nominal[0].text if reactant.nominal else "0.1 mol/L"
    lines = [*_table(table), _empty("name", f'"{reactant.name} {nominal}"'), f'formula = "{reactant.formula}"',
             _empty("nominal", f'"{nominal}"'), _may("lot", '"0398"'), _may("use_before", '"2026-11"')]
    if table == "against":
        lines += [_may("in_burette", "true") + "   # when this solution is in the burette and the titrant is pipetted"]
    if not known:
        return [*lines, "# its concentration is what is sought"]
    figure = nominal.split(" ")[0]
    return [
        *lines,
        '# its concentration: from a certificate as here, or worksheets = ["std-1.toml"], or stored = "result.json"',
        _empty("concentration", f'"{figure} mol/L ± {format(Decimal(figure).scaleb(-3), "f")} mol/L, k = 2"'),
        _may("at_temperature", '"20 °C"'), *_certificate(table),
    ]


def _certificate(owner: str) -> list[str]:
    return ["", f"[{owner}.certificate]", *(_empty(key, example) for key, example in CERTIFICATE)]


def _standard(reactant: Reactant) -> list[str]:
    """Return the table of the weighed standard."""
    return [
        *_table("standard"),
        f'name = "{reactant.name}"',
        _empty("content", '"99.97 % ± 0.07 %, k = 2"'),
        _may("basis", '"dried"'),
        _may("dried", '"2 h at 110 °C"'),
        _may("weighed_as", '"in air"'),
        _may("minimum_sample", '"0.175 g"'),
        _may("use_before", '"2028-01"'),
        *_certificate("standard"),
    ]


def _equipment(method: Method) -> list[str]:
    """Return the tables of the vessels, the balance and the thermometer that the scheme uses."""
    lines = _vessel("burette", "burette", '"B-07"', '"50 mL"', '"ISO 385"', graduation=True)
    if _portion(method) == "pipetted" or _diluted(method):
        lines += _vessel("pipette", "pipette", '"P-25-1"', '"25 mL"', '"ISO 648"')
    if _diluted(method):
        lines += _vessel("flask", "flask", '"F-250-2"', '"250 mL"', '"ISO 1042"')
    if method.scheme == "back":
        lines += _vessel(f'"{EXCESS_PIPETTE}"', "pipette", '"P-50-1"', '"50 mL"', '"ISO 648"')
    if _portion(method) == "weighed" or _diluted_by_mass(method):
        lines += [*_table("balances.balance"), _empty("id", '"W-2"'), _empty("linearity", '"0.15 mg, rectangular"'),
                  _may("minimum_weight", '"0.1 g"'), _may("adjusted", '"air of the day"')]
        lines += ["", "# [air]", _may("temperature", '"22 °C"'), _may("pressure", '"1008 hPa"'),
                  _may("humidity", '"45 %"')]
    return [*lines, *_table("thermometers.thermometer"), _empty("id", '"T-3"'),
            _empty("uncertainty", '"0.5 °C, rectangular"')]


def _vessel(role: str, kind: str, identity: str, nominal: str, standard: str, *, graduation: bool = False) -> list[str]:
    return [
        *_table(f"vessels.{role}"), f'kind = "{kind}"', _empty("id", identity), _empty("nominal", nominal),
        _empty("class", '"A"'), _empty("standard", standard, said="the standard whose tolerance table applies"),
        *([_empty("graduation", '"0.1 mL"')] if graduation else []),
        _may("certificate", '{ id = "CAL-7", issued = 2026-01-12, due = 2027-01-31, traceable_to = "SI" }'),
    ]


def _portion(method: Method) -> str:
    """Return how the portion is usually taken."""
    return method.sample.handling[0]


def _diluted(method: Method) -> bool:
    return _portion(method) == "diluted"


def _diluted_by_mass(method: Method) -> bool:
    """Return whether what is diluted is weighed, since the content is stated per mass."""
    return _diluted(method) and method.result.unit not in PER_VOLUME


def _weighing() -> list[str]:
    """Return the fields of a weighing by difference."""
    return [_empty("gross", '"60.5450 g"'), _empty("tare", '"60.1562 g"')]


def _choices(method: Method) -> list[str]:
    """Return dilution, blank, report and specification."""
    lines = []
    if _diluted(method):
        portion = _weighing() if _diluted_by_mass(method) else ['pipette = "pipette"']
        lines += [*_table("dilution"), *portion, 'flask = "flask"', _may("temperature", '"21.0 °C"')]
    if method.blank.kind not in ("none", "titrated likewise"):
        lines += _blank(method)
    if method.scheme == "back":
        lines += ["", "# [blank]", '# kind = "titrated likewise"   # then the reagent needs no concentration',
                  '# titrations = [{ initial = "0.00 mL", final = "22.10 mL" }]']
    lines += ["", "# [report]", _may("unit", f'"{method.result.unit}"'), _may("coverage_factor", '"2"')]
    return [*lines, "", "# [specification]", _may("characteristic", f'"{method.determines}"'),
            _may("lower", f'"… {method.result.unit}"'), _may("upper", f'"… {method.result.unit}"')]


def _blank(method: Method) -> list[str]:
    """Return the table of the blank, commented out where the method does without one."""
    lines = ["[blank]", f'kind = "{method.blank.kind}"']
    stated = '"0.05 mL ± 0.02 mL, rectangular"'
    if method.blank.required:
        return ["", *lines, _empty("volume", stated, said="or titrations = [{ … }]")]
    neutralised = method.blank.kind == "neutralised solvent"
    return ["", *(f"# {line}" for line in lines), *([] if neutralised else [_may("volume", stated)])]


def _determination(method: Method, number: int) -> list[str]:
    """Return one determination."""
    lines = ["", f"[[determination]]{'':<{EXAMPLE_COLUMN - 17}}# number {number}"]
    if _portion(method) == "weighed":
        lines += _weighing()
    else:
        lines += ['pipette = "pipette"', _empty("sample_temperature", '"21.5 °C"')]
    if method.scheme == "back":
        lines += [f'excess_pipette = "{EXCESS_PIPETTE}"', _empty("excess_temperature", '"21.5 °C"')]
    if method.scheme == "barium chloride":
        said = "the equal aliquot with barium chloride"
        lines += [_empty("hydroxide_initial", '"0.00 mL"', said=said), _empty("hydroxide_final", '"33.40 mL"')]
    lines += [_empty("initial", '"0.00 mL"')]
    if method.scheme == "two endpoints":
        lines += [_empty("first", '"35.00 mL"', said="the burette's reading at the first endpoint")]
    refilled = _may("fillings", '[["0.00 mL", "50.00 mL"], ["0.00 mL", "3.12 mL"]]')
    return [*lines, _empty("final", '"40.12 mL"'), _empty("temperature", '"22.0 °C"'),
            f"{refilled}   # in place of initial and final"]
