"""Three portions as they are read at the bench, weighed one after the other out of one vessel.

The first is typed with its temperature, which is proposed from then on, as is the tare before as the next gross mass.
"""

from decimal import Decimal

LIKE = "WS-26-0903"  # the worksheet of the demonstration that such portions are typed for
NAMES = ("gross", "tare", "initial", "final", "temperature")
READINGS = (("61.4402", "57.4528", "0.00", "40.07", "21.0"), ("57.4528", "53.4309", "0.04", "40.42"),
            ("53.4309", "49.4747", "0.02", "39.76"))
FIRST = dict(zip(NAMES, READINGS[0], strict=True))


def portion_of(place):
    """What a determination is to be on record with, each as heavy as the first, the burette filled a little less."""
    taken = Decimal(FIRST["gross"]) - Decimal(FIRST["tare"])
    gross, start = Decimal(FIRST["gross"]) - (place - 1) * taken, (place - 1) * Decimal("0.01")
    return [("gross", str(gross)), ("tare", str(gross - taken)), ("initial", str(Decimal(FIRST["initial"]) + start)),
            ("final", str(Decimal(FIRST["final"]) + start)), ("temperature", FIRST["temperature"])]


def typed_of(place):
    """What is typed of it: after the first the temperature is proposed as it was."""
    return portion_of(place) if place == 1 else portion_of(place)[:-1]
