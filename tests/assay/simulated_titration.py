"""A titration of a known sample, followed by the engine to where the method's endpoint is seen, and its readings.

What is known is set by masses, molar masses and the reaction; nothing of it goes through the evaluation.
"""

import re
import tomllib
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from assaywright.assay.endpoint_error import LARGER, EndpointError, Titration, endpoint_error, followed
from assaywright.assay.method import Endpoint, Method, Reactant
from assaywright.assay.titrated import burette_and_flask, nominal_mol_per_L, titrated_system
from assaywright.assay.turned_by_curve import stated_by_curve
from assaywright.chemistry.reaction import parse_reaction

# CIAAW, abridged standard atomic weights of 2021.
ATOMIC_WEIGHTS = {
    "H": 1.0080, "B": 10.81, "C": 12.011, "N": 14.007, "O": 15.999, "Na": 22.990, "Mg": 24.305, "Al": 26.982,
    "P": 30.974, "S": 32.06, "Cl": 35.45, "K": 39.098, "Ca": 40.078, "Fe": 55.845, "Ni": 58.693, "Cu": 63.546,
    "Zn": 65.38, "Br": 79.904, "Ag": 107.87, "I": 126.90, "Ba": 137.33, "Pb": 207.2, "Bi": 208.98,
}
TOKEN = re.compile(r"([A-Z][a-z]?)(\d*)|(\()|(\))(\d*)")
AIR, BRASS = 1.2e-3, 8.0  # g/cm³, reference air and weights
CONTENT = 0.6543  # g/g of every weighed sample
TARE_G = 20.0
READING_ML = 0.01


def molar_mass(formula: str) -> float:
    """Return a molar mass from the weights above [g/mol]."""
    total = 0.0
    for part in formula.split("·"):
        count, rest = re.match(r"(\d*)(.*)", part).groups()
        total += int(count or 1) * _mass_of_group(rest)
    return total


def _mass_of_group(text: str) -> float:
    masses = [0.0]
    for element, count, opening, closing, times in TOKEN.findall(text):
        if element:
            masses[-1] += ATOMIC_WEIGHTS[element] * int(count or 1)
        elif opening:
            masses.append(0.0)
        elif closing:
            inner = masses.pop()
            masses[-1] += inner * int(times or 1)
    return masses[0]


@dataclass(frozen=True)
class Played:
    """A worksheet of a titration played through, and what is true.

    Fields:
        text: the worksheet.
        known: content of each measurand in its unit; the main one stands under "".
        tolerance: of each, from stated titration errors and readings, in the same unit.
    """

    text: str
    known: dict[str, float]
    tolerance: dict[str, float]


class NotComputed(Exception):
    """The engine has no endpoint for this method; the sentence says why."""


def play(method: Method) -> Played:
    """Play a method's titration through with a known sample."""
    example = tomllib.loads(method.example.worksheet)
    c = nominal_mol_per_L(method, None)
    first = None if method.first_endpoint is None else _stop(method, method.first_endpoint, first=True)
    last = _stop(method, method.endpoint, first=False)
    text = method.example.worksheet.split("[[determination]]")[0]
    text = _set(_set(text, "vessels.burette", "nominal", '"50 mL"'), "vessels.burette", "graduation", '"0.1 mL"')
    if first is not None:
        return _two(method, example, text, c, first, last)
    volume_mL, blank_mL, at_mL = last
    if method.scheme == "back":
        return _back(method, example, text, c, last)
    text = _with_blank(text, method, example, blank_mL)
    readings = {"initial": "0.00 mL", "final": f"{volume_mL:.2f} mL", "temperature": "20.0 °C"}
    n_titrant = c * at_mL  # mmol
    tolerance = _half_width(method, method.endpoint, c) + READING_ML
    if method.scheme == "direct":
        text, portion, known = _sample(method, example, text, n_titrant / ratio(method.reaction, method.titrant,
                                                                              method.analyte))
        text = _set(text, "titrant", "concentration", _stated(c))
    elif method.standard is not None:
        text, portion, known = _standard(method, example, text, n_titrant, c)
    else:
        text, portion, known = _by_solution(method, example, text, n_titrant, c)
    return Played(text + _determinations(portion | readings), {"": known}, {"": known * tolerance / at_mL})


def ratio(reaction: str, titrant: Reactant, other: Reactant) -> float:
    """Return moles of titrant for one mole of another substance, as its formula counts it."""
    found = parse_reaction(reaction).ratio(titrant.reacts_as, other.reacts_as)
    return float(found * Fraction(other.reacts_as_moles, titrant.reacts_as_moles))


def _stop(method: Method, endpoint: Endpoint, *, first: bool) -> tuple[float, float, float]:
    """Return the volume at which the endpoint is seen, the blank's, and the equivalence volume [mL]."""
    system = titrated_system(method)
    if first and method.scheme == "barium chloride":
        titration: Titration = followed(replace(system, analyte=system.analyte[:1]))
    else:
        titration = followed(system, before=first)
    found = endpoint_error(method, endpoint, titration)
    if not isinstance(found, EndpointError):
        raise NotComputed(str(found))
    alone = found.error_mL if found.without_blank_mL is None else found.without_blank_mL
    return titration.equivalence_mL + alone, alone - found.error_mL, titration.equivalence_mL


def _half_width(method: Method, endpoint: Endpoint, c: float) -> float:
    """Return the bound of the stated titration error for this strength of titrant [mL]."""
    if endpoint.curve is not None:
        return stated_by_curve(method, endpoint, c)[1]
    stated = endpoint.titration_error
    assert stated is not None
    assert stated.uncertainty is not None
    weaker = 1.0 if endpoint.at is None else max(1.0, endpoint.at.to("mol/L") / c)
    return weaker * float(stated.uncertainty.amount)


# --- samples, standards, solutions ------------------------------------------------------------------------------------


def _in_air(mass_g: float, density_g_per_mL: float) -> float:
    """Return what a balance shows for a mass (OIML D 28: reference air and weights)."""
    return mass_g * (1 - AIR / density_g_per_mL) / (1 - AIR / BRASS)


def _number(text: str) -> float:
    return float(text.split(maxsplit=1)[0])


def _volume(example: dict[str, Any], role: str) -> float:
    return _number(example["vessels"][role]["nominal"])


def _sample(method: Method, example: dict[str, Any], text: str, n_mmol: float) -> tuple[str, dict[str, str], float]:
    """Return the worksheet, the portion and the known content for an amount of analyte in the flask."""
    M = molar_mass(method.analyte.formula)
    one, dilution = example["determination"][0], example.get("dilution")
    unit = example.get("report", {}).get("unit", method.result.unit)
    if dilution is not None:
        portion = {"pipette": one["pipette"], "sample_temperature": "20.0 °C"}
        whole = n_mmol * _volume(example, dilution["flask"]) / _volume(example, one["pipette"])
        if "gross" in dilution:
            mass = whole * M / 1000 / CONTENT
            shown = _in_air(mass, _number(example["sample"]["density"]))
            return _weigh(text, "dilution", shown), portion, _expressed(CONTENT, unit)
        return text, portion, _by_volume(whole / _volume(example, dilution["pipette"]), M, unit)
    if "pipette" in one:
        portion = {"pipette": one["pipette"], "sample_temperature": "20.0 °C"}
        return text, portion, _by_volume(n_mmol / _volume(example, one["pipette"]), M, unit)
    shown = _in_air(n_mmol * M / 1000 / CONTENT, _number(example["sample"]["density"]))
    return text, _weighed(shown), _expressed(CONTENT, unit)


def _expressed(content: float, unit: str) -> float:
    assert unit == "% w/w"
    return 100 * content


def _by_volume(mmol_per_mL: float, M: float, unit: str) -> float:
    return mmol_per_mL * {"mol/L": 1.0, "g/L": M, "mg/L": 1000 * M, "% w/v": M / 10, "mg/mL": M}[unit]


def _standard(method: Method, example: dict[str, Any], text: str, n_mmol: float, c: float) -> (
        tuple[str, dict[str, str], float]):
    assert method.standard is not None
    given = example["standard"]
    content = _number(given["content"]) / 100
    mass = n_mmol / ratio(method.reaction, method.titrant, method.standard) * molar_mass(given["formula"]) / 1000
    shown = mass / content
    if given["weighed_as"] == "in vacuo":
        shown = _in_air(shown, _number(given["density"]))
    return text, _weighed(shown), c


def _by_solution(method: Method, example: dict[str, Any], text: str, n_mmol: float, c: float) -> (
        tuple[str, dict[str, str], float]):
    """Return the worksheet for a solution against another; the one in the burette has the concentration c."""
    assert method.against is not None
    one = example["determination"][0]
    burette, flask = burette_and_flask(method)
    pipetted = n_mmol / ratio(method.reaction, burette, flask) / _volume(example, one["pipette"])
    sought, other = (pipetted, c) if burette == method.against else (c, pipetted)
    text = _set(text, "against", "concentration", _stated(other))
    return text, {"pipette": one["pipette"], "sample_temperature": "20.0 °C"}, sought


def _back(method: Method, example: dict[str, Any], text: str, c: float, last: tuple[float, float, float]) -> Played:
    """Play a back titration: the reagent is 1.6 times what the sample leaves of it."""
    assert method.reagent is not None
    volume_mL, _blank_mL, at_mL = last
    one = example["determination"][0]
    taken_mL = (LARGER - 1) * at_mL
    reagent_mmol = taken_mL * c / ratio(method.reagent_reaction, method.titrant, method.reagent)
    n_mmol = reagent_mmol / ratio(method.reaction, method.reagent, method.analyte)
    text, portion, known = _sample(method, example, text, n_mmol)
    text = _set(text, "titrant", "concentration", _stated(c))
    if "blank" in example:
        blank_mL = LARGER * at_mL + _blank_mL
        titration = (f'{{ excess_pipette = "excess pipette", initial = "0.00 mL", final = "{blank_mL:.2f} mL", '
                     'temperature = "20.0 °C" }')
        text = re.sub(r"(?ms)^titrations = \[.*?^\]$", f"titrations = [{titration}]", text)
    else:
        whole = LARGER * at_mL * c / ratio(method.reagent_reaction, method.titrant, method.reagent)
        r = whole / _volume(example, one["excess_pipette"])
        text = _set(text, "reagent", "concentration", _stated(r))
    excess = {"excess_pipette": "excess pipette", "excess_temperature": "20.0 °C"}
    readings = {"initial": "0.00 mL", "final": f"{volume_mL:.2f} mL", "temperature": "20.0 °C"}
    tolerance = _half_width(method, method.endpoint, c) + READING_ML
    return Played(text + _determinations(portion | excess | readings), {"": known}, {"": known * tolerance / taken_mL})


def _two(method: Method, example: dict[str, Any], text: str, c: float, first: tuple[float, float, float],
         last: tuple[float, float, float]) -> Played:
    """Play a titration to two endpoints, or of two aliquots: hydroxide and carbonate beside one another."""
    assert method.first_endpoint is not None
    one = example["determination"][0]
    unit = example.get("report", {}).get("unit", method.result.unit)
    hydroxide, carbonate = (float(part.moles.value) * c * last[2] for part in method.medium.titrated)
    text = _set(text, "titrant", "concentration", _stated(c))
    known, tolerance = {}, {}
    errors = [_half_width(method, end, c) + READING_ML for end in (method.first_endpoint, method.endpoint)]
    barium = method.scheme == "barium chloride"
    off = {"total": errors[1], "hydroxide": errors[0] if barium else 2 * errors[0] + errors[1],
           "carbonate": sum(errors) if barium else 2 * sum(errors)}
    mmol = {"total": c * last[2], "hydroxide": hydroxide, "carbonate": carbonate}
    protons = {"total": 1, "hydroxide": 1, "carbonate": 2}
    pipette = _volume(example, one["pipette"])
    for part in method.result.measurands:
        M = molar_mass(part.formula)
        known[part.name] = _by_volume(mmol[part.part] / pipette, M, unit)
        tolerance[part.name] = _by_volume(off[part.part] * c / protons[part.part] / pipette, M, unit)
    reading = {"hydroxide_initial": "0.00 mL", "hydroxide_final": f"{first[0]:.2f} mL"} if barium else {
        "first": f"{first[0]:.2f} mL"}
    readings = {"pipette": one["pipette"], "sample_temperature": "20.0 °C", "initial": "0.00 mL",
                "final": f"{last[0]:.2f} mL", "temperature": "20.0 °C"}
    return Played(text + _determinations(readings | reading), known, tolerance)


# --- the worksheet's text ---------------------------------------------------------------------------------------------


def _weighed(shown_g: float) -> dict[str, str]:
    return {"gross": f"{TARE_G + shown_g:.6f} g", "tare": f"{TARE_G:.6f} g"}


def _weigh(text: str, table: str, shown_g: float) -> str:
    for key, value in _weighed(shown_g).items():
        text = _set(text, table, key, f'"{value}"')
    return text


def _stated(concentration_mol_per_L: float) -> str:
    return f'"{concentration_mol_per_L:.9f} mol/L ± {concentration_mol_per_L / 1e5:.9f} mol/L, standard"'


def _with_blank(text: str, method: Method, example: dict[str, Any], blank_mL: float) -> str:
    if method.blank.kind not in ("indicator blank", "reagent blank") or (not blank_mL and "blank" not in example):
        return text
    volume = f'"{blank_mL:.3f} mL ± 0.001 mL, rectangular"'
    if "blank" in example:
        return _set(text, "blank", "volume", volume)
    return f'{text}\n[blank]\nkind = "{method.blank.kind}"\nvolume = {volume}\n\n'


def _set(text: str, table: str, key: str, value: str) -> str:
    """Return a worksheet with one field of one table written anew."""
    before, header, rest = text.partition(f"[{table}]\n")
    assert header, table
    body, mark, after = rest.partition("\n[")
    line = f"{key} = {value}"
    body, count = re.subn(rf"(?m)^{key} = .*$", lambda _found: line, body)
    return f"{before}{header}{body if count else f'{line}{chr(10)}{body}'}{mark}{after}"


def _determinations(fields: dict[str, str]) -> str:
    one = "\n".join(f'{key} = "{value}"' for key, value in fields.items())
    return "\n".join([f"\n[[determination]]\n{one}\n"] * 3)
