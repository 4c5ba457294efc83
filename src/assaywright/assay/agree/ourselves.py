"""Our own figure: a result that rests on a worksheet, stated as a customer states theirs, by the very same equation."""

from dataclasses import dataclass, replace

from assaywright.assay.evaluate import evaluate_within
from assaywright.assay.evaluate_lot import named_result
from assaywright.assay.observations import Worksheet
from assaywright.assay.result import Result
from assaywright.assay.upstream import Opener, Upstream
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.units import kind_of


@dataclass(frozen=True)
class Ours:
    """A figure of ours that rests on a worksheet.

    Fields:
        worksheet: stated in the unit of ``result``. as_worked: the same as it stands on record.
        measurand: name of the result among those of the worksheet; empty for its main one.
        result: as evaluated now.
        opener: of the worksheets that it rests on. upstream: what of these is evaluated already.
    """

    worksheet: Worksheet
    as_worked: Worksheet
    measurand: str
    result: Result
    opener: Opener
    upstream: Upstream

    @property
    def value(self) -> float:
        """The value [unit of the result]."""
        return self.result.estimate.value

    @property
    def as_on_record(self) -> Result:
        """The figure as its worksheet states it, in the worksheet's own unit."""
        return named_result(evaluate_within(self.as_worked, self.upstream), self.measurand)

    def as_if(self, worksheet: Worksheet, upstream: Upstream | None = None) -> float:
        """Return what another worksheet in place of ours gives, by the same equation [unit that it asks for].

        Raises:
            Refusal: it cannot be.
        """
        outcome = evaluate_within(worksheet, upstream or self.upstream)
        return named_result(outcome, self.measurand).estimate.value

    def stated_in(self, unit: str) -> Worksheet:
        """Return our worksheet with the result asked for in another unit."""
        return replace(self.worksheet, wanted=replace(self.worksheet.wanted, unit=unit))

    def referred_to(self, temperature: Quantity) -> Worksheet:
        """Return our worksheet with the content referred to another temperature."""
        return replace(self.worksheet, wanted=replace(self.worksheet.wanted, temperature=temperature))


def ourselves(worksheet: Worksheet, opener: Opener, *, measurand: str = "", unit: str = "") -> Ours:
    """Return our figure, stated in a unit of the kind that a customer uses where our equation can state it so.

    Arguments:
        measurand: name of the result; the main one where it is empty.
        unit: that the customer's figure is in.

    Raises:
        Refusal: the worksheet cannot be evaluated.
    """
    upstream = Upstream(opener)
    result = named_result(evaluate_within(worksheet, upstream), measurand)
    ours = Ours(worksheet, worksheet, measurand, result, opener, upstream)
    if not unit or kind_of(unit) == kind_of(result.estimate.unit):
        return ours
    stated = ours.stated_in(unit)
    try:
        result = named_result(evaluate_within(stated, upstream), measurand)
    except Refusal:
        return ours
    return Ours(stated, worksheet, measurand, result, opener, upstream)
