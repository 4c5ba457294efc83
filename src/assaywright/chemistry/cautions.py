"""What to know before opening the bottle: classes, statements, dangerous pairs and protection, by strength.

An aid to the bench, no label and no safety data sheet: those of the supplier, local rules and a qualified person have
the last word.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from assaywright.chemistry.classification import (
    HazardClass,
    classify_pure,
    classify_solution,
    own_classes,
)
from assaywright.chemistry.strength import Strength, strength_of_concentration, strength_of_mass_percent
from assaywright.metrology.refusal import Refusal
from assaywright.reference.labelling import (
    STAGES,
    Precaution,
    concentration_limits,
    generic_limits,
    has_label_element,
    label_element,
    precautions,
    protection,
)
from assaywright.reference.safety import (
    HazardStatement,
    Incompatibility,
    hazard_statement,
    hazards,
    incompatibilities,
)
from assaywright.reference.substances import Substance, substance, substances

DEFERRAL = ("The supplier's safety data sheet, local rules and a qualified person have the last word; "
            "this list is an aid.")
ALWAYS = ("laboratory coat and safety glasses",)
CLOSE_TO_A_LIMIT = 0.02
WATER = "water"
_SEVERITIES = ("severe", "moderate", "low")

# A statement on the left makes those on the right superfluous on a label.
_SPARES = {"H314": ("H318", "H315", "H319"), "H318": ("H319",), "H410": ("H400",), "EUH071": ("H335",)}
_STRONGER_EYES = ("goggles and face shield", "goggles", "safety glasses")
_COAT = "laboratory coat"  # beside an eye protection that stands in a part of its own


@dataclass(frozen=True, slots=True)
class Cautions:
    """What to know about a substance or a solution of it before working with it.

    Fields:
        substance: its name.
        mass_percent: of the solution, none for the substance as supplied [%].
        basis: how the strength was come by.
        solvent: name of what it is dissolved in; empty for the substance as supplied.
        classes: hazard classes, each with the limit or rule behind it.
        statements: hazard statements a label needs, without those that another covers.
        pictograms: codes, after precedence.
        signal_word: "Danger", "Warning" or empty.
        precautions: stage ("prevention", "response", "storage", "disposal") and the statements to choose from.
        incompatibilities: dangerous pairs, the severe ones first.
        protection: what to wear and where to work.
        judged_by_test: what limits of concentration cannot decide.
        remarks: nearness to a limit, and where sources differ.
        deferral: who has the last word.
        sources: who says so, each once.
    """

    substance: str
    mass_percent: float | None
    basis: str
    solvent: str
    classes: tuple[HazardClass, ...]
    statements: tuple[HazardStatement, ...]
    pictograms: tuple[str, ...]
    signal_word: str
    precautions: tuple[tuple[str, tuple[Precaution, ...]], ...]
    incompatibilities: tuple[Incompatibility, ...]
    protection: tuple[str, ...]
    judged_by_test: tuple[str, ...]
    remarks: tuple[str, ...]
    deferral: str
    sources: tuple[str, ...]


def cautions(
    name: str,
    *,
    mass_percent: float | None = None,
    concentration_mol_per_L: float | None = None,
    density_g_per_mL: float | None = None,
    solvent: str = "water",
    strictest: bool = False,
) -> Cautions:
    """Return the cautions for a substance as supplied, or for a solution of it.

    Arguments:
        name: of the substance; hydrate and anhydrous salt are different substances, and the mass fraction counts the
            one named.
        mass_percent: mass fraction [%].
        concentration_mol_per_L: instead of it, with or without a density, see
            :func:`assaywright.chemistry.strength.strength_of_concentration` [mol/L].
        density_g_per_mL: of the solution [g/mL].
        solvent: what it is dissolved in; another than water adds its own classes, its flammability included.
        strictest: whether classes that only some sources give are counted.

    Returns: the cautions; effects of solute and solvent stand side by side and are not added up.

    Raises:
        Refusal: no such substance, no classification held, a content that cannot be, or two contents given.

    Source: UN GHS, with the limits of Regulation (EC) 1272/2008, as each class says; wording and protection ours.

    Example:
        >>> [one.code for one in cautions("KOH", concentration_mol_per_L=0.1, density_g_per_mL=1.003).statements]
        ['H315', 'H319']
    """
    wanted = substance(name)
    dissolved = (mass_percent is not None or concentration_mol_per_L is not None) and substance(solvent).name == WATER
    if dissolved and mass_percent != 100:
        wanted = solution_of_gas(wanted)
        name = wanted.name
    strength = _strength(wanted, mass_percent, concentration_mol_per_L, density_g_per_mL, solvent)
    if strength is None or strength.mass_percent == 100:
        classes = classify_pure(name)
    else:
        classes = classify_solution(name, strength.mass_percent, strictest=strictest)
        if substance(solvent).name != WATER:
            classes = _with_solvent(classes, solvent, strength.mass_percent)
    codes = tuple(dict.fromkeys(one.code for one in classes))
    less = spared(codes)
    return Cautions(
        wanted.name, strength.mass_percent if strength else None, strength.basis if strength else "as supplied",
        substance(solvent).name if strength else "", classes,
        tuple(HazardStatement(code, hazard_statement(code)) for code in codes if code not in less),
        pictograms(classes), signal_word(classes), _precautions(classes), _dangerous_pairs(name), _protection(classes),
        _judged_by_test(wanted, classes) if strength else (), _remarks(wanted.name, strength), DEFERRAL,
        _sources(classes, name),
    )


def solution_of_gas(held: Substance) -> Substance:
    """Return, for a gas, the substance under which its solutions in water are classified; any other as it is.

    Source: ammonia and its solutions have entries of their own in Regulation (EC) 1272/2008, Annex VI.

    Example:
        >>> solution_of_gas(substance("ammonia")).name
        'ammonia solution'
    """
    if held.state != "gas":
        return held
    return next((one for one in map(substance, substances())
                 if one.formula == held.formula and one.state == "solution"), held)


def spared(codes: Iterable[str]) -> frozenset[str]:
    """Return the statements that others among them make superfluous on a label: H400 beside H410, H318 beside H314.

    Source: Regulation (EC) 1272/2008, Article 27 and Annex III (from memory).
    """
    return frozenset(less for code in codes for less in _SPARES.get(code, ()))


def pictograms(classes: Iterable[HazardClass]) -> tuple[str, ...]:
    """Return the pictograms of classes, after precedence.

    The skull takes the place of the exclamation mark; corrosion takes it where it stands for skin or eye irritation,
    the health hazard where it stands for skin effects beside sensitisation of the airways.

    Source: UN GHS, 1.4.10.5.3.1.
    """
    shown = [(one.name, label_element(one.name).pictogram) for one in classes if has_label_element(one.name)]
    found = {symbol for _, symbol in shown if symbol}
    exclaimed = [name for name, symbol in shown if symbol == "GHS07"]
    if any(name.startswith(("Skin Corr.", "Eye Dam.")) for name, _ in shown):
        exclaimed = [name for name in exclaimed if not name.startswith(("Skin Irrit.", "Eye Irrit."))]
    if any(name.startswith("Resp. Sens.") for name, _ in shown):
        exclaimed = [name for name in exclaimed if not name.startswith(("Skin Sens.", "Skin Irrit.", "Eye Irrit."))]
    if "GHS06" in found or not exclaimed:
        found.discard("GHS07")
    return tuple(sorted(found))


def signal_word(classes: Iterable[HazardClass]) -> str:
    """Return the signal word of classes: "Danger" drives out "Warning" (UN GHS, 1.4.10.5.3.2); empty where none is."""
    words = {label_element(one.name).signal_word for one in classes if has_label_element(one.name)}
    return "Danger" if "Danger" in words else "Warning" if "Warning" in words else ""


def _strength(
    wanted: Substance, mass_percent: float | None, concentration_mol_per_L: float | None,
    density_g_per_mL: float | None, solvent: str,
) -> Strength | None:
    if mass_percent is not None and concentration_mol_per_L is not None:
        raise Refusal(f"both a mass fraction and a concentration of {wanted.name}", where="cautions",
                      remedy="give one of them")
    if mass_percent is not None:
        return strength_of_mass_percent(mass_percent)
    if concentration_mol_per_L is not None:
        return strength_of_concentration(wanted, concentration_mol_per_L, density_g_per_mL, substance(solvent).name)
    return None


def _with_solvent(
    classes: tuple[HazardClass, ...], solvent: str, mass_percent: float
) -> tuple[HazardClass, ...]:
    """Return the classes with those of the solvent, which stays flammable though something is dissolved in it."""
    burning = tuple(one for one in classify_pure(solvent) if one.name.startswith("Flam."))
    found = {one.name: one for one in (*classes, *classify_solution(solvent, 100 - mass_percent), *burning)}
    return tuple(found.values())


def _precautions(classes: Sequence[HazardClass]) -> tuple[tuple[str, tuple[Precaution, ...]], ...]:
    found = []
    for stage in STAGES:
        chosen = dict.fromkeys(one for item in classes for one in precautions(item.name, stage))
        if any(one.code == "P260" for one in chosen):
            chosen = {one: None for one in chosen if one.code != "P261"}
        found.append((stage, tuple(chosen)))
    return tuple(found)


def _protection(classes: Sequence[HazardClass]) -> tuple[str, ...]:
    asked = [protection(one.name) for one in classes]
    eyes = next((one for one in _STRONGER_EYES if one in {item.eyes for item in asked}), "")
    skin = list(dict.fromkeys(item.skin for item in asked if item.skin))
    if len(skin) > 1:
        skin = [one for one in skin if one != "gloves"]
    breathing = dict.fromkeys(item.breathing for item in asked if item.breathing)
    return worn_together([(*ALWAYS, eyes, *skin, *breathing)])


def worn_together(protections: Iterable[Sequence[str]]) -> tuple[str, ...]:
    """Return what several substances ask for as one: the strongest protection of eyes and hands alone, no weaker one.

    Arguments:
        protections: of each, see :class:`Cautions`.

    Example:
        >>> worn_together([("laboratory coat and safety glasses", "gloves"), ("laboratory coat", "goggles")])
        ('laboratory coat', 'goggles', 'gloves')
    """
    parts = list(dict.fromkeys((*ALWAYS, *(part for each in protections for part in each if part))))
    eyes = next((one for one in _STRONGER_EYES[:2] if one in parts), "")
    resists = any(part.startswith("gloves that") for part in parts)
    weaker = {*_STRONGER_EYES, _COAT, *(ALWAYS if eyes else ()), *(["gloves"] if resists else [])}
    return (*((_COAT, eyes) if eyes else ()), *(part for part in parts if part not in weaker))


def _dangerous_pairs(name: str) -> tuple[Incompatibility, ...]:
    return tuple(sorted(incompatibilities(name), key=lambda one: _SEVERITIES.index(one.severity)))


def _judged_by_test(wanted: Substance, classes: Sequence[HazardClass]) -> tuple[str, ...]:
    own, given = own_classes(wanted.name), {one.name for one in classes}
    found = []
    if any(one.startswith("Ox.") for one in own) and not any(one.startswith("Ox.") for one in given):
        found.append("oxidising power of the solution (H271, H272)")
    if any(one.startswith("Flam.") for one in own) and not any(one.startswith("Flam.") for one in given):
        found.append("flash point of the solution (H224, H225, H226)")
    corrodes = "Met. Corr. 1" in own or {"acids", "strong alkali"} & set(wanted.groups)
    if corrodes and "Met. Corr. 1" not in given:
        found.append("corrosion of metals (H290), which suppliers often add to acids and alkalis")
    return tuple(found)


def _remarks(name: str, strength: Strength | None) -> tuple[str, ...]:
    found = [f"{one.form}: {one.source} classifies it as {'; '.join(one.hazard_classes)}"
             for one in hazards(name) if not one.chosen]
    found.extend(dict.fromkeys(one.note for one in hazards(name) if one.chosen and one.note))
    if strength is not None:
        found.extend(limits_near(name, strength.mass_percent))
    return tuple(found)


def limits_near(name: str, mass_percent: float, *, within: float = CLOSE_TO_A_LIMIT) -> tuple[str, ...]:
    """Return which limits of concentration a strength lies close to, in sentences without their ends.

    Arguments:
        name: of the substance.
        mass_percent: of the solution [%].
        within: how close, as a share of the limit.

    Raises:
        Refusal: no such substance, or no classification of it is held.
    """
    limits = [one for one in concentration_limits(name) if one.chosen]
    limits.extend(rule.limit for own in own_classes(name) for rule in generic_limits(own) if not rule.is_weighted)
    edges = sorted({edge for one in limits for edge in (one.from_percent, one.below_percent) if edge})
    return tuple(f"{mass_percent:.4g} % lies close to a limit at {edge:g} %: density and rounding decide"
                 for edge in edges if abs(mass_percent - edge) < within * edge)


def _sources(classes: Sequence[HazardClass], name: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys([*(f"{one.source} ({one.status})" for one in classes),
                                *(f"{one.source} ({one.status})" for one in incompatibilities(name))]))
