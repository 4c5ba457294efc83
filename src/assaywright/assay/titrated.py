"""What a method titrates, as a system whose curve can be followed: its reactants at their nominal concentrations."""

import re
import tomllib

from assaywright.assay.method import Method, Reactant
from assaywright.chemistry.system import OwnCouple, Portion, System
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity

TITRE_ML, FLASK_ML = 25.0, 50.0
KINDS = {"acid-base": "acid-base", "complexometric": "complexometric", "argentometric": "precipitation",
         "iodometric": "redox", "permanganate": "redox", "dichromate": "redox"}
THIOSULFATE = ("Na2S2O3", "Na2S2O3·5H2O")
IODINE = "I2"
AMMONIA_MOL_PER_L = 0.1
MAGNESIUM, CALCIUM_OF_HARDNESS = "Mg2+", 0.8
WANTING_MAGNESIUM = ("eriochrome black T", "calmagite")
ALKALINE_BUFFER = (9.0, 11.0)
PHOSPHORIC_ACID = (OwnCouple("Fe3+/Fe2+", "0.5 mol/L H2SO4 + 1 mol/L H3PO4"),
                   OwnCouple("Cr2O7 2-/Cr3+", "4 mol/L H2SO4"))
_PH = re.compile(r"\bpH (\d+(?:\.\d+)?)(?: to (?:pH )?(\d+(?:\.\d+)?))?")


def titrated_system(method: Method, nominal: Quantity | None = None) -> System:
    """Return the titration of a method: 25 mL of titrant for 50 mL in the flask.

    A back titration is that of the reagent left over; an iodometric method with thiosulfate that of the iodine set
    free. The pH of a complexometric method is the one its endpoint names; at pH 9 to 11 the buffer is taken to hold
    0.1 mol/L of free ammonia. Calcium with an indicator that turns with magnesium stands for hardness, a fifth of it
    magnesium. Iron with dichromate and phosphoric acid takes the formal potentials of those acids.

    Arguments:
        method: one of the program's or a laboratory's own.
        nominal: concentration of the titrant; that of the method's worked example when not given.

    Raises:
        Refusal: a type of titration that is not computed, a substance that the tables do not hold, or no pH where one
            is needed.
    """
    burette, flask = _burette_and_flask(method)
    concentration = _nominal(method, nominal)
    if method.type not in KINDS:
        raise Refusal(f"the curve of a titration of the type '{method.type}' is not computed", where=method.where,
                      remedy=f"choose a method of the type {', '.join(KINDS)}, or write a system file")
    kind = KINDS[method.type]
    name, equivalents = _in_flask(method, flask, burette)
    amount = concentration * burette.equivalents / equivalents * TITRE_ML / FLASK_ML
    pH = _pH(method) if kind == "complexometric" else None
    buffered = pH is not None and ALKALINE_BUFFER[0] <= pH <= ALKALINE_BUFFER[1]
    hard = kind == "complexometric" and method.endpoint.indicator in WANTING_MAGNESIUM and "Ca" in name
    parts = ((name, CALCIUM_OF_HARDNESS), (MAGNESIUM, 1 - CALCIUM_OF_HARDNESS)) if hard else ((name, 1.0),)
    return System(
        kind, tuple(Portion(one, share * amount) for one, share in parts), FLASK_ML,
        (Portion(burette.formula, concentration),), pH=pH,
        free_ligands=(("ammonia", AMMONIA_MOL_PER_L),) if buffered else (),
        followed=MAGNESIUM if hard else "",
        couples=PHOSPHORIC_ACID if "phosphoric acid" in method.endpoint.indicator else (),
    )


def _burette_and_flask(method: Method) -> tuple[Reactant, Reactant]:
    """Return what stands in the burette at the end of the titration, and what it meets there."""
    other = method.reagent or method.standard or method.against or method.analyte
    if method.against is not None and f"with {method.against.name} in the burette" in method.endpoint.colour_change:
        return method.against, method.titrant
    return method.titrant, other


def _in_flask(method: Method, flask: Reactant, burette: Reactant) -> tuple[str, int]:
    """Return what is titrated and its equivalents."""
    if method.type == "iodometric" and burette.formula in THIOSULFATE:
        return IODINE, 2
    if method.type == "acid-base" or flask.reacts_as in ("", flask.formula):
        return flask.formula, flask.equivalents
    return flask.reacts_as, max(1, flask.equivalents // flask.reacts_as_moles)


def _nominal(method: Method, nominal: Quantity | None) -> float:
    """Return the concentration in the burette [mol/L]."""
    if nominal is not None:
        return nominal.to("mol/L")
    example = tomllib.loads(method.example.worksheet).get("titrant", {}).get("nominal", "")
    if example:
        return read_quantity(str(example), "mol/L").to("mol/L")
    if method.titrant.nominal:
        return method.titrant.nominal[0].to("mol/L")
    raise Refusal("the method names no nominal concentration of its titrant", where=method.where,
                  remedy="state it with --nominal")


def _pH(method: Method) -> float:
    """Return the pH that the method's endpoint names, or the middle of the range it names."""
    endpoint = method.endpoint
    found = _PH.search(" ".join((endpoint.influence, endpoint.reason, *method.procedure)))
    if not found:
        raise Refusal("the method names no pH", where=method.where, remedy="write a system file with its pH")
    low, high = float(found[1]), float(found[2] or found[1])
    return (low + high) / 2
