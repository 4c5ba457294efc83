"""A method by the name that a worksheet gives it: one of the program's, or one that the laboratory adopted."""

from assaywright.assay.editions import earlier_editions
from assaywright.assay.method import Method, load_method, parse_method
from assaywright.metrology.refusal import Refusal
from assaywright.records.models import Assay, MethodEdition, Result


def edition_on_record(assay: Assay) -> str:
    """Return the edition of its method that an assay's last result was computed by, where a later one is in force.

    A result keeps the edition it was computed by, so that it keeps its digits; a new worksheet has the one in force.
    """
    held = earlier_editions(assay.method)
    row = Result.objects.filter(assay=assay.identity).order_by("id").last() if held else None
    edition = str(row.content.get("method_edition", "")) if row is not None else ""
    return edition if edition in held else ""


def method_by(assay: Assay) -> Method:
    """Return the method that an assay is computed by, in its edition.

    Raises:
        Refusal: there is no such method.
    """
    edition = str(assay.content.get("method_edition", "")) or edition_on_record(assay)
    return load_method(assay.method, edition) if edition and not assay.method.endswith(".toml") else method_of(
        assay.method)


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
