"""A digital reference material document: the one certified mass fraction that it holds, and what it is of.

Source: drmd.xsd, version 1.0.0 (names of elements read there). A mass fraction is certified where its block says so and
it has an expanded uncertainty; what the certificate tells in sentences, such as how to dry, a person reads and types.
"""

from typing import Any

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.units import kind_of
from assaywright.records.certificate_files.dsi import Real, reals
from assaywright.records.certificate_files.xml_tree import Element

SPACE, ROOT = "urn:drmd:schema", "digitalReferenceMaterialDocument"
CERTIFICATE = "referenceMaterialCertificate"
TOLD = ("Formula, basis, drying, and whether the content is stated for weighing in air are not read: type them as the "
        "certificate says.")
LOT_SCHEMES = ("lot", "lot number", "batch", "batch number", "lotnumber", "batchnumber", "charge")


def read_material_xml(root: Element) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Return the fields of a reference material's table that the document fills, and what it leaves to be typed.

    Raises:
        Refusal: it is no certificate, is of several materials, or does not certify one mass fraction.
    """
    core = Refusal.unless(root.only("administrativeData", "coreData"), "there is no coreData", where=root.where,
                          remedy="ask for the file anew")
    if (title := core.said("titleOfTheDocument")) != CERTIFICATE:
        raise Refusal(f"it is a {title[:60] or 'document without a title'}, and no certificate of a reference material",
                      where=core.where, remedy="ask for the certificate")
    materials = [one for one in root.every("material") if one.only("name")]
    if len(materials) != 1:
        raise Refusal(f"it is of {len(materials)} materials, and one is received at a time", where=root.where,
                      remedy="type the certificate in")
    content, noted = _content(root)
    traceable = root.said("statements", "metrologicalTraceability")
    certificate = {"id": core.said("uniqueIdentifier"), "traceable_to": traceable[:200],
                   "due": core.said("validity", "specificTime")}
    table = {"name": materials[0].said("name"), "content": content, **_of_material(materials[0]),
             "use_before": core.said("validity", "specificTime"),
             "certificate": {key: text for key, text in certificate.items() if text}}
    return {key: value for key, value in table.items() if value}, (TOLD, *noted)


def _of_material(material: Element) -> dict[str, str]:
    """Return the lot and the minimum sample, where each is stated once."""
    found = {}
    lots = {one.said("value") for one in material.every("materialIdentifier")
            if one.said("scheme").casefold() in LOT_SCHEMES}
    if len(lots) == 1:
        found["lot"] = lots.pop()
    sizes = material.only("minimumSampleSize")
    amounts = [real.amount for one in sizes.every("itemQuantity") for real in reals(one)] if sizes else []
    if len(amounts) == 1 and kind_of(amounts[0].unit) == "mass":
        found["minimum_sample"] = amounts[0].text()
    return found


def _content(root: Element) -> tuple[str, tuple[str, ...]]:
    """Return the certified mass fraction as a person types it, and what else is certified."""
    certified, others = [], []
    for block in root.every("properties"):
        if block.attributes.get("isCertified") not in ("true", "1"):
            continue
        for quantity in block.every("quantity"):
            for real in reals(quantity):
                if kind_of(real.amount.unit) in ("mass fraction", "ratio"):
                    certified.append((quantity, real))
                else:
                    others.append(f"{quantity.said('name')[:60]} (line {quantity.line})")
    if len(certified) != 1:
        which = ", ".join(f"'{one.said('name')[:60]}' (line {one.line})" for one, _ in certified[:5])
        raise Refusal(f"it certifies {len(certified)} mass fractions{f', {which}' if which else ''}, and one is the "
                      "content", where="element propertiesList", remedy="type in the one that it is used for")
    return _typed(*certified[0]), ((f"Not read, though certified: {', '.join(others)}.",) if others else ())


def _typed(quantity: Element, real: Real) -> str:
    if real.uncertainty is None or real.factor is None:
        raise Refusal("the certified mass fraction stands there without its uncertainty", where=quantity.where,
                      remedy="type it in with what the certificate says")
    value, uncertainty, unit = real.amount.value, real.uncertainty.value, real.amount.unit
    if unit == "1":
        value, uncertainty, unit = value.scaleb(2), uncertainty.scaleb(2), "%"
    how = "standard" if real.factor == 1 else f"k = {real.factor:f}"
    return f"{value:f} {unit} ± {uncertainty:f} {unit}, {how}"
