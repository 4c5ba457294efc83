"""Worksheets as text for the tests of the parsing layer, and one way to change a line of them."""

from assaywright.assay.worksheet import read_bytes
from assaywright.metrology.refusal import Refusal

ASSAY = """\
format = "assaywright worksheet 1"
kind = "assay"
id = "WS-26-0412"
method = "caustic-soda-by-acid"
performed = 2026-10-12
analyst = "Ines Okafor"

[sample]
product = "caustic soda solution 20 % w/v"
lot = "0417"
density = "1.219 g/mL ± 0.001 g/mL, k = 2"

[titrant]
name = "hydrochloric acid 1 mol/L"
formula = "HCl"
concentration = "1.0012 mol/L ± 0.0010 mol/L, k = 2"
certificate = { id = "C-118", issued = 2026-01-12, due = "2026-11", traceable_to = "SI through sodium carbonate" }
use_before = "2026-11"

[vessels.burette]
kind = "burette"
id = "B-07"
nominal = "50 mL"
class = "A"
standard = "ISO 385"

[vessels.pipette]
kind = "pipette"
id = "P-02"
nominal = "10 mL"
class = "A"
standard = "ISO 648"

[specification]
characteristic = "total alkali as NaOH"
lower = "19.8 % w/v"
upper = "20.2 % w/v"

[[determination]]
initial = "0.00 mL"
final = "40.12 mL"
temperature = "22.0 °C"

[[determination]]
initial = "0.00 mL"
final = "40.16 mL"
"""

STANDARDISATION = """\
format = "assaywright worksheet 1"
kind = "standardisation"
id = "ST-26-0071"
method = "caustic-soda-by-hydrogen-phthalate"
performed = 2026-10-05T09:30:00
zone = "Europe/London"
analyst = "Ines Okafor"

[titrant]
name = "sodium hydroxide 0.1 mol/L"
formula = "NaOH"
nominal = "0.1 mol/L"

[standard]
name = "potassium hydrogen phthalate"
content = "99.97 % ± 0.07 %, k = 2"
certificate = { id = "RM-204", issued = 2026-01-15, due = "2028-01", traceable_to = "SI" }
basis = "dried"
dried = "2 h at 110 °C"

[vessels.burette]
kind = "burette"
id = "B-07"
nominal = "25 mL"
tolerance = "0.03 mL, triangular"

[balances.balance]
id = "W-2"
linearity = "0.15 mg, rectangular"

[[determination]]
gross = "60.5450 g"
tare = "60.1562 g"
initial = "0.00 mL"
final = "18.64 mL"
"""

LOT = """\
format = "assaywright worksheet 1"
kind = "lot"
id = "0417"
product = "caustic soda solution 20 % w/v"
maker = "Tarn Hollow Reagents"
made = 2026-10-09
use_before = "2027-10"
hazards = ["H290", "H314"]
responsible = "Mirela Anand"
responsible_function = "authorised signatory"

[[characteristic]]
name = "total alkali as NaOH"
worksheet = "ws.toml"
lower = "19.8 % w/v"
upper = "20.2 % w/v"

[[characteristic]]
name = "density at 20 °C"
value = "1.2191 g/mL ± 0.0005 g/mL, k = 2"
source = "oscillating tube densitometer D-2, 2026-10-12, I. Okafor"
lower = "1.215 g/mL"
upper = "1.223 g/mL"

[[characteristic]]
name = "chloride"
less_than = "5 mg/L"
upper = "10 mg/L"
source = "turbidimetry, 2026-10-12, I. Okafor"

[[characteristic]]
name = "appearance"
found = "clear, colourless"
required = "clear, colourless, free of particles"
satisfied = true
source = "looked at by I. Okafor, 2026-10-12"
"""


def changed(text, before, after):
    """Return the text with one piece changed; the piece has to be there."""
    assert before in text, before
    return text.replace(before, after, 1)


def read(text, path="ws.toml"):
    """Return what the parsing layer reads from a text."""
    return read_bytes(text.encode("utf-8"), path)


def refusal_of(text, path="ws.toml"):
    """Return the sentence of the refusal; a text that is read gives an empty one."""
    try:
        read(text, path)
    except Refusal as refusal:
        return str(refusal)
    return ""


def back_titration():
    """Return an assay by back titration, with its reagent's own blank."""
    reagent = '[reagent]\nname = "silver nitrate 0.1 mol/L"\nformula = "AgNO3"\n\n[vessels.burette]'
    excess = ('[vessels."excess pipette"]\nkind = "pipette"\nid = "P-9"\nnominal = "50 mL"\n'
              'class = "A"\nstandard = "ISO 648"\n\n')
    blank = '[blank]\nkind = "titrated likewise"\ntitrations = [{ initial = "0.00 mL", final = "45.10 mL" }]\n\n'
    text = changed(ASSAY, "[vessels.burette]", reagent)
    return changed(text, "[specification]", excess + blank + "[specification]")
