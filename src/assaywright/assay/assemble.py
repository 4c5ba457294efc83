"""From a worksheet and its method to terms and inputs, by the method's scheme."""

from assaywright.assay.assemble_assay import AssayParts
from assaywright.assay.assemble_barium_chloride import BariumChlorideParts
from assaywright.assay.assemble_standardisation import StandardisationParts
from assaywright.assay.assemble_two_endpoints import TwoEndpointParts
from assaywright.assay.method import Method
from assaywright.assay.observations import Worksheet
from assaywright.assay.parts import Assembly
from assaywright.assay.upstream import Upstream
from assaywright.metrology.refusal import Refusal


def assemble(worksheet: Worksheet, method: Method, upstream: Upstream) -> Assembly:
    """Return the terms and inputs of a worksheet.

    Raises:
        Refusal: the worksheet lacks what the method's scheme needs, or is of another kind.
    """
    if method.kind != worksheet.kind:
        raise Refusal(
            f"the method '{method.name}' is for {_article(method.kind)}, the worksheet is {_article(worksheet.kind)}",
            where=f"{worksheet.path}: method",
            remedy="name another method, or correct kind",
        )
    if method.scheme != "barium chloride" and any(one.hydroxide is not None for one in worksheet.determinations):
        raise Refusal(
            f"the method '{method.name}' titrates no aliquot with barium chloride",
            where=f"{worksheet.path}: determination, hydroxide_final",
            remedy="leave the readings out, or name caustic-soda-by-barium-chloride",
        )
    if method.scheme == "direct":
        return AssayParts(worksheet, method, upstream).direct()
    if method.scheme == "back":
        return AssayParts(worksheet, method, upstream).back()
    if method.scheme == "two endpoints":
        return TwoEndpointParts(worksheet, method, upstream).assemble()
    if method.scheme == "barium chloride":
        return BariumChlorideParts(worksheet, method, upstream).assemble()
    if method.scheme == "standardisation by weighing":
        return StandardisationParts(worksheet, method, upstream).by_weighing()
    return StandardisationParts(worksheet, method, upstream).by_solution()


def _article(kind: str) -> str:
    return f"an {kind}" if kind == "assay" else f"a {kind}"
