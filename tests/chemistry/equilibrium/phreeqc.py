"""PHREEQC as a referee: our systems written in its language, with our constants, its own Davies equation and solver.

Charged species without a stated ion size follow Davies there, neutral ones lg gamma = 0.1 I, and the activity of water
falls by 0.017 per mol/kg: the same model as ``Davies(salting_out_L_per_mol=0.1)`` up to its limit.
"""

from importlib.resources import files

import numpy as np
from phreeqpython.viphreeqc import VIPhreeqc

from assaywright.chemistry.equilibrium import Acid, mix

WATER = """
SOLUTION_MASTER_SPECIES
H     H+    -1  H  1.008
H(1)  H+    -1  0
E     e-     0  0  0
O     H2O    0  O  15.999
O(-2) H2O    0  0
{masters}
SOLUTION_SPECIES
H+ = H+
    log_k 0
e- = e-
    log_k 0
H2O = H2O
    log_k 0
H2O = OH- + H+
    log_k {lg_Kw!r}
2 H2O = O2 + 4 H+ + 4 e-
    log_k -86.08
2 H+ + 2 e- = H2
    log_k -3.15
{species}
PHASES
Gas
    {gas} = {gas}
    log_k 0
END
"""
ASKED = """
SELECTED_OUTPUT
    -reset false
    -high_precision true
USER_PUNCH
    -headings pH strength
    -start
10  PUNCH -LA("H+"), MU
    -end
"""


def letters(number):
    """Return an element's name made of letters only."""
    return "X" + "abcdefghijklmnop"[number]


def charged(element, protons, charge):
    """Return a species as it is written there: element, protons taken up, charge."""
    taken = f"H{protons if protons > 1 else ''}" if protons else ""
    return f"{taken}{element}{charge:+d}" if charge else f"{taken}{element}"


def database(components, pKw, gas=None):
    """Return the text of a database that knows water and these components, and the element of each."""
    masters, species, elements = [], [], {}
    for number, one in enumerate(components):
        element = elements[one.name] = letters(number)
        last = one.charge - len(one.pKa) if isinstance(one, Acid) else one.charge
        bare = charged(element, 0, last)
        masters.append(f"{element}  {bare}  0  {element}  100")
        species.append(f"{bare} = {bare}\n    log_k 0")
        total = 0.0
        for protons, pKa in enumerate(reversed(one.pKa) if isinstance(one, Acid) else (), start=1):
            total += float(pKa)
            taken_up = charged(element, protons, last + protons)
            species.append(f"{bare} + {protons if protons > 1 else ''} H+ = {taken_up}\n    log_k {total!r}")
    supplied = charged(elements[gas.name], len(gas.pKa), gas.charge) if gas else "H2"
    text = WATER.format(masters="\n".join(masters), species="\n".join(species), lg_Kw=-pKw, gas=supplied)
    return text, elements


def solver(text):
    """Return PHREEQC with a database loaded from its text."""
    referee = VIPhreeqc()
    referee.load_database_string(text)
    return referee


def composition(number, totals, temperature_degC):
    """Return a solution of given totals, its pH from the balance of charge."""
    lines = [f"SOLUTION {number}", f"    temp {temperature_degC}", "    units mol/kgw", "    pH 7 charge"]
    return "\n".join(lines + [f"    {element} {total!r}" for element, total in totals.items() if total > 0]) + "\n"


def pH_along(titration, volumes_mL, lg_activity=None, referee=None):
    """Return the pH of PHREEQC at volumes of titrant, the mixture's totals taken as molalities.

    ``lg_activity``: of an acid that a gas supplies from outside; ``referee``: with the database already loaded.
    """
    components = {one.name: one for one in titration.analyte.components + titration.titrant.components}
    gas = titration.held.acid if titration.held else None
    known = [*components.values(), gas] if gas else list(components.values())
    text, elements = database(known, titration.conditions.pKw, gas)
    referee = referee or solver(text)
    mixture = mix((titration.analyte, titration.analyte_volume_mL), (titration.titrant, volumes_mL))
    script = ASKED
    for number in range(volumes_mL.size):
        totals = {elements[one.name]: float(np.broadcast_to(total, volumes_mL.shape)[number]) for one, total in mixture}
        script += composition(number + 1, totals, titration.temperature_degC)
        script += f"EQUILIBRIUM_PHASES\n    Gas {lg_activity!r} 10\nEND\n" if gas else ""
    referee.run_string(script + "END\n")
    every = np.array(referee.get_selected_output_array()[1:], dtype=float)[:, 0]
    return every[1::2] if gas else every


def pH_by_mixing(titration, volumes_mL):
    """Return the pH of PHREEQC when it mixes the two solutions itself, water of neutralisation and all."""
    components = {one.name: one for one in titration.analyte.components + titration.titrant.components}
    text, elements = database(list(components.values()), titration.conditions.pKw)
    referee = solver(text)
    script = "".join(
        composition(number, {elements[one.name]: float(total) for one, total in solution}, titration.temperature_degC)
        for number, solution in ((1, titration.analyte), (2, titration.titrant)))
    script += "END\n" + ASKED
    for volume_mL in volumes_mL:
        script += f"MIX\n    1 {float(titration.analyte_volume_mL) / 1000!r}\n    2 {float(volume_mL) / 1000!r}\nEND\n"
    referee.run_string(script)
    return np.array(referee.get_selected_output_array()[1:], dtype=float)[:, 0]


NO_PAIRS = """
SOLUTION_SPECIES
Na+ + CO3-2 = NaCO3-
    log_k -20
Na+ + HCO3- = NaHCO3
    log_k -20
Na+ + OH- = NaOH
    log_k -20
"""


def pH_by_its_own_database(totals, *, pairs):
    """Return the pH of solutions by phreeqc.dat: its constants, ion sizes and, if wanted, its pairs of sodium.

    ``totals``: for each solution, element of that database to total [mol/kg of water].
    """
    referee = VIPhreeqc()
    referee.load_database(str(files("phreeqpython") / "database" / "phreeqc.dat"))
    script = ("" if pairs else NO_PAIRS) + ASKED
    script += "".join(composition(number, one, 25.0) for number, one in enumerate(totals, start=1))
    referee.run_string(script + "END\n")
    return np.array(referee.get_selected_output_array()[1:], dtype=float)[:, 0]
