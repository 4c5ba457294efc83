"""Small worksheets for the tests of evaluation: written as text, read by the product's own parsing layer."""

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.worksheet import parse_worksheet

VESSELS = """
[vessels.burette]
kind = "burette"
id = "B-07"
nominal = "50 mL"
class = "A"
standard = "ISO 385"
[vessels.pipette]
kind = "pipette"
id = "P-02"
nominal = "{pipette} mL"
tolerance = "0.02 mL, triangular"
[balances.balance]
id = "BAL-2"
linearity = "0.15 mg, rectangular"
certificate = {{ id = "C-2", issued = 2026-03-01, due = 2027-03-01, traceable_to = "SI" }}
[thermometers.thermometer]
id = "T-1"
uncertainty = "0.3 °C, k = 2"
certificate = {{ id = "C-9", issued = 2026-02-01, due = 2027-02-01, traceable_to = "SI" }}
"""

KHP = """
[standard]
name = "potassium hydrogen phthalate"
content = "99.97 % ± 0.07 %, k = 2"
certificate = { id = "RM-204", issued = 2026-01-15, due = 2028-01-31, traceable_to = "SI" }
basis = "dried"
dried = "2 h at 110 °C"
"""


def standardisation(
    identity="ST-1",
    *,
    masses=(0.7888, 0.7950, 0.7740),
    titres=(38.62, 38.93, 37.90),
    extra="",
    top="",
    temperature="20.0 °C",
    titrant="",
    vessels="",
):
    """Return a standardisation of sodium hydroxide 0.1 mol/L against potassium hydrogen phthalate, as text."""
    rows = "".join(
        f'[[determination]]\ngross = "{60.1562 + mass:.4f} g"\ntare = "60.1562 g"\ninitial = "0.00 mL"\n'
        f'final = "{titre:.2f} mL"\ntemperature = "{temperature}"\n'
        for mass, titre in zip(masses, titres, strict=True)
    )
    return (
        f'format = "assaywright worksheet 1"\nkind = "standardisation"\nid = "{identity}"\n'
        f'method = "naoh-by-khp"\nperformed = 2026-10-05\nanalyst = "Ines Okafor"\n{top}\n'
        '[titrant]\nname = "sodium hydroxide 0.1 mol/L"\n'
        f'formula = "NaOH"\nnominal = "0.1 mol/L"\n{titrant}\n{KHP}{VESSELS.format(pipette=25)}{vessels}{extra}{rows}'
    )


def assay(
    method="hydrochloric-acid-by-naoh",
    *,
    titrant='worksheets = ["st1.toml"]',
    pipette="10",
    titres=(39.81, 39.84, 39.80),
    top="",
    extra="",
    rows="",
    sample="",
    determination="",
    temperature="20.0 °C",
    formula="NaOH",
    name="sodium hydroxide 0.1 mol/L",
    nominal="0.1 mol/L",
    identity="WS-1",
):
    """Return an assay of a pipetted sample, as text."""
    body = rows or "".join(
        f'[[determination]]\npipette = "pipette"\nsample_temperature = "{temperature}"\ninitial = "0.00 mL"\n'
        f'final = "{titre:.2f} mL"\ntemperature = "{temperature}"\n{determination}'
        for titre in titres
    )
    return (
        f'format = "assaywright worksheet 1"\nkind = "assay"\nid = "{identity}"\nmethod = "{method}"\n'
        f'performed = 2026-10-12\nanalyst = "Ines Okafor"\n{top}\n'
        f'[sample]\nproduct = "a product"\nlot = "0417"\n{sample}\n'
        f'[titrant]\nname = "{name}"\nformula = "{formula}"\nnominal = "{nominal}"\n{titrant}\n'
        f"{VESSELS.format(pipette=pipette)}{extra}{body}"
    )


def evaluated(text, files=None, **options):
    """Return the outcome of a worksheet given as text; other files are found by name among ``files``."""
    files = files or {}

    def opener(path):
        if path not in files:
            raise FileNotFoundError(2, "No such file", path)
        found = files[path]
        return found if isinstance(found, bytes) else found.encode()

    return evaluate_worksheet(parse_worksheet(text.encode(), "ws.toml"), opener, **options)


def kinds(outcome):
    """Return the kinds of the outcome's remarks."""
    return [remark.kind for remark in outcome.remarks]


CERTIFIED = (
    'concentration = "0.1000 mol/L ± 0.0001 mol/L, k = 2"\n'
    'certificate = { id = "C-118", issued = 2026-01-12, traceable_to = "SI" }'
)
