"""What a method titrates, as a system whose curve can be followed: its reactants at their nominal concentrations."""

import tomllib

from assaywright.assay.method import Method, Reactant
from assaywright.assay.method_medium import Medium, Titrated
from assaywright.chemistry.system import OwnAcid, OwnCouple, Portion, System
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity

TITRE_ML, FLASK_ML = 25.0, 50.0
KINDS = {"acid-base": "acid-base", "complexometric": "complexometric", "argentometric": "precipitation",
         "iodometric": "redox", "iodimetric": "redox", "permanganate": "redox", "dichromate": "redox",
         "cerimetric": "redox"}
THIOSULFATE = ("Na2S2O3", "Na2S2O3·5H2O")
IODINE = "I2"
STANDARD = "standard"
UNSAID = Medium()


def titrated_system(method: Method, nominal: Quantity | None = None) -> System:
    """Return the titration of a method: 25 mL of titrant for what stands in the flask.

    A back titration is that of the reagent left over; an iodometric method with thiosulfate that of the iodine set
    free. What else the flask holds, and its volume where that is not 50 mL, the method's ``[medium]`` says.

    Arguments:
        method: one of the program's or a laboratory's own.
        nominal: concentration of the titrant; that of the method's worked example when not given.

    Raises:
        Refusal: a type of titration that is not computed, a substance that the tables do not hold, or no pH where one
            is needed.
    """
    if method.type not in KINDS:
        raise Refusal(f"the curve of a titration of the type '{method.type}' is not computed", where=method.where,
                      remedy=f"choose a method of the type {', '.join(KINDS)}, or write a system file")
    kind, medium = KINDS[method.type], method.medium or UNSAID
    if kind == "complexometric" and medium.pH is None:
        raise Refusal("the method does not say at which pH its buffer keeps the flask", where=method.where,
                      remedy='state it in [medium], as pH = "10.0"')
    burette, flask = burette_and_flask(method)
    concentration = nominal_mol_per_L(method, nominal)
    flask_mL = FLASK_ML if medium.flask is None else medium.flask.to("mL")
    name, equivalents = in_flask(method, flask, burette)
    amount = concentration * burette.equivalents / equivalents * TITRE_ML / flask_mL
    return System(
        kind, portions(medium.titrated, name, amount), flask_mL,
        (Portion(medium.burette or burette.formula, concentration),),
        open_to_air=kind == "acid-base" and medium.carbon_dioxide == "boiled off",
        pH=None if medium.pH is None else float(medium.pH.value),
        free_ligands=tuple((one.name, one.concentration.to("mol/L")) for one in medium.ligands),
        ionic_strength_mol_per_L=0.1 if medium.ionic_strength is None else medium.ionic_strength.to("mol/L"),
        followed=medium.followed, medium=medium.potentials,
        couples=tuple(OwnCouple(one.name, "" if one.medium == STANDARD else one.medium) for one in medium.couples),
    )


def portions(titrated: tuple[Titrated, ...], name: str, amount_mol_per_L: float) -> tuple[Portion, ...]:
    """Return what is in the flask.

    Arguments:
        titrated: as the method's medium says; empty where it says nothing.
        name: of what is titrated then.
        amount_mol_per_L: concentration of what the titrant's equivalents are counted by [mol/L].
    """
    if not titrated:
        return (Portion(name, amount_mol_per_L),)
    return tuple(Portion(one.substance, float(one.moles.value) * amount_mol_per_L, _own(one)) for one in titrated)


def _own(one: Titrated) -> OwnAcid | None:
    if not one.pKa:
        return None
    return OwnAcid(tuple(float(each.value) for each in one.pKa), one.charge, one.protons_lost)


def burette_and_flask(method: Method) -> tuple[Reactant, Reactant]:
    """Return what stands in the burette at the end of the titration, and what it meets there."""
    other = method.reagent or method.standard or method.against or method.analyte
    if method.against is not None and f"with {method.against.name} in the burette" in method.endpoint.colour_change:
        return method.against, method.titrant
    return method.titrant, other


def in_flask(method: Method, flask: Reactant, burette: Reactant) -> tuple[str, int]:
    """Return what is titrated and its equivalents."""
    if method.type == "iodometric" and burette.formula in THIOSULFATE:
        return IODINE, 2
    if method.type == "acid-base" or flask.reacts_as in ("", flask.formula):
        return flask.formula, flask.equivalents
    return flask.reacts_as, max(1, flask.equivalents // flask.reacts_as_moles)


def nominal_mol_per_L(method: Method, nominal: Quantity | None) -> float:
    """Return the concentration in the burette: as asked for, or that of the worked example [mol/L]."""
    if nominal is not None:
        return nominal.to("mol/L")
    example = tomllib.loads(method.example.worksheet).get("titrant", {}).get("nominal", "")
    if example:
        return read_quantity(str(example), "mol/L").to("mol/L")
    if method.titrant.nominal:
        return method.titrant.nominal[0].to("mol/L")
    raise Refusal("the method names no nominal concentration of its titrant", where=method.where,
                  remedy="state it with --nominal")
