"""What a customer found, and how: read once from what was taken down, in the customer's own words and units."""

from collections.abc import Mapping
from dataclasses import dataclass

from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_number, read_quantity

SUBTRACTED, NO_BLANK = "subtracted", "none"
BLANKS = (SUBTRACTED, NO_BLANK)
BY_LABEL = ("label", "nominal")  # words by which a customer tells that a titrant was taken at what it is called
BY_MORE = ("standardi", "factor", "certificate", "not ")  # and by which that it was not
FIELDS = {
    "found": "what they found", "uncertainty": "its uncertainty U", "coverage_factor": "its k",
    "titrant": "titrant", "indicator": "indicator", "sample": "sample", "temperature": "temperature of the solutions",
    "taken": "taken for one titration", "blank": "blank", "reference_temperature": "reference temperature",
    "told": "what else they told",
}
CONTENT = ("mol/L", "% w/w", "% w/v", "g/L", "mol/kg", "eq/L", "mmol/L", "meq/L", "mg/L", "mg/mL", "g/kg", "mg/kg",
           "mmol/kg", "g/mL", "kg/m3")
COLDEST, HOTTEST = 0, 60


@dataclass(frozen=True, slots=True)
class Finding:
    """A customer's figure and how they came by it; what they did not tell is None or empty.

    Fields:
        found: value with unit, and the uncertainty where they stated one.
        temperature: of the solutions [°C].
        taken: mass or volume taken for one titration.
        blank: "subtracted", "none" or empty.
        reference_temperature: that their content refers to [°C].
        titrant: what they told of their titrant, in their words.
    """

    found: Quantity
    temperature: Quantity | None = None
    taken: Quantity | None = None
    blank: str = ""
    reference_temperature: Quantity | None = None
    titrant: str = ""

    @property
    def by_label(self) -> bool:
        """Whether they told that their titrant is taken at what its label says, and not that they standardised it."""
        words = self.titrant.casefold()
        return any(one in words for one in BY_LABEL) and not any(one in words for one in BY_MORE)


def finding(told: Mapping[str, str]) -> Finding:
    """Return what a customer found, from texts by the names of FIELDS.

    Raises:
        Refusal: no figure with its unit, a k without an uncertainty, or something that cannot be.
    """
    blank = told.get("blank", "")
    if blank and blank not in BLANKS:
        raise Refusal(f"‘{blank[:40]}’ is no answer", where="blank", remedy=f"choose {' or '.join(BLANKS)}")
    return Finding(_found(told), _degrees(told, "temperature"), _taken(told), blank,
                   _degrees(told, "reference_temperature"), " ".join(told.get("titrant", "").split()))


def _found(told: Mapping[str, str]) -> Quantity:
    text, uncertainty, factor = (told.get(name, "").strip() for name in ("found", "uncertainty", "coverage_factor"))
    if factor and not uncertainty:
        raise Refusal("a k is given and no uncertainty", where="uncertainty", remedy="give both, or neither")
    try:
        whole = f"{text} ± {uncertainty}, k = {read_number(factor or '2')}" if uncertainty else text
        found = read_quantity(whole, *CONTENT)
    except Refusal as refusal:
        raise refusal.at(FIELDS["found"]) from None
    if not found.value > 0:
        raise Refusal(f"a content of {text}", where=FIELDS["found"], remedy="give one above zero")
    return found


def _degrees(told: Mapping[str, str], name: str) -> Quantity | None:
    text = told.get(name, "").strip()
    if not text:
        return None
    try:
        found = read_quantity(text if "C" in text or "K" in text else f"{text} °C", "°C")
    except Refusal as refusal:
        raise refusal.at(FIELDS[name]) from None
    if not COLDEST <= found.to("°C") <= HOTTEST:
        raise Refusal(f"{text} is no temperature at which one titrates", where=FIELDS[name],
                      remedy="give it in °C, or leave it out")
    return found


def _taken(told: Mapping[str, str]) -> Quantity | None:
    text = told.get("taken", "").strip()
    if not text:
        return None
    try:
        found = read_quantity(text, "mL", "g")
    except Refusal as refusal:
        raise refusal.at(FIELDS["taken"]) from None
    if not found.value > 0:
        raise Refusal(f"{text} cannot have been taken", where=FIELDS["taken"], remedy="give a mass or a volume")
    return found
