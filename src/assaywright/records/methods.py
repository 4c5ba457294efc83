"""A method by the name that a worksheet gives it: one of the program's, or one that the laboratory adopted."""

from assaywright.assay.method import Method, load_method, parse_method
from assaywright.metrology.refusal import Refusal
from assaywright.records.models import MethodEdition


def method_of(named: str) -> Method:
    """Return a method; a name that ends in ``.toml`` is that of an adopted one, in its last edition.

    Raises:
        Refusal: there is no such method.
    """
    if not named.endswith(".toml"):
        return load_method(named)
    found = MethodEdition.objects.filter(name=named.removesuffix(".toml")).order_by("id").last()
    edition = Refusal.unless(found, f"the method '{named.removesuffix('.toml')}' has not been adopted", where="method",
                             remedy="adopt it under Methods")
    return parse_method(str(edition.content.get("text", "")), named)
