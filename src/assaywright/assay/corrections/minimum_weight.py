"""The least mass a balance may weigh for an assay, from its repeatability."""

from decimal import Decimal

from assaywright.metrology.refusal import Refusal

EXPANSION_FACTOR = Decimal(2)
REQUIREMENT_PERCENT = Decimal("0.10")
ROUNDING_FLOOR = Decimal("0.41")


def minimum_weight_mg(standard_deviation_mg: Decimal, scale_interval_mg: Decimal) -> Decimal:
    """Return the smallest net weight for which the balance repeats well enough.

    m_min = 2 max(s, 0.41 d) / 0.10 %

    Below 0.41 d the rounding of the display hides the scatter, so 0.41 d takes the place of s.

    Arguments:
        standard_deviation_mg: s, of at least ten weighings of one weight [mg].
        scale_interval_mg: d, smallest step of the display [mg].

    Returns: [mg]

    Raises:
        Refusal: a negative standard deviation, or a scale interval that is not above zero.

    Source: USP <41> Balances, repeatability (expansion factor 2, 0.10 %; floor of 0.41 d recalled).

    Example:
        >>> minimum_weight_mg(Decimal("0.07"), Decimal("0.1"))
        Decimal('140')
    """
    if not standard_deviation_mg >= 0 or not scale_interval_mg > 0:
        raise Refusal(f"a standard deviation of {standard_deviation_mg} mg with steps of {scale_interval_mg} mg",
                      where="balance", remedy="give s of zero or more and d above zero")
    scatter = max(standard_deviation_mg, ROUNDING_FLOOR * scale_interval_mg)
    return (EXPANSION_FACTOR * scatter * 100 / REQUIREMENT_PERCENT).normalize() + 0


def is_heavy_enough(net_weight_mg: Decimal, standard_deviation_mg: Decimal, scale_interval_mg: Decimal) -> bool:
    """Whether a net weight is at or above the minimum weight of the balance; equality passes.

    Arguments:
        net_weight_mg: of the portion, without its vessel [mg].
        standard_deviation_mg, scale_interval_mg: see :func:`minimum_weight_mg`.

    Source: USP <41> Balances, repeatability.
    """
    return net_weight_mg >= minimum_weight_mg(standard_deviation_mg, scale_interval_mg)
