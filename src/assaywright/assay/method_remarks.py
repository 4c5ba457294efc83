"""What is irregular about a laboratory's own method: its file's name, an endpoint that is not feasible."""

from collections.abc import Iterator

from assaywright.assay.method import Method
from assaywright.assay.observations import Worksheet
from assaywright.assay.troubles import remark
from assaywright.metrology.remarks import Remark

OWN_METHOD = ".toml"


def method_remarks(worksheet: Worksheet, method: Method) -> Iterator[Remark]:
    """Yield remarks on a laboratory's own method: a file of another name, endpoints that are not feasible.

    The program's own methods are tested.
    """
    if not worksheet.method.endswith(OWN_METHOD):
        return
    from assaywright.assay.feasible import infeasible_endpoints
    from assaywright.assay.own_method import named_otherwise

    other = named_otherwise(method)
    if other:
        yield remark("method-named-otherwise", other, f"{worksheet.path}: method",
                     "give the file the method's name, so that paper and file agree")

    for one in infeasible_endpoints(method):
        yield remark("endpoint-not-feasible", one.sentence.removesuffix("."), f"{worksheet.path}: method",
                     "choose another endpoint, or state the titration error that it has")
