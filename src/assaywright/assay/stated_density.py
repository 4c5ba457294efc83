"""Whether the density that a worksheet states of its sample goes with the content found."""

from collections.abc import Iterator

from assaywright.assay.method import Method
from assaywright.assay.observations import Worksheet
from assaywright.assay.result import Result
from assaywright.assay.troubles import remark
from assaywright.metrology.estimate import Estimate, exact, influence, influence_key
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark

KIND = "density-far-from-table"


def density_remarks(worksheet: Worksheet, method: Method, result: Result) -> Iterator[Remark]:
    """Yield a remark on a density of the sample that lies far from the table's at the content found.

    Nothing is said where no density is stated, or none is held of that substance in water.

    Arguments:
        worksheet: with its sample.
        method: for what the content is expressed as.
        result: the content found.
    """
    from assaywright.chemistry.content_state import far_from_table
    from assaywright.chemistry.solute import find_solute

    sample = worksheet.sample
    if sample is None or sample.density is None:
        return
    where = f"{worksheet.path}: sample, density"
    density = influence(influence_key("density", sample.product, "as stated", "density"), sample.density.to("g/mL"),
                        sample.density.uncertainty_in("g/mL"), "g/mL", label=f"density of {sample.product}")
    try:
        solute = find_solute(worksheet.wanted.species or method.result.species or method.analyte.formula)
        percent = _mass_percent(solute.name, result, density)
    except Refusal as refusal:
        if refusal.where == "content" and "cannot be" in refusal.what:
            yield remark(KIND, f"{sample.density.text} makes the content found {refusal.what}", where,
                         "check density, content and temperature")
        return
    if percent is not None:
        for one in far_from_table(solute, percent, density, result.reference_temperature_degC):
            yield remark(KIND, one.what, where, one.remedy)


def _mass_percent(named: str, result: Result, density: Estimate) -> Estimate | None:
    """Return the content found in % w/w; None where it cannot be told."""
    from assaywright.chemistry.content import Content, Known, Wanted, convert
    from assaywright.chemistry.solute import find_solute

    known = Known(density=density, density_source="as the worksheet states it")
    content = Content(exact(result.estimate.value, result.estimate.unit), find_solute(named))
    return convert(content, Wanted("mol/L"), known).mass_percent
