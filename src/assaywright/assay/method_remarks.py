"""What is irregular about a laboratory's own method: an endpoint that the engine finds not feasible."""

from collections.abc import Iterator

from assaywright.assay.method import Method
from assaywright.assay.observations import Worksheet
from assaywright.assay.troubles import remark
from assaywright.metrology.remarks import Remark

OWN_METHOD = ".toml"


def method_remarks(worksheet: Worksheet, method: Method) -> Iterator[Remark]:
    """Yield a remark for each endpoint of a laboratory's own method that is not feasible; the program's are tested."""
    if not worksheet.method.endswith(OWN_METHOD):
        return
    from assaywright.assay.feasible import infeasible_endpoints

    for one in infeasible_endpoints(method):
        yield remark("endpoint-not-feasible", one.sentence.removesuffix("."), f"{worksheet.path}: method",
                     "choose another endpoint, or state the titration error that it has")
