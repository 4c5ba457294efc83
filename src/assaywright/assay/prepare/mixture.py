"""The one model of making and adjusting: masses and the substance in them add up; volumes never do."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from assaywright.assay.prepare.contents import FinalDensity
from assaywright.assay.terms import InputList
from assaywright.chemistry.content_units import SCALES, counts, is_by_volume
from assaywright.chemistry.counting import Counting
from assaywright.chemistry.formula import molar_mass
from assaywright.chemistry.solute import Solute
from assaywright.metrology.estimate import Estimate, exact
from assaywright.metrology.model import Means, Model

MASS_BALANCE = "conservation of mass"
PERCENT = "% w/w"


@dataclass(frozen=True, slots=True)
class Part:
    """One of the liquids or solids that are put together.

    Fields:
        tag: a letter for the symbols ("A").
        name: in words.
        amount: as measured out or read [g or mL].
        error: what the measuring leaves open, estimate zero [g or mL].
        content: of the substance [% w/w].
        density: for an amount by volume, at its temperature [g/mL]; none for a mass.
        unmixed: mass that the reading counts and that does not take part [g].
        text: the amount as printed.
        source: where the amount is from.
        content_text, content_source: of the content.
        density_source: of the density.
    """

    tag: str
    name: str
    amount: float
    error: Estimate
    content: Estimate
    density: Estimate | None = None
    unmixed: Estimate | None = None
    text: str = ""
    source: str = ""
    content_text: str = ""
    content_source: str = ""
    density_source: str = ""


@dataclass(frozen=True, slots=True)
class Filled:
    """A vessel filled to its mark or gauge.

    Fields:
        volume_mL: as marked or read [mL].
        error: what its tolerance leaves open, estimate zero [mL].
        ratio: content by volume at 20 °C over that at the temperature of filling; one at 20 °C [1].
        text, source: of the volume.
        ratio_source: of the ratio.
    """

    volume_mL: float
    error: Estimate
    ratio: Estimate
    text: str = ""
    source: str = ""
    ratio_source: str = ""


def mixture_model(
    parts: Sequence[Part], solute: Solute, unit: str, *, filled: Filled | None = None,
    density: FinalDensity | None = None, counting: Counting | None = None,
) -> Model:
    """Return the model of the content that a mixture has.

    w = sum(m_i w_i)/sum(m_i) by mass; gamma = sum(m_i w_i)/V in a vessel filled to its mark; between the two stands the
    mixture's own density, a straight line near the content aimed at.

    Arguments:
        parts: what is put together.
        solute: the substance.
        unit: of content.
        filled: the vessel, when it is filled to a mark; the masses alone otherwise.
        density: of the mixture, needed where mass meets volume [g/mL].
        counting: the reaction, for eq/L.

    Source: conservation of mass; definitions of the units, IUPAC Green Book, 3rd edition, 2.10.
    """
    inputs = InputList()
    names = [_add_part(inputs, part) for part in parts]
    substance = _substance_term(names)
    if filled is not None:
        content = _by_mark(inputs, filled, substance, density if not is_by_volume(unit) else None)
    else:
        content = _by_masses(inputs, substance, density if is_by_volume(unit) else None, unit)
    stated = _stated(inputs, solute, unit, counting, done=filled is None and unit == PERCENT)

    def equation(x: Mapping[str, Any], m: Means) -> Any:
        return stated(x, m, content(x, m))

    return Model(equation, inputs.items, unit, "y", f"content of {solute.name}")


_Names = tuple[Part, str, str, str, str, str]


def _add_part(inputs: InputList, part: Part) -> _Names:
    by_mass = part.density is None
    letter = "m" if by_mass else "V"
    unit = "g" if by_mass else "mL"
    symbol = f"{letter}_{part.tag}"
    amount = inputs.add_exact(f"{symbol}′", f"{part.name}, measured", part.amount, unit, text=part.text,
                              source=part.source)
    error = inputs.add(f"δ{symbol}", f"open error of measuring {part.name}", part.error, source=part.source)
    content = inputs.add(f"w_{part.tag}", f"content of {part.name}", part.content, text=part.content_text,
                         source=part.content_source)
    density = unmixed = ""
    if part.density is not None:
        density = inputs.add(f"ρ_{part.tag}", f"density of {part.name}", part.density, source=part.density_source)
    if part.unmixed is not None:
        unmixed = inputs.add(f"m_d{part.tag}", f"{part.name} that does not mix", part.unmixed)
    return part, amount, error, content, density, unmixed


def _substance_term(names: Sequence[_Names]) -> Callable[[Mapping[str, Any], Means], tuple[Any, Any]]:
    """Return the term for the mass of the mixture [g] and of the substance in it [g]."""

    def term(x: Mapping[str, Any], m: Means) -> tuple[Any, Any]:
        total: Any = None
        held: Any = None
        for part, amount, error, content, density, unmixed in names:
            mass = x[amount] + x[error]
            if density:
                mass = mass * x[density]
            if unmixed:
                mass = mass - x[unmixed]
            mass = m.step(f"m_{part.tag}", f"mass of {part.name}", mass, "g")
            share = mass * x[content]
            total = mass if total is None else total + mass
            held = share if held is None else held + share
        return m.step("m", "mass of the mixture", total, "g", MASS_BALANCE), m.step(
            "s", "substance in it", held / 100, "g", MASS_BALANCE)

    return term


def _by_masses(
    inputs: InputList, substance: Callable[[Mapping[str, Any], Means], tuple[Any, Any]], density: FinalDensity | None,
    unit: str,
) -> Callable[[Mapping[str, Any], Means], Any]:
    """Return the term for g/L with a density, else for g/kg, or for the per cent by mass if that is the unit."""
    names = _add_density(inputs, density) if density is not None else None

    def term(x: Mapping[str, Any], m: Means) -> Any:
        mass, held = substance(x, m)
        percent = m.step("w", "content of the mixture", 100 * held / mass, "% w/w")
        if names is None:
            return percent if unit == PERCENT else m.step("w_1", "mass in a kilogram", 10 * percent, "g/kg")
        at, aimed, slope = names
        rho = m.step("ρ", "density of the mixture", x[at] + x[slope] * (percent - x[aimed]), "g/mL")
        return m.step("γ", "mass concentration", 10 * percent * rho, "g/L")

    return term


def _add_density(inputs: InputList, density: FinalDensity) -> tuple[str, str, str]:
    at = inputs.add("ρ_0", "density at the content aimed at", density.density, source=density.source)
    aimed = inputs.add_exact("w_0", "content aimed at", density.mass_percent, "% w/w")
    slope = inputs.add_exact("k_ρ", "change of the density with the content", density.slope, "g/mL per % w/w",
                             source=density.source)
    return at, aimed, slope


def _by_mark(
    inputs: InputList, filled: Filled, substance: Callable[[Mapping[str, Any], Means], tuple[Any, Any]],
    density: FinalDensity | None,
) -> Callable[[Mapping[str, Any], Means], Any]:
    """Return the term for g/L in a filled vessel, or with a density for g/kg."""
    volume = inputs.add_exact("V′", "volume made up", filled.volume_mL, "mL", text=filled.text, source=filled.source)
    error = inputs.add("δV", "open error of the volume", filled.error, source=filled.source)
    ratio = inputs.add("q", "content at 20 °C over content when filled", filled.ratio, source=filled.ratio_source)
    rho = inputs.add("ρ_0", "density of the solution", density.density, source=density.source) if density else ""

    def term(x: Mapping[str, Any], m: Means) -> Any:
        _, held = substance(x, m)
        made = m.step("V", "volume of the solution", x[volume] + x[error], "mL")
        value = m.step("γ", "mass concentration at 20 °C", 1000 * held / made * x[ratio], "g/L")
        return m.step("w", "mass in a kilogram", value / x[rho], "g/kg") if rho else value

    return term


def _stated(
    inputs: InputList, solute: Solute, unit: str, counting: Counting | None, *, done: bool
) -> Callable[[Mapping[str, Any], Means, Any], Any]:
    """Return the term that brings g/L or g/kg to the unit of the content."""
    counted = counts(unit)
    mass = per_mole = ""
    if counted != "mass":
        mass = inputs.add("M", f"molar mass of {solute.formula.text}", molar_mass(solute.formula),
                          source="standard atomic weights")
    if counted == "equivalents" and counting is not None:
        per_mole = inputs.add("z", f"equivalents of {solute.formula.text} per mole", exact(float(counting.number)),
                              source=counting.reaction)

    def term(x: Mapping[str, Any], m: Means, value: Any) -> Any:
        if done:
            return value
        if mass:
            value = (m.step("c", "amount concentration", value / x[mass], "mol/L") if is_by_volume(unit) else
                     m.step("k_B", "amount content, per kilogram of solution", value / x[mass], "mol/kg"))
        if per_mole:
            value = m.step("c_eq", "concentration of equivalents", value * x[per_mole], "eq/L")
        scale = SCALES[unit]
        return value if scale == 1.0 else value * scale

    return term
