"""Dilutions: what an aliquot holds of the sample or standard that was made up, once or in several stages."""

from assaywright.assay.bench_terms import Bench
from assaywright.assay.observations import Dilution, Portion
from assaywright.assay.terms import Scope, Term, shared
from assaywright.assay.thermal import ThermalLaw
from assaywright.metrology.refusal import Refusal

DILUTION_LAW = ThermalLaw("water")


def in_aliquot(
    bench: Bench,
    dilution: Dilution,
    portion: Portion,
    whole: Term,
    tag: str,
    reference_degC: float,
    *,
    unit: str,
    what: str = "sample",
) -> Term:
    """Return the term for what an aliquot holds of all that was diluted.

    s = s_0 · a_1/T_1 · a_2/T_2 ..., a the aliquot of a dilution and T the whole of it, by volume or by mass alike. T is
    what the flask holds, not the sum of what was poured together.

    Arguments:
        dilution: with its further stages.
        portion: taken in one determination, of the last dilution.
        whole: of the sample or standard in the first dilution [mL or g].
        reference_degC: that volumes refer to [°C].
        unit: of ``whole``.

    Raises:
        Refusal: a dilution made up by volume whose aliquot is weighed, or the other way round.
    """
    stages = dilution.stages
    taken = (*(stage.portion for stage in stages[1:]), portion)
    shares = [
        _share(bench, stage, part, number, tag if number == len(stages) else "", reference_degC)
        for number, (stage, part) in enumerate(zip(stages, taken, strict=True), 1)
    ]
    whole = shared("s", whole)

    def term(scope: Scope) -> object:
        held = whole(scope)
        for aliquot, made_up in shares:
            held = held * aliquot(scope) / made_up(scope)
        return scope.m.step(f"s{tag}", f"{what} in the aliquot", held, unit)

    return term


def _share(
    bench: Bench, dilution: Dilution, portion: Portion, number: int, tag: str, reference_degC: float
) -> tuple[Term, Term]:
    """Return the terms for an aliquot and for the whole dilution; the last aliquot, of a tag, is that of a titration.

    By mass both have the same density, so buoyancy drops out of their ratio.
    """
    if (portion.mass is not None) != (dilution.total_mass is not None):
        raise Refusal(
            "the dilution is made up by one means and its aliquots are taken by another",
            where=f"{bench.worksheet.path}: dilution",
            remedy="make up and take aliquots both by volume, or weigh both",
        )
    mark = "" if number == 1 else f" {number}"
    aliquot_of = "aliquot" if tag else f"aliquot for dilution {number + 1}"
    once = not tag
    if portion.mass is not None and dilution.total_mass is not None:
        aliquot = bench.weighed(portion.mass, None, f"_a{tag or number}", aliquot_of, once=once)
        made_up = bench.weighed(dilution.total_mass, None, f"_d{mark.strip()}", f"whole dilution{mark}", once=True)
    else:
        temperature = portion.temperature
        aliquot = bench.contained(
            portion.pipette, temperature, DILUTION_LAW, reference_degC, aliquot_of, once=once
        )
        made_up = bench.contained(
            dilution.flask, dilution.temperature, DILUTION_LAW, reference_degC, f"dilution{mark}", once=True
        )
    return (aliquot if tag else shared(aliquot_of, aliquot)), shared(f"made up{mark}", made_up)
