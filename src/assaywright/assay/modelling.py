"""From the determinations of a measurand to the model of its mean: values, scatter, repeatability, equation."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from assaywright.assay.method import ALKALI_SCHEMES
from assaywright.assay.parts import Assembly
from assaywright.assay.schemes.common import Measured, mean_equation
from assaywright.assay.small_titre import least_of_small_titre
from assaywright.assay.statistics import Scatter, scatter
from assaywright.assay.terms import Scope, Term
from assaywright.metrology.estimate import influence, influence_key
from assaywright.metrology.model import Model, PlainMeans
from assaywright.metrology.refusal import Refusal

VOLUMES = {
    "two endpoints": ("first endpoint", "second endpoint"),
    "barium chloride": ("endpoint after barium chloride", "endpoint of the total alkali"),
}


def plain_values(terms: Sequence[Term], assembly: Assembly) -> list[float]:
    """Return the values of terms at the estimates, without uncertainty."""
    scope = Scope({name: given.estimate.value for name, given in assembly.inputs.items.items()}, PlainMeans())
    return [float(term(scope)) for term in terms]


def _value(term: Term, label: str, assembly: Assembly) -> float:
    """Return a determination's value; refuse one whose titrant is divided by and is nothing."""
    try:
        return plain_values([term], assembly)[0]
    except ZeroDivisionError:
        raise Refusal(
            "the net volume of titrant is zero, and no concentration follows from it",
            where=f"{assembly.worksheet.path}: determination {label}",
            remedy="check its readings and the blank, or take its table out and say so in a note",
        ) from None


def modelled(assembly: Assembly, measured: Measured, titres: list[float]) -> tuple[list[float], Scatter, Model]:
    """Return a measurand's determinations, their scatter, and the model of their mean with its repeatability."""
    worksheet = assembly.worksheet
    two = assembly.method.scheme in ALKALI_SCHEMES
    values = [_value(term, one.label, assembly) for term, one in zip(measured.terms, worksheet.determinations,
                                                                     strict=True)]
    counted = [number for number, one in enumerate(worksheet.determinations) if not one.excluded]
    if not counted:
        raise Refusal("every determination is left out", where=worksheet.path, remedy="titrate again")
    first = measured is assembly.measured[0]
    spread = scatter(
        [values[number] for number in counted],
        measured.unit,
        worksheet,
        assembly.method,
        _resolution(assembly, values, titres),
        assembly.remarks if first else [],
        least=least_of_small_titre(assembly, measured.terms[counted[0]], assembly.titre_terms[counted[0]],
                                   [titres[number] for number in counted]),
    )
    chosen = replace(measured, terms=tuple(measured.terms[number] for number in counted))
    name = ""
    if two and spread.relative_percent is not None:
        _volume_repeatability(assembly, spread, [titres[number] for number in counted])
    else:
        name = _repeatability(assembly, measured, spread)
    return values, spread, _model(assembly, chosen, mean_equation(chosen, name))


def _resolution(assembly: Assembly, values: list[float], titres: list[float]) -> float:
    """Return the step in which a determination's value moves because its final reading is read in steps."""
    one = assembly.worksheet.determinations[0].delivery
    if not one.fillings or not titres[0]:
        return 0.0
    return abs(values[0]) * one.fillings[-1].final.resolution / abs(titres[0])


def _repeatability(assembly: Assembly, measured: Measured, spread: Scatter) -> str:
    """Add the input for the repeatability of the mean, under the worksheet's own key.

    Returns: its name.
    """
    key = influence_key(
        "worksheet", assembly.worksheet.identity, assembly.method.name, f"repeatability of {measured.name}"
    )
    name = f"δw({measured.name})" if measured is not assembly.measured[0] else "δw"
    assembly.inputs.add(
        name,
        "open effect of repeatability on the mean",
        influence(
            key,
            0.0,
            spread.term.standard_uncertainty,
            measured.unit,
            degrees_of_freedom=spread.term.degrees_of_freedom,
            label=f"repeatability, worksheet {assembly.worksheet.identity}",
        ),
        source=spread.term.basis,
    )
    return name


def _volume_repeatability(assembly: Assembly, spread: Scatter, titres: list[float]) -> None:
    """Add the repeatability of both volumes, which hydroxide and carbonate take with opposite signs."""
    percent = Refusal.unless(spread.relative_percent, "there is no pooled repeatability")
    mean = sum(titres) / len(titres)
    uncertainty = percent / 100 * mean / len(titres) ** 0.5
    first, second = VOLUMES[assembly.method.scheme]
    for name, words in (("δP", first), ("δT", second)):
        key = influence_key("worksheet", assembly.worksheet.identity, assembly.method.name, f"repeatability of {words}")
        assembly.inputs.add(
            name,
            f"open effect of repeatability at the {words}",
            influence(
                key,
                0.0,
                uncertainty,
                "mL",
                degrees_of_freedom=spread.term.degrees_of_freedom,
                label=f"repeatability of the {words}, worksheet {assembly.worksheet.identity}",
            ),
            source=spread.term.basis,
        )


class _Noting(dict[str, Any]):
    """Input values that note which of them an equation takes."""

    def __init__(self, values: dict[str, Any]) -> None:
        super().__init__(values)
        self.taken: set[str] = set()

    def __getitem__(self, name: str) -> Any:
        self.taken.add(name)
        return super().__getitem__(name)


def _model(assembly: Assembly, measured: Measured, equation: Callable[[Any, Any], Any]) -> Model:
    """Return the model with just the inputs that its equation takes."""
    noting = _Noting({name: given.estimate.value for name, given in assembly.inputs.items.items()})
    equation(noting, PlainMeans())
    inputs = {name: given for name, given in assembly.inputs.items.items() if name in noting.taken}
    return Model(equation, inputs, measured.unit, "y", measured.name)
