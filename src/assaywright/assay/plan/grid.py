"""Many setups of one shape at once: a method and a way, every titrant and vessel of the shelf, as arrays.

Each choice is assembled once by the same parts as a worksheet; which inputs of the model it brings is found by looking.
The equation is that of the worksheet, evaluated for all combinations together.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from assaywright.assay import glass
from assaywright.assay.assemble import assemble
from assaywright.assay.corrections.weighing import linearity_error
from assaywright.assay.modelling import modelled, plain_values
from assaywright.assay.observations import Worksheet
from assaywright.assay.plan.setup import BY_MASS, WEIGHED, Setup
from assaywright.assay.upstream import Upstream
from assaywright.metrology.batch import BatchInput, BatchResult, evaluate_batch
from assaywright.metrology.estimate import Contribution, Estimate
from assaywright.metrology.model import Model, ModelInput, evaluate_plain
from assaywright.metrology.monte_carlo import ArrayMeans

Array = npt.NDArray[np.float64]
Indices = npt.NDArray[np.intp]
Truths = npt.NDArray[np.bool_]
FINAL, FINAL_CORRECTION, BURETTE_ERROR, OPEN_REPEATABILITY = "R_f₁", "C_f₁", "δV₁", "δw"
REFERENCE_PORTION_G = 1.0


def model_of(worksheet: Worksheet, setup: Setup, upstream: Upstream) -> Model:
    """Return the measurement model of an expected worksheet, as an evaluation would build it."""
    assembly = assemble(worksheet, setup.method, upstream)
    titres = plain_values(assembly.titre_terms, assembly)
    return modelled(assembly, assembly.measured[0], titres)[2]


@dataclass(frozen=True, slots=True)
class Grid:
    """The combinations of one method and one way.

    Fields:
        base: the setup that the others differ from by their choices.
        choices: field of the setup to what may stand there.
        index: field of the setup to the number of the choice, one for each combination.
        model: of the base.
        owned: field to the inputs that its choice brings: name to the estimate by choice.
        nominal: content or concentration expected [unit of the result].
    """

    base: Setup
    choices: Mapping[str, Sequence[Any]]
    index: Mapping[str, Indices]
    model: Model
    owned: Mapping[str, Mapping[str, Sequence[Estimate]]]
    nominal: float

    def __len__(self) -> int:
        """Return the number of combinations."""
        return len(next(iter(self.index.values())))

    def capacity_mL(self) -> Array:
        """Return the burette's scale for each combination [mL]."""
        return np.array([one.nominal.to("mL") for one in self.choices["burette"]])[self.index["burette"]]

    def only(self, kept: Indices) -> "Grid":
        """Return some of the combinations."""
        return replace(self, index={field: numbers[kept] for field, numbers in self.index.items()})

    def setup(self, number: int, titre_mL: float, portion_g: float) -> Setup:
        """Return one combination as a setup with its readings [mL, g]."""
        chosen = {field: self.choices[field][numbers[number]] for field, numbers in self.index.items()}
        return replace(self.base, titre_mL=titre_mL, portion_g=portion_g, **chosen)

    # --- values ---------------------------------------------------------------------------------------------------

    def values(self, titre_mL: Array, portion_g: Array) -> Array:
        """Return the content that readings would give [unit of the result].

        Arguments:
            titre_mL: final reading [mL].
            portion_g: mass of the portion where it is weighed [g].
        """
        here: dict[str, Any] = {name: given.estimate.value for name, given in self.model.inputs.items()}
        for field, inputs in self.owned.items():
            for name, estimates in inputs.items():
                here[name] = np.array([one.value for one in estimates])[self.index[field]]
        here[FINAL], here[FINAL_CORRECTION] = titre_mL, self._corrections(titre_mL)
        if self.base.way in BY_MASS:
            mark = _mark(self.base)
            here[f"W_g{mark}"] = here[f"W_t{mark}"] + portion_g
        return np.broadcast_to(np.asarray(self.model.equation(here, ArrayMeans()), dtype=float), (len(self),))

    def _corrections(self, titre_mL: Array) -> Array:
        found = np.zeros(len(self))
        for number, burette in enumerate(self.choices["burette"]):
            if burette.corrections:
                where = np.flatnonzero(self.index["burette"] == number)
                found[where] = [glass.scale_correction(burette, float(titre_mL[at])) for at in where]
        return found

    def expected(self, wanted_titre_mL: Array) -> tuple[Array, Array]:
        """Return titre [mL] and mass of the portion [g] that the nominal content leads to.

        A pipetted portion settles the titre: the content is a straight line in it. A weighed one is chosen for the
        titre wanted: the content is inversely as the mass, the concentration of a titrant sought as the mass itself.

        Arguments:
            wanted_titre_mL: for weighed portions [mL].
        """
        portion = np.full(len(self), REFERENCE_PORTION_G)
        found = self.values(wanted_titre_mL, portion)
        if self.base.way in BY_MASS:
            standardised = self.base.method.kind == "standardisation"
            with np.errstate(divide="ignore", invalid="ignore"):
                ratio = self.nominal / found if standardised else found / self.nominal
            return wanted_titre_mL, portion * ratio
        near, titre = 0.5 * wanted_titre_mL, wanted_titre_mL
        for _ in range(3):  # a second and third time, where the burette's correction bends along the scale
            below, above = self.values(near, portion), self.values(titre, portion)
            with np.errstate(divide="ignore", invalid="ignore"):
                near, titre = titre, near + (self.nominal - below) * (titre - near) / (above - below)
            near = np.where(np.abs(near - titre) > 1e-9, near, 0.5 * titre)
        return titre, np.zeros(len(self))

    # --- uncertainty ----------------------------------------------------------------------------------------------

    def propagated(self, titre_mL: Array, portion_g: Array) -> BatchResult:
        """Return the results of one determination each, with their contributions.

        Arguments:
            titre_mL, portion_g: as expected [mL, g].
        """
        inputs = {name: _constant(given.estimate) for name, given in self.model.inputs.items()}
        for field, owned in self.owned.items():
            for name, estimates in owned.items():
                inputs[name] = _chosen(estimates, self.index[field])
        inputs[FINAL] = BatchInput(titre_mL)
        inputs[FINAL_CORRECTION] = BatchInput(self._corrections(titre_mL))
        inputs[BURETTE_ERROR] = _each(self._burette_errors(titre_mL))
        if self.base.way in BY_MASS:
            mark = _mark(self.base)
            gross = inputs[f"W_t{mark}"].values + portion_g
            inputs[f"W_g{mark}"] = BatchInput(gross)
            inputs[f"δW_g{mark}"] = _each(self._linearity_errors(f"δW_g{mark}", gross))
        return evaluate_batch(self.model.equation, inputs, len(self))

    def _burette_errors(self, titre_mL: Array) -> list[Estimate]:
        burettes, index = self.choices["burette"], self.index["burette"]
        return [glass.scale_error(burettes[at], [(0.0, reading)])
                for at, reading in zip(index.tolist(), titre_mL.tolist(), strict=True)]

    def _linearity_errors(self, name: str, gross_g: Array) -> list[Estimate]:
        """Return what linearity leaves open at each load, under the keys that the assembly gave it at another."""
        estimate, balance = self.model.inputs[name].estimate, self.base.balance
        if balance is None or balance.linearity is None or not estimate.contributions:
            return [estimate] * len(self)
        part = estimate.contributions[0]
        key, label = (text.rpartition(", ")[0] for text in (part.key, part.label))
        uncertainty = balance.linearity.uncertainty_in("g")
        return [linearity_error(key, label, load, uncertainty, part.distribution) for load in gross_g.tolist()]


def grid_of(
    base: Setup, choices: Mapping[str, Sequence[Any]], index: Mapping[str, Indices],
    expect: Callable[[Setup], Worksheet], upstream: Upstream, nominal: float,
) -> Grid:
    """Return a grid, assembling the base once and each other choice once.

    Arguments:
        base: with the first of every choice.
        choices, index: see :class:`Grid`.
        expect: returns the worksheet expected of a setup.
        upstream: for the solutions' own worksheets.
        nominal: expected [unit of the result].
    """
    model = model_of(expect(base), base, upstream)
    owned: dict[str, dict[str, list[Estimate]]] = {}
    for field, several in choices.items():
        found = [model.inputs] + [_inputs(replace(base, **{field: one}), expect, upstream) for one in several[1:]]
        names = [name for name in model.inputs if name != OPEN_REPEATABILITY
                 and any(one[name].estimate != model.inputs[name].estimate for one in found[1:])]
        owned[field] = {name: [one[name].estimate for one in found] for name in names}
    names = [name for inputs in owned.values() for name in inputs]
    if len(set(names)) != len(names):
        raise RuntimeError("an input hangs on two choices at once, a fault of the program")
    return Grid(base, choices, index, _at_nominal(model, nominal), owned, nominal)


def _inputs(setup: Setup, expect: Callable[[Setup], Worksheet], upstream: Upstream) -> Mapping[str, ModelInput]:
    return assemble(expect(setup), setup.method, upstream).inputs.items


def _at_nominal(model: Model, nominal: float) -> Model:
    """Return the model with the relative repeatability taken of the nominal content, not of the base's."""
    found, _ = evaluate_plain(model)
    given = model.inputs[OPEN_REPEATABILITY]
    scaled = given.estimate.scaled(abs(nominal / found), given.estimate.unit)
    return replace(model, inputs={**model.inputs, OPEN_REPEATABILITY: replace(given, estimate=scaled)})


def _mark(base: Setup) -> str:
    """Return what stands behind the symbols of the portion's weighing."""
    return "₁" if base.way == WEIGHED else "s"


def _constant(estimate: Estimate) -> BatchInput:
    return BatchInput(estimate.value, tuple((part, part.amount) for part in estimate.contributions))


def _chosen(estimates: Sequence[Estimate], index: Indices) -> BatchInput:
    """Return an input whose estimate is that of the choice made."""
    values = np.array([one.value for one in estimates])[index]
    parts: dict[str, tuple[Contribution, Array]] = {}
    for number, one in enumerate(estimates):
        for part in one.contributions:
            amounts = parts.setdefault(part.key, (part, np.zeros(len(estimates))))[1]
            amounts[number] += part.amount
    return BatchInput(values, tuple((part, amounts[index]) for part, amounts in parts.values()))


def _each(estimates: Sequence[Estimate]) -> BatchInput:
    """Return an input that has an estimate of its own in each combination."""
    parts: dict[str, tuple[Contribution, Array]] = {}
    for number, one in enumerate(estimates):
        for part in one.contributions:
            if part.key not in parts:
                parts[part.key] = (part, np.zeros(len(estimates)))
            parts[part.key][1][number] += part.amount
    return BatchInput(np.array([one.value for one in estimates]), tuple(parts.values()))
