"""Products and shelves for the tests of the plan: written as a laboratory would, and varied by name."""

from datetime import date

from assaywright.assay.plan.plan import plan_assay
from assaywright.assay.plan.product import Product, read_product
from assaywright.assay.plan.result import Option, Plan
from assaywright.assay.plan.shelf import Shelf, read_shelf

DAY = date(2026, 11, 2)
CAUSTIC = """format = "assaywright product 1"
name = "caustic soda solution 20 % w/v"
substance = "sodium hydroxide"
nominal = "20 % w/v"
density = "1.185 g/mL ± 0.001 g/mL, k = 2"
[[characteristic]]
name = "total alkali as NaOH"
lower = "19.8 % w/v"
upper = "20.2 % w/v"
[lots]
mean = "20.0 % w/v"
standard_deviation = "0.08 % w/v"
source = "the last 40 lots"
"""
THERMOMETER = '[[thermometer]]\nid = "T-3"\nuncertainty = "0.5 °C, rectangular"\n'
BALANCE = ('[[balance]]\nid = "W-2"\nreadability = "0.1 mg"\nlinearity = "0.15 mg, rectangular"\n'
           'repeatability = "0.08 mg"\ncapacity = "220 g"\n')
STANDARDS = {"burette": "ISO 385", "pipette": "ISO 648", "flask": "ISO 1042"}
GRADUATIONS = {10: "0.02", 25: "0.05", 50: "0.1"}
EIGHT = '[[pipette]]\nid = "P-8"\nnominal = "8 mL"\ntolerance = "0.02 mL, triangular"\n'
NORMAL_ACID = """[[titrant]]
name = "hydrochloric acid 1 N"
formula = "HCl"
nominal = "1 eq/L"
concentration = "1.0000 eq/L ± 0.0010 eq/L, k = 2"
reaction = "NaOH + HCl -> NaCl + H2O"
certificate = { id = "C-118", issued = 2026-08-20, due = 2027-02-28, traceable_to = "SI" }
"""


def vessel(kind: str, nominal_mL: float, number: int = 1) -> str:
    """Return a vessel of class A as a shelf lists it."""
    text = (f'[[{kind}]]\nid = "{kind[0].upper()}-{nominal_mL:g}-{number}"\nnominal = "{nominal_mL:g} mL"\n'
            f'class = "A"\nstandard = "{STANDARDS[kind]}"\n')
    return text + (f'graduation = "{GRADUATIONS[int(nominal_mL)]} mL"\n' if kind == "burette" else "")


def acid(strength: str, *, relative: float = 0.001) -> str:
    """Return a hydrochloric acid as a shelf lists it."""
    return (f'[[titrant]]\nname = "hydrochloric acid {strength} mol/L"\nformula = "HCl"\nnominal = "{strength} mol/L"\n'
            f'concentration = "{strength} mol/L ± {float(strength) * relative:g} mol/L, k = 2"\n'
            f'certificate = {{ id = "C-{strength}", issued = 2026-08-20, due = 2027-02-28, traceable_to = "SI" }}\n')


def shelf_text(*parts: str) -> str:
    """Return a shelf of these parts, with a thermometer."""
    return 'format = "assaywright shelf 1"\n' + "".join(parts) + THERMOMETER


def shelf_of(*parts: str) -> Shelf:
    """Return a shelf of these parts, with a thermometer."""
    return read_shelf(shelf_text(*parts).encode(), "shelf.toml")


def product_of(text: str = CAUSTIC) -> Product:
    """Return a product."""
    return read_product(text.encode(), "product.toml")


def no_file(path: str) -> bytes:
    """Open nothing: the shelf refers to no file."""
    raise FileNotFoundError(path)


def planned(shelf: Shelf, product: Product | None = None, uncertainty: float | None = None) -> Plan:
    """Return a plan on the day of the tests."""
    return plan_assay(product or product_of(), shelf, DAY, no_file, uncertainty=uncertainty)


def by_way(plan: Plan, way: str) -> Option:
    """Return the best option of a way."""
    return next(one for one in plan.options if one.setup.way == way)
