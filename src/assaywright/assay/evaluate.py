"""Evaluate a worksheet: from its readings to a result with budget, working, remarks, decision and chain.

The straight line, in order: assemble the terms; titrate on paper (plain values); look at the replicates; add their
repeatability; propagate; round; decide; collect what is irregular; draw the chain.
"""

from assaywright.assay.assemble import assemble
from assaywright.assay.budget import budget_lines
from assaywright.assay.chain import chain_of
from assaywright.assay.decide import decide
from assaywright.assay.dominated import dominated_remarks
from assaywright.assay.identities import check_identities
from assaywright.assay.irregular import irregularities, not_counting, result_remarks, titre_remarks
from assaywright.assay.method import ALKALI_SCHEMES, Method, load_method
from assaywright.assay.method_remarks import method_remarks
from assaywright.assay.modelling import modelled, plain_values
from assaywright.assay.nominal import nominal_concentration, nominal_remarks
from assaywright.assay.observations import Worksheet
from assaywright.assay.own_method import own_method
from assaywright.assay.parts import Assembly
from assaywright.assay.result import DeterminationResult, MonteCarloComparison, Outcome, Result
from assaywright.assay.schemes.common import Measured
from assaywright.assay.stated_density import density_remarks
from assaywright.assay.troubles import remark
from assaywright.assay.upstream import Opener, Upstream
from assaywright.metrology.gum import Propagation, coverage_factor, evaluate_gum
from assaywright.metrology.model import Model
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark
from assaywright.metrology.rounding import report
from assaywright.metrology.typed import shown

COVERAGE_PROBABILITY = 0.95
FEW_DEGREES_OF_FREEDOM = 10


def evaluate_worksheet(worksheet: Worksheet, opener: Opener, *, monte_carlo: int = 0, seed: int = 0) -> Outcome:
    """Return everything that follows from a worksheet.

    Arguments:
        worksheet: as parsed.
        opener: returns the bytes of a file that the worksheet, or one it rests on, refers to.
        monte_carlo: number of trials for the second road, zero for none.
        seed: of those trials.

    Raises:
        Refusal: something in the worksheet, or in one it rests on, cannot be.
    """
    return evaluate_within(worksheet, Upstream(opener), monte_carlo=monte_carlo, seed=seed)


def evaluate_within(worksheet: Worksheet, upstream: Upstream, *, monte_carlo: int = 0, seed: int = 0) -> Outcome:
    """Return what follows from a worksheet, as part of an evaluation that is under way."""
    from assaywright.assay.upstream import resolve

    upstream.under_way.append(resolve("", worksheet.path))
    upstream.named.add(worksheet.path)
    try:
        return _evaluate(worksheet, method_of(worksheet, upstream), upstream, monte_carlo, seed)
    except Refusal as refusal:
        raise upstream.placed(refusal, worksheet.path) from refusal.__cause__
    finally:
        upstream.under_way.pop()


def method_of(worksheet: Worksheet, upstream: Upstream) -> Method:
    """Return a worksheet's method: one of the program's own by name, or a laboratory's own by the path of its file.

    Raises:
        Refusal: no such method, or a file that breaks a rule of method files.
    """
    if not worksheet.method.endswith(".toml"):
        return load_method(worksheet.method, upstream.edition_of(worksheet))
    resolved, data = upstream.read(worksheet.path, worksheet.method, "method")
    method = own_method(data, resolved)
    if worksheet.method_edition not in ("", method.edition):
        raise Refusal(f"the worksheet is of edition '{shown(worksheet.method_edition)}' of the method, and the file is "
                      f"edition '{method.edition}'", where=f"{worksheet.path}: method_edition",
                      remedy="name the file of that edition, or leave the line out")
    return method


def _evaluate(worksheet: Worksheet, method: Method, upstream: Upstream, monte_carlo: int, seed: int) -> Outcome:
    assembly = assemble(worksheet, method, upstream)
    titres = plain_values(assembly.titre_terms, assembly)
    _check_titres(assembly, titres)
    main, others = assembly.measured[0], assembly.measured[1:]
    values, spread, model = modelled(assembly, main, titres)
    propagation = evaluate_gum(model)
    result = _result(assembly, main, propagation)
    sought = worksheet.specification
    decision = decide(result, sought, f"{worksheet.path}: specification") if sought else None
    others_found = [modelled(assembly, one, titres) for one in others]
    further = [model for *_, model in others_found]
    results = (result, *(_result(assembly, one, evaluate_gum(m)) for one, m in zip(others, further, strict=True)))
    pairs = zip(worksheet.determinations, values, strict=True)
    counted = {one.label: value for one, value in pairs if not one.excluded}
    compared = _simulated(model, result, monte_carlo, seed) if monte_carlo else None
    remarks = [
        *assembly.remarks,
        *irregularities(worksheet), *method_remarks(worksheet, method),
        *_scheme_remarks(assembly, results),
        *nominal_remarks(worksheet.titrant, result.nominal, result.estimate, f"{worksheet.path}: titrant"),
        *result_remarks(worksheet, result, counted, decision), *density_remarks(worksheet, method, result),
        *check_identities(worksheet, upstream),
        *_coverage_remarks(worksheet, result, compared),
        *(dominated_remarks(results, worksheet.path) if compared is None or compared.agrees else ()),
    ]
    return Outcome(
        worksheet, method.title, method.edition, results,
        _determinations(assembly, values, titres), budget_lines(model, propagation), spread.statistics,
        not_counting(worksheet, dict.fromkeys(remarks)),
        chain_of(worksheet, method, result, assembly.links, spread.statistics.repeatability_source, model),
        (model, *further),
        decision,
        compared,
        method.sha256,
        tuple(tuple(own) for own, *_ in others_found),
    )


def _check_titres(assembly: Assembly, titres: list[float]) -> None:
    """Remark on irregular titres and on a large blank."""
    titrant = assembly.titrant
    blank = plain_values([titrant.blank], assembly)[0] if titrant is not None and titrant.blank is not None else None
    by_mass = titrant is not None and titrant.by_mass
    back = assembly.method.scheme == "back"
    assembly.remarks.extend(titre_remarks(assembly.worksheet, titres, blank, by_mass=by_mass, back=back))


def _result(assembly: Assembly, measured: Measured, propagation: Propagation) -> Result:
    """Return the result with its coverage factor, rounded once."""
    estimate, wanted = propagation.estimate, assembly.worksheet.wanted
    if wanted.coverage_factor is not None:
        factor, probability = float(wanted.coverage_factor.value), None
    else:
        factor, probability = coverage_factor(estimate.degrees_of_freedom, COVERAGE_PROBABILITY), COVERAGE_PROBABILITY
    specification = assembly.worksheet.specification
    rounding = specification.rounding if specification else "half up"
    texts = report(estimate.value, factor * estimate.standard_uncertainty, rounding)
    nominal, method = None, assembly.method
    if method.kind == "standardisation":
        sought = assembly.worksheet.titrant
        nominal = nominal_concentration(sought, method.titrant, method, "titrant", measured.unit)
    return Result(measured.name, estimate, factor, probability, texts[0], texts[1], nominal, assembly.reference_degC)


def _determinations(assembly: Assembly, values: list[float], titres: list[float]) -> tuple[DeterminationResult, ...]:
    by_mass = assembly.titrant is not None and assembly.titrant.by_mass
    return tuple(
        DeterminationResult(
            one.label,
            value,
            assembly.measured[0].unit,
            None if by_mass else titre,
            titre if by_mass else None,
            one.analyst or assembly.worksheet.analyst,
            one.excluded,
        )
        for one, value, titre in zip(assembly.worksheet.determinations, values, titres, strict=True)
    )


def _scheme_remarks(assembly: Assembly, results: tuple[Result, ...]) -> list[Remark]:
    """Return what a scheme of hydroxide and carbonate found about the kind of alkali."""
    if assembly.method.scheme not in ALKALI_SCHEMES:
        return []
    path = assembly.worksheet.path
    found = []
    if not assembly.hydroxide_present:
        found.append(
            remark(
                "hydrogencarbonate-present",
                "T exceeds 2P, so the sample holds carbonate with hydrogencarbonate",
                path,
                "make sure that both readings count from one initial reading",
            )
        )
    found.extend(
        remark(
            "hydroxide-not-distinguished",
            f"{one.measurand} is {one.value_text} ± {one.uncertainty_text} {one.estimate.unit}",
            path,
            "state it as less than its expanded uncertainty",
        )
        for one in results
        if abs(one.estimate.value) < one.expanded_uncertainty
    )
    return found


def _coverage_remarks(worksheet: Worksheet, result: Result, compared: MonteCarloComparison | None) -> list[Remark]:
    found = []
    if worksheet.wanted.coverage_factor is not None and result.estimate.degrees_of_freedom < FEW_DEGREES_OF_FREEDOM:
        found.append(
            remark(
                "fixed-coverage-factor",
                f"k = {result.coverage_factor:g} was asked for and there are "
                f"{result.estimate.degrees_of_freedom:.1f} degrees of freedom",
                worksheet.path,
                "let k follow from Student's t for 95 %",
            )
        )
    if compared is not None and not compared.agrees:
        found.append(
            remark(
                "monte-carlo-differs", compared.reason, worksheet.path, "state the simulated interval beside the result"
            )
        )
    return found


def _simulated(model: Model, result: Result, trials: int, seed: int) -> MonteCarloComparison:
    from assaywright.assay.simulated import compare

    return compare(model, result, trials, seed)
