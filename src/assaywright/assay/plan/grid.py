"""Many setups of one shape at once: a method and a way, every titrant and vessel of the shelf, as arrays.

Each choice is assembled once by the same parts as a worksheet; which inputs of the model it brings is found by looking.
The equation is that of the worksheet, evaluated for all combinations together.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from assaywright.assay import glass
from assaywright.assay.assemble import assemble
from assaywright.assay.corrections.weighing import linearity_error
from assaywright.assay.modelling import modelled, plain_values
from assaywright.assay.observations import Worksheet
from assaywright.assay.plan.setup import BACK, BY_MASS, WEIGHED, Setup
from assaywright.assay.terms import numbered
from assaywright.assay.turned_by_curve import late_mL
from assaywright.assay.upstream import Upstream
from assaywright.metrology.batch import BatchInput, BatchResult, evaluate_batch
from assaywright.metrology.estimate import Contribution, Estimate
from assaywright.metrology.model import Model, ModelInput, evaluate_plain
from assaywright.metrology.monte_carlo import ArrayMeans

Array = npt.NDArray[np.float64]
Indices = npt.NDArray[np.intp]
Truths = npt.NDArray[np.bool_]
OPEN_REPEATABILITY, OF_THE_TOTAL = "δw", "δT"  # of the content, or of the volume for the total alkali
ADDED_LATER = (OPEN_REPEATABILITY, OF_THE_TOTAL, "δP")  # by the evaluation, once the determinations are known
TITRATION = "₁"  # behind the symbols of the titration's own readings
FIRST_READING = {"two endpoints": ("R_P", "C_P", "δVP"), "barium chloride": ("R_f_H", "C_f_H", "δV_H")}
REFERENCE_PORTION_G, START_ML = 1.0, 1.7
ROUNDS = 3  # of the secant rule: once more where the burette's correction bends along the scale
# What a weighed portion leaves of a reagent in excess: common practice, no source; a quarter to a half is usual.
SHARE_LEFT = 1 / 3
LEAST_USE, WANTED_USE = 0.30, 0.80  # of the burette: USP <541>, read in a public transcription; common practice


@dataclass(frozen=True, slots=True)
class Readings:
    """What is expected to be read, for each combination.

    Fields:
        titre_mL: final reading of the burette [mL].
        portion_g: mass of the portion [g]; zero where it is pipetted.
        blank_mL: reading of a blank titrated likewise, which is all of the reagent [mL]; zero but in a back titration.
    """

    titre_mL: Array
    portion_g: Array
    blank_mL: Array

    def only(self, kept: Indices) -> "Readings":
        """Return those of some of the combinations."""
        return Readings(self.titre_mL[kept], self.portion_g[kept], self.blank_mL[kept])


@dataclass(frozen=True, slots=True)
class _Delivered:
    """A reading of the burette, and the names of the inputs for it, its correction and the scale's open error."""

    read: str
    correction: str
    error: str
    reading_mL: Array


def model_of(worksheet: Worksheet, setup: Setup, upstream: Upstream) -> Model:
    """Return the measurement model of an expected worksheet, as an evaluation would build it."""
    return next(_models(worksheet, setup, upstream))


def models_of(worksheet: Worksheet, setup: Setup, upstream: Upstream) -> tuple[Model, ...]:
    """Return the models of all that the titrations of an expected worksheet say; the first is what is planned for."""
    return tuple(_models(worksheet, setup, upstream))


def _models(worksheet: Worksheet, setup: Setup, upstream: Upstream) -> Iterator[Model]:
    assembly = assemble(worksheet, setup.method, upstream)
    titres = plain_values(assembly.titre_terms, assembly)
    for one in assembly.measured:
        yield modelled(assembly, one, titres)[2]


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
        foreseen: the same with the reagent's concentration known, from which blanks titrated likewise are foreseen.
    """

    base: Setup
    choices: Mapping[str, Sequence[Any]]
    index: Mapping[str, Indices]
    model: Model
    owned: Mapping[str, Mapping[str, Sequence[Estimate]]]
    nominal: float
    foreseen: "Grid | None" = None

    def __len__(self) -> int:
        """Return the number of combinations."""
        return len(next(iter(self.index.values())))

    def capacity_mL(self) -> Array:
        """Return the burette's scale for each combination [mL]."""
        return np.array([one.nominal.to("mL") for one in self.choices["burette"]])[self.index["burette"]]

    def only(self, kept: Indices) -> "Grid":
        """Return some of the combinations."""
        foreseen = self.foreseen.only(kept) if self.foreseen is not None else None
        return replace(self, index={field: numbers[kept] for field, numbers in self.index.items()}, foreseen=foreseen)

    def setup(self, number: int, readings: Readings) -> Setup:
        """Return one combination as a setup with its readings."""
        chosen = {field: self.choices[field][numbers[number]] for field, numbers in self.index.items()}
        return replace(self.base, titre_mL=float(readings.titre_mL[number]),
                       portion_g=float(readings.portion_g[number]), blank_mL=float(readings.blank_mL[number]),
                       late_mL=float(self._late(readings.titre_mL)[number]), **chosen)

    # --- values ---------------------------------------------------------------------------------------------------

    def values(self, readings: Readings) -> Array:
        """Return the content that readings would give [unit of the result]."""
        here: dict[str, Any] = {name: given.estimate.value for name, given in self.model.inputs.items()}
        for field, inputs in self.owned.items():
            for name, estimates in inputs.items():
                here[name] = np.array([one.value for one in estimates])[self.index[field]]
        for one in self._deliveries(readings):
            here[one.read], here[one.correction] = one.reading_mL, self._corrections(one.reading_mL)
        if self.base.way in BY_MASS:
            mark = _mark(self.base)
            here[f"W_g{mark}"] = here[f"W_t{mark}"] + readings.portion_g
        return np.broadcast_to(np.asarray(self.model.equation(here, ArrayMeans()), dtype=float), (len(self),))

    def _deliveries(self, readings: Readings) -> list["_Delivered"]:
        """Return what is read on the burette: the titration's own readings, then those of its blanks."""
        found = [_Delivered(f"R_f{TITRATION}", f"C_f{TITRATION}", f"δV{TITRATION}", readings.titre_mL)]
        if "pH_e" in self.model.inputs and self.base.first_share is not None:
            first = (readings.titre_mL - self._late(readings.titre_mL)) * self.base.first_share
            read, correction, error = (f"{name}{TITRATION}" for name in FIRST_READING[self.base.method.scheme])
            found.append(_Delivered(read, correction, error, first))
        for number in range(1, self.base.blanks + 1):
            mark = f"_B{numbered(number)}"
            found.append(_Delivered(f"R_f{mark}", f"C_f{mark}", f"δV{mark}", readings.blank_mL))
        return found

    def _late(self, titre_mL: Array) -> Array:
        """Return by what the second of two endpoints misses, for each combination [mL]."""
        if "c_t" not in self.model.inputs:
            return np.zeros(len(self))
        strength: Any = self.model.inputs["c_t"].estimate.value
        for field, inputs in self.owned.items():
            if "c_t" in inputs:
                strength = np.array([one.value for one in inputs["c_t"]])[self.index[field]]
        late = late_mL(self.base.method, strength, titre_mL, titre_mL * self.base.carbonate / 2)
        return np.broadcast_to(np.asarray(late, dtype=float), (len(self),))

    def _corrections(self, reading_mL: Array) -> Array:
        found = np.zeros(len(self))
        for number, burette in enumerate(self.choices["burette"]):
            if burette.corrections:
                where = np.flatnonzero(self.index["burette"] == number)
                found[where] = [glass.scale_correction(burette, float(reading_mL[at])) for at in where]
        return found

    def expected(self) -> Readings:
        """Return the readings that the nominal content leads to.

        A pipetted portion settles the titre. A weighed one is chosen: for 80 % of the burette, or in a back titration
        so that a third of the reagent is left, but no less than 30 % of the burette. The content is inversely as the
        mass, the concentration of a titrant sought as the mass itself.
        """
        if self.foreseen is not None:
            return self.foreseen.expected()
        none, one_gram = np.zeros(len(self)), np.full(len(self), REFERENCE_PORTION_G)
        capacity = self.capacity_mL()
        blank, wanted = none, WANTED_USE * capacity
        if self.base.method.scheme == BACK:
            blank = self.titre_at(0.0, one_gram)
            wanted = np.maximum(SHARE_LEFT * blank, LEAST_USE * capacity)
        if self.base.way not in BY_MASS:
            return Readings(self.titre_at(self.nominal, none), none, blank)
        found = self.values(Readings(wanted, one_gram, blank))
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = self.nominal / found if self.base.method.kind == "standardisation" else found / self.nominal
        return Readings(wanted, one_gram * ratio, blank)

    def titre_at(self, content: float, portion_g: Array) -> Array:
        """Return the titre that a content leads to [mL], by the secant rule.

        The content is a straight line in the titre; the concentration of a titrant in the burette is inversely as it.

        Arguments:
            content: [unit of the result].
            portion_g: mass of the portion where it is weighed [g].
        """
        inverse = self.base.against is not None and not self.base.known_in_burette
        capacity, none = self.capacity_mL(), np.zeros(len(self))
        near, titre = 0.5 * WANTED_USE * capacity, WANTED_USE * capacity

        def measure(reading: Array) -> Array:
            found = self.values(Readings(reading, portion_g, none))
            return 1 / found if inverse else found

        wanted = 1 / content if inverse else content
        for _ in range(ROUNDS):
            with np.errstate(divide="ignore", invalid="ignore"):
                below, above = measure(near), measure(titre)
                near, titre = titre, near + (wanted - below) * (titre - near) / (above - below)
            near = np.where(np.abs(near - titre) > 1e-9, near, 0.5 * titre)
        return titre

    # --- uncertainty ----------------------------------------------------------------------------------------------

    def propagated(self, readings: Readings) -> BatchResult:
        """Return the results of one determination each, with their contributions.

        Arguments:
            readings: as expected.
        """
        inputs = {name: _constant(given.estimate) for name, given in self.model.inputs.items()}
        for field, owned in self.owned.items():
            for name, estimates in owned.items():
                inputs[name] = _chosen(estimates, self.index[field])
        for one in self._deliveries(readings):
            inputs[one.read] = BatchInput(one.reading_mL)
            inputs[one.correction] = BatchInput(self._corrections(one.reading_mL))
            inputs[one.error] = _each(self._burette_errors(one.reading_mL))
        if OF_THE_TOTAL in inputs:
            scale = readings.titre_mL / self.base.titre_mL
            inputs[OF_THE_TOTAL] = BatchInput(0.0, tuple(
                (part, part.amount * scale) for part in self.model.inputs[OF_THE_TOTAL].estimate.contributions))
        if self.base.way in BY_MASS:
            mark = _mark(self.base)
            gross = inputs[f"W_t{mark}"].values + readings.portion_g
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
    if base.excess is not None:  # a start from which no result is zero: more for the blank than for the sample
        base = replace(base, titre_mL=START_ML, blank_mL=2 * START_ML if base.blanks else 0.0)
    model = model_of(expect(base), base, upstream)
    owned: dict[str, dict[str, list[Estimate]]] = {}
    for field, several in choices.items():
        found = [model.inputs] + [_inputs(replace(base, **{field: one}), expect, upstream) for one in several[1:]]
        names = [name for name in model.inputs if name not in ADDED_LATER
                 and any(one[name].estimate != model.inputs[name].estimate for one in found[1:])]
        owned[field] = {name: [one[name].estimate for one in found] for name in names}
    names = [name for inputs in owned.values() for name in inputs]
    if len(set(names)) != len(names):
        raise RuntimeError("an input hangs on two choices at once, a fault of the program")
    foreseen = grid_of(replace(base, blanks=0), choices, index, expect, upstream, nominal) if base.blanks else None
    return Grid(base, choices, index, _at_nominal(model, nominal), owned, nominal, foreseen)


def _inputs(setup: Setup, expect: Callable[[Setup], Worksheet], upstream: Upstream) -> Mapping[str, ModelInput]:
    return assemble(expect(setup), setup.method, upstream).inputs.items


def _at_nominal(model: Model, nominal: float) -> Model:
    """Return the model with the relative repeatability taken of the nominal content, not of the base's."""
    if OPEN_REPEATABILITY not in model.inputs:
        return model
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
