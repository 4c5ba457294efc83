"""Where in a worksheet a quantity stands: the determination and field that a person has to look at."""

from collections.abc import Iterator

from assaywright.assay.observations import Delivery, Portion, Worksheet
from assaywright.metrology.quantity import Quantity


def place_of(worksheet: Worksheet, given: Quantity | None) -> str:
    """Return the place of a temperature as typed, like "determination 2, temperature"; empty when it is not found.

    Arguments:
        given: the very object that the worksheet holds, not one that equals it.
    """
    return next((place for place, held in _temperatures(worksheet) if held is not None and held is given), "")


def _temperatures(worksheet: Worksheet) -> Iterator[tuple[str, Quantity | None]]:
    for one in worksheet.determinations:
        yield from _delivered(f"determination {one.label}", one.delivery)
        yield from _taken(f"determination {one.label}", one.portion, "sample_temperature")
        yield from _taken(f"determination {one.label}", one.excess, "excess_temperature")
    place = "dilution"
    for stage in worksheet.dilutions:
        yield f"{place}, temperature", stage.temperature
        yield from _taken(place, stage.portion, "sample_temperature")
        place += ".further"
    if worksheet.blank is not None:
        for number, delivery in enumerate(worksheet.blank.deliveries, start=1):
            yield from _delivered(f"blank, titration {number}", delivery)
        yield from _taken("blank", worksheet.blank.excess, "excess_temperature")


def _delivered(place: str, delivery: Delivery) -> Iterator[tuple[str, Quantity | None]]:
    yield f"{place}, temperature", delivery.temperature


def _taken(place: str, portion: Portion | None, field: str) -> Iterator[tuple[str, Quantity | None]]:
    if portion is not None:
        yield f"{place}, {field}", portion.temperature
