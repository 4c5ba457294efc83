"""What a scanned or typed code belongs to: a worksheet, a lot, a solution, a bottle, an instrument, a material."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import unquote_plus

from assaywright.records.models import Assay, Bottle, Certificate, Enquiry, Instrument, Lot, Material, Solution
from assaywright.records.selectors.searched import cased

LABEL = re.compile(r"^(?:lot|solution) ([^;]+)(?:;.*)?$")
SHEET = re.compile(r"^https?://[^/]+/bench\?code=([^&#]+)$", re.IGNORECASE)
LONGEST = 400


@dataclass(frozen=True, slots=True)
class Found:
    """Something that goes by the code: name of its page, its number, what it is in words."""

    page: str
    identity: str
    words: str


def found_by_code(code: str) -> tuple[Found, ...]:
    """Return everything that goes by a code as a scanner reads it, or as somebody types it.

    Arguments:
        code: a number, the text of one of our labels ("lot 0941; acetic acid 30 % w/w; use before 2027-10"), or the
            address on a worksheet's sheet of paper.
    """
    code = code.strip()[:LONGEST]
    label, sheet = LABEL.match(code), SHEET.match(code)
    return tuple(_found(unquote_plus(sheet[1]) if sheet else label[1].strip() if label else code))


def _found(number: str) -> Iterator[Found]:
    cases = cased(number)
    for assay in Assay.objects.filter(pk__in=cases):
        yield Found("bench.show", assay.identity, f"{assay.kind} of {assay.about}, {assay.stage}")
    for lot in Lot.objects.filter(pk__in=cases):
        yield Found("lots.show", lot.identity, f"lot of {lot.product}, {lot.state}")
    for solution in Solution.objects.filter(pk__in=cases):
        yield Found("solutions.show", solution.identity, f"solution: {solution.name}, {solution.state}")
    for bottle in Bottle.objects.filter(pk__in=cases):
        yield Found("lots.show", bottle.lot, f"bottle of lot {bottle.lot}, opened {bottle.opened}")
    for instrument in Instrument.objects.filter(pk__in=cases):
        yield Found("equipment.show", instrument.identity, f"{instrument.kind}, {instrument.state}")
    for material in Material.objects.filter(pk__in=cases):
        yield Found("equipment.material", material.identity, f"reference material: {material.name}")
    for enquiry in Enquiry.objects.filter(pk__in=cases):
        yield Found("enquiries.show", enquiry.identity, f"enquiry of {enquiry.asked_by}, {enquiry.state}")
    for certificate in Certificate.objects.filter(pk__in=cases):
        yield Found("certificates.show", certificate.number, f"certificate of {certificate.lot}")
