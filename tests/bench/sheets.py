"""Worksheets of the simulated bench: the true titration behind each, and the text she writes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from tests.bench.acts import Day, Solution, dilute, pipetted_amount, titrate, weigh_by_difference
from tests.bench.equipment import MeasuringVessel
from tests.bench.laboratory import Laboratory, method_file
from tests.bench.materials import Powder, PrimaryStandard, Sample, Titrant
from tests.bench.writing import worksheet_text


@dataclass
class Sheet:
    """One worksheet: what she wrote, and what is true.

    Fields:
        path: under which later worksheets find it.
        method: name of the method she follows.
        truths: true value of each measurand in the unit it is reported in; the main one stands under "".
        textbook: for each measurand, each determination's value by school arithmetic, on any scale: only its relative
            scatter is used.
        repeatability: name of the source of scatter; worksheets that scatter alike share it.
    """

    path: str
    method: str
    truths: Mapping[str, float]
    repeatability: str
    tables: dict[str, Mapping[str, Any]] = field(default_factory=dict)
    report: Mapping[str, str] = field(default_factory=dict)
    determinations: list[Mapping[str, Any]] = field(default_factory=list)
    textbook: dict[str, list[float]] = field(default_factory=dict)

    def text(self, pooled: str = "") -> str:
        """Return the worksheet's text, with a pooled repeatability stated, or else asking for the observed one."""
        kind = method_file(self.method)["kind"]
        heading = {
            "kind": kind,
            "id": f"WS-{self.path.removesuffix('.toml')}",
            "method": self.method,
            "analyst": "Ines Okafor",
        }
        day = {"first.toml": 5, "second.toml": 6}.get(self.path, 7)
        tables = dict(self.tables)
        if pooled:
            tables["repeatability"] = {"pooled": pooled}
        tables["report"] = dict(self.report) | {"repeatability": "pooled" if pooled else "observed"}
        return worksheet_text(heading, tables, self.determinations, {"performed": f"2026-10-{day:02d}"})


def number(text: str) -> float:
    """Return the number of a reading as written."""
    return float(text.split(maxsplit=1)[0])


def _on_the_bench(lab: Laboratory, day: Day, vessels: Mapping[str, MeasuringVessel]) -> dict[str, Mapping[str, Any]]:
    tables: dict[str, Mapping[str, Any]] = {"vessels.burette": lab.burette.claims}
    tables |= {f'vessels."{role}"': vessel.claims for role, vessel in vessels.items()}
    return tables | {
        "thermometers.thermometer": lab.thermometer.claims,
        "balances.balance": lab.balance.claims,
        "air": day.claims(),
    }


def _titration(
    lab: Laboratory, sheet: Sheet, titrant: Solution, amounts_mmol: Sequence[float], temperature_degC: float
) -> tuple[dict[str, Any], list[float]]:
    """Titrate by the sheet's method; return what she writes down and the titres she reads off [mL]."""
    method = method_file(sheet.method)
    if len(amounts_mmol) == 2:
        to_first, in_all = (amount / titrant.concentration for amount in amounts_mmol)
        errors = lab.two_endpoint_errors([method["endpoint"]["first"], method["endpoint"]], titrant.concentration,
                                         (to_first, in_all))
    else:
        errors = (lab.endpoint_error(method["endpoint"], titrant.concentration),)
    readings = titrate(lab.chance, lab.burette, titrant, tuple(amounts_mmol), temperature_degC, errors)
    written = {"initial": readings[0], "final": readings[-1], "temperature": lab.thermometer.read(temperature_degC)}
    if len(readings) == 3:
        written["first"] = readings[1]
    return written, [number(reading) - number(readings[0]) for reading in readings[1:]]


def standardise_by_weighing(
    lab: Laboratory,
    path: str,
    method: str,
    titrant: Titrant,
    standard: PrimaryStandard,
    portion_g: float,
    number_n: int,
) -> tuple[Sheet, Titrant]:
    """Standardise a titrant with a weighed primary standard."""
    day, density = lab.day(), standard.density
    true_content = (standard.content + lab.chance.bias_normal(standard.expanded / 2)) / 100
    sheet = Sheet(path, method, {"": titrant.solution.concentration}, method)
    sheet.tables = {"titrant": titrant.claims(), "standard": standard.claims()} | _on_the_bench(lab, day, {})
    values = sheet.textbook.setdefault("", [])
    for turn in range(number_n):
        mass = portion_g * (1 + lab.chance.uniform(-0.03, 0.03))
        weighing = weigh_by_difference(lab.balance, day, mass, density, "standard")
        amount = 1000 * mass * true_content / lab.molar_mass(standard.atoms) * standard.equivalents
        readings, titres = _titration(lab, sheet, titrant.solution, [amount], day.temperature(turn))
        sheet.determinations.append({**weighing, **readings})
        values.append((number(weighing["gross"]) - number(weighing["tare"])) / titres[0])
    return sheet, Titrant(titrant.name, titrant.formula, titrant.nominal, titrant.solution, path)


def standardise_by_solution(
    lab: Laboratory, path: str, method: str, sought: Titrant, known: Titrant, pipette_mL: int, number_n: int
) -> tuple[Sheet, Titrant]:
    """Standardise a solution, pipetted, with a known one in the burette."""
    day, pipette = lab.day(), lab.vessel("pipette", pipette_mL)
    sheet = Sheet(path, method, {"": sought.solution.concentration}, method)
    sheet.tables = {"titrant": sought.claims(), "against": known.claims() | {"in_burette": True}} | _on_the_bench(
        lab, day, {"pipette": pipette}
    )
    values = sheet.textbook.setdefault("", [])
    for turn in range(number_n):
        temperature = day.temperature(turn)
        amount = pipetted_amount(pipette, sought.solution, temperature)
        readings, titres = _titration(lab, sheet, known.solution, [amount], day.temperature(turn))
        pipetted = {"pipette": "pipette", "sample_temperature": lab.thermometer.read(temperature)}
        sheet.determinations.append(pipetted | readings)
        values.append(titres[0])
    return sheet, Titrant(sought.name, sought.formula, sought.nominal, sought.solution, path)


def assay_pipetted(
    lab: Laboratory, path: str, method: str, sample: Sample, titrant: Titrant, pipette_mL: int, number_n: int
) -> Sheet:
    """Assay a solution by pipetted portions; reported in mol/L."""
    day, pipette = lab.day(), lab.vessel("pipette", pipette_mL)
    sheet = Sheet(path, method, {"": sample.solution.concentration}, f"{method}, pipetted")
    sheet.report = {"unit": "mol/L", "species": sample.species}
    sheet.tables = {"sample": sample.claims(lab), "titrant": titrant.claims()} | _on_the_bench(
        lab, day, {"pipette": pipette}
    )
    values = sheet.textbook.setdefault("", [])
    for turn in range(number_n):
        temperature = day.temperature(turn)
        amount = pipetted_amount(pipette, sample.solution, temperature)
        readings, titres = _titration(lab, sheet, titrant.solution, [amount], day.temperature(turn))
        pipetted = {"pipette": "pipette", "sample_temperature": lab.thermometer.read(temperature)}
        sheet.determinations.append(pipetted | readings)
        values.append(titres[0])
    return sheet


def assay_weighed(
    lab: Laboratory, path: str, method: str, sample: Sample, titrant: Titrant, portion_g: float, number_n: int
) -> Sheet:
    """Assay a liquid by weighed portions; reported in % w/w."""
    day, density = lab.day(), sample.solution.liquid.density_at_20
    sheet = Sheet(path, method, {"": sample.mass_fraction(lab)}, f"{method}, weighed")
    sheet.report = {"unit": "% w/w", "species": sample.species}
    sheet.tables = {"sample": sample.claims(lab), "titrant": titrant.claims()} | _on_the_bench(lab, day, {})
    values = sheet.textbook.setdefault("", [])
    for turn in range(number_n):
        mass = portion_g * (1 + lab.chance.uniform(-0.03, 0.03))
        weighing = weigh_by_difference(lab.balance, day, mass, density, "sample")
        amount = 1000 * mass * sample.solution.concentration / density
        readings, titres = _titration(lab, sheet, titrant.solution, [amount], day.temperature(turn))
        sheet.determinations.append({**weighing, **readings})
        values.append(titres[0] / (number(weighing["gross"]) - number(weighing["tare"])))
    return sheet


def assay_diluted(
    lab: Laboratory,
    path: str,
    method: str,
    sample: Sample,
    titrant: Titrant,
    pipette_mL: int,
    flask_mL: int,
    number_n: int,
) -> Sheet:
    """Assay a strong solution: one pipetted portion made up to the mark, aliquots titrated; reported in % w/v."""
    day = lab.day()
    pipette, flask = lab.vessel("pipette", pipette_mL), lab.vessel("flask", flask_mL)
    sheet = Sheet(path, method, {"": sample.mass_per_volume(lab)}, f"{method}, diluted")
    sheet.report = {"unit": "% w/v", "species": sample.species}
    made_up_at = day.temperature(0)
    diluted = dilute(
        pipetted_amount(pipette, sample.solution, made_up_at),
        flask,
        lab.solution(sample.solute, sample.solution.concentration * pipette_mL / flask_mL).liquid,
        made_up_at,
    )
    at = lab.thermometer.read(made_up_at)
    sheet.tables = {
        "sample": sample.claims(lab),
        "titrant": titrant.claims(),
        "dilution": {"pipette": "pipette", "flask": "flask", "sample_temperature": at, "temperature": at},
    } | _on_the_bench(lab, day, {"pipette": pipette, "flask": flask})
    values = sheet.textbook.setdefault("", [])
    for turn in range(number_n):
        temperature = day.temperature(turn)
        amount = pipetted_amount(pipette, diluted, temperature)
        readings, titres = _titration(lab, sheet, titrant.solution, [amount], day.temperature(turn))
        pipetted = {"pipette": "pipette", "sample_temperature": lab.thermometer.read(temperature)}
        sheet.determinations.append(pipetted | readings)
        values.append(titres[0])
    return sheet


def _blank_likewise(
    lab: Laboratory, sheet: Sheet, day: Day, pipette: MeasuringVessel, titrant: Titrant, reagent: Titrant
) -> dict[str, Any]:
    """Titrate the reagent alone; return what she writes down."""
    temperature = day.temperature(0)
    added = pipetted_amount(pipette, reagent.solution, temperature)
    readings, _titres = _titration(lab, sheet, titrant.solution, [added], day.temperature(0))
    return {
        **readings,
        "excess_pipette": "excess pipette",
        "excess_temperature": lab.thermometer.read(temperature),
    }


def assay_back(
    lab: Laboratory,
    path: str,
    sample: Powder,
    titrant: Titrant,
    reagent: Titrant,
    portion_g: float,
    pipette_mL: int,
    number_n: int,
    *,
    blanks: int = 0,
) -> Sheet:
    """Assay a powder by acid in excess, titrated back with alkali; reported in % w/w.

    Arguments:
        blanks: number of blanks titrated likewise; with none the reagent's concentration counts.
    """
    method = "calcium-carbonate-by-excess-acid"
    day, pipette = lab.day(), lab.vessel("pipette", pipette_mL)
    sheet = Sheet(
        path, method, {"": 100 * sample.mass_fraction}, f"{method}, {'blank likewise' if blanks else 'reagent known'}"
    )
    sheet.report = {"unit": "% w/w", "species": sample.species}
    sheet.tables = {
        "sample": sample.claims(),
        "titrant": titrant.claims(),
        "reagent": reagent.claims(),
    } | _on_the_bench(lab, day, {"excess pipette": pipette})
    excess = pipette_mL * reagent.solution.concentration
    if blanks:
        titrations = [_blank_likewise(lab, sheet, day, pipette, titrant, reagent) for _ in range(blanks)]
        sheet.tables["blank"] = {"kind": "titrated likewise", "titrations": titrations}
    values = sheet.textbook.setdefault("", [])
    for turn in range(number_n):
        mass = portion_g * (1 + lab.chance.uniform(-0.03, 0.03))
        weighing = weigh_by_difference(lab.balance, day, mass, sample.density, "sample")
        temperature = day.temperature(turn)
        added = pipetted_amount(pipette, reagent.solution, temperature)
        taken = 1000 * mass * sample.mass_fraction / lab.molar_mass(sample.atoms) * sample.equivalents
        readings, titres = _titration(lab, sheet, titrant.solution, [added - taken], day.temperature(turn))
        sheet.determinations.append(
            {
                **weighing,
                "excess_pipette": "excess pipette",
                "excess_temperature": lab.thermometer.read(temperature),
                **readings,
            }
        )
        left = titres[0] * titrant.solution.concentration
        values.append((excess - left) / (number(weighing["gross"]) - number(weighing["tare"])))
    return sheet


def assay_two_endpoints(
    lab: Laboratory, path: str, hydroxide: Sample, carbonate: float, titrant: Titrant, pipette_mL: int, number_n: int
) -> Sheet:
    """Assay caustic soda with carbonate by acid to two endpoints; reported in % w/v.

    Arguments:
        hydroxide: the sample, its hydroxide as the analyte.
        carbonate: true concentration of sodium carbonate in it [mmol/mL at 20 °C].
    """
    day, pipette = lab.day(), lab.vessel("pipette", pipette_mL)
    found = hydroxide.solution.concentration
    soda = {"Na": 2, "C": 1, "O": 3}
    truths = {
        "": (found + 2 * carbonate) * lab.molar_mass(hydroxide.atoms) / 10,
        "sodium hydroxide": found * lab.molar_mass(hydroxide.atoms) / 10,
        "sodium carbonate": carbonate * lab.molar_mass(soda) / 10,
        "sodium hydrogen carbonate": 0.0,
    }
    sheet = Sheet(path, "caustic-soda-two-endpoints", truths, "caustic-soda-two-endpoints")
    sheet.tables = {"sample": hydroxide.claims(lab), "titrant": titrant.claims()} | _on_the_bench(
        lab, day, {"pipette": pipette}
    )
    for turn in range(number_n):
        temperature = day.temperature(turn)
        alkali = pipetted_amount(pipette, hydroxide.solution, temperature)
        soda_amount = alkali * carbonate / found
        readings, titres = _titration(
            lab, sheet, titrant.solution, [alkali + soda_amount, alkali + 2 * soda_amount], day.temperature(turn)
        )
        pipetted = {"pipette": "pipette", "sample_temperature": lab.thermometer.read(temperature)}
        sheet.determinations.append(pipetted | readings)
        first, total = titres
        for name, value in (
            ("", total),
            ("sodium hydroxide", 2 * first - total),
            ("sodium carbonate", 2 * (total - first)),
        ):
            sheet.textbook.setdefault(name, []).append(value)
    return sheet
