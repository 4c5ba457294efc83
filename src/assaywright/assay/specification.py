"""What is asked of a product: its specification, the characteristics of a lot, the lot itself."""

from dataclasses import dataclass
from datetime import date

from assaywright.metrology.quantity import Quantity


@dataclass(frozen=True, slots=True)
class Specification:
    """What a characteristic must satisfy.

    Fields:
        characteristic: its name.
        unit: unit of the limits.
        lower, upper: limits as typed; both absent for report-only.
        rule: a decision rule by name; "simple acceptance" when none is agreed.
        guard_band_factor: r in w = r U, for the rule "guard band".
        conformance_probability: wanted, for the rule of that name.
        rounding_step: step of the rounding method, and of the printed value when given.
        rounding: "half up" or "half even".
        prior: mean and standard deviation of the product's own lots, for the global risks; absent means none stated.
        text: what must be satisfied where it is no number ("clear, colourless").
    """

    characteristic: str
    unit: str = ""
    lower: Quantity | None = None
    upper: Quantity | None = None
    rule: str = "simple acceptance"
    guard_band_factor: float | None = None
    conformance_probability: float | None = None
    rounding_step: str = ""
    rounding: str = "half up"
    prior: tuple[Quantity, Quantity] | None = None
    text: str = ""


@dataclass(frozen=True, slots=True)
class Characteristic:
    """One characteristic of a lot: assayed in a worksheet, or entered with its source.

    Fields:
        specification: what it must satisfy.
        worksheet: path of the worksheet that assays it, as typed; empty when entered.
        measurand: which of the worksheet's results, where it has several.
        value: entered number with its uncertainty, or with ``less_than`` true the limit below which it was found.
        text: entered observation that is no number ("clear, colourless").
        satisfied: for an entered text, whether the person judged the requirement met; None while undecided.
        source: where the entered value comes from: instrument, method, person, date.
        accredited: whether the laboratory's accreditation covers it.
    """

    specification: Specification
    worksheet: str = ""
    measurand: str = ""
    value: Quantity | None = None
    less_than: bool = False
    text: str = ""
    satisfied: bool | None = None
    source: str = ""
    accredited: bool = False


@dataclass(frozen=True, slots=True)
class Lot:
    """A lot with all its characteristics, and what its certificate must say.

    Fields:
        use_before, storage, made: as printed on the certificate.
        sampled: where and when it was sampled, for the certificate where no worksheet says it.
        responsible: the authorised signatory, and the function that makes them so.
    """

    identity: str
    product: str
    maker: str
    characteristics: tuple[Characteristic, ...]
    certificate_number: str = ""
    made: date | None = None
    issued: date | None = None
    use_before: date | None = None
    storage: str = ""
    hazards: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    responsible: str = ""
    responsible_function: str = ""
    customer: str = ""
    note: str = ""
    path: str = ""
    digest: str = ""
    sampled: str = ""
