"""Between which contents an endpoint is looked for: what the burette must hold, and where one titrates slowly."""

from assaywright.assay.plan.product import Product

NEAR_NOMINAL = 0.05  # where no limit is stated: GB/T 601 wants a titrant within 5 % of nominal (read); else no source
LOTS_K = 3.0


def contents_expected(product: Product | None, nominal: float) -> tuple[float, float, str]:
    """Return the least and the greatest content expected, and why: limits, else the scatter of the lots, else 5 %.

    Arguments:
        product: None for a titrant that is standardised.
        nominal: content or concentration [unit of the result].
    """
    if product is None:
        return nominal * (1 - NEAR_NOMINAL), nominal * (1 + NEAR_NOMINAL), "the titrant within 5 % of nominal"
    specification = product.specification
    if specification.lower is not None and specification.upper is not None:
        return float(specification.lower.value), float(specification.upper.value), "the limits of the specification"
    if specification.prior is not None:
        mean, spread = (float(one.value) for one in specification.prior)
        return mean - LOTS_K * spread, mean + LOTS_K * spread, "three standard deviations of the lots"
    return nominal * (1 - NEAR_NOMINAL), nominal * (1 + NEAR_NOMINAL), "5 % about the nominal content"


def ends_of_scale(product: Product | None, nominal: float, *, inverse: bool = False) -> tuple[float, float]:
    """Return the least and greatest titre that has to fit the burette, as shares of that at the nominal content [1].

    Arguments:
        product: None for a titrant that is standardised.
        nominal: content or concentration [unit of the result].
        inverse: whether what is sought is in the burette, so that the weaker it is, the more of it is taken.
    """
    low, high, _basis = contents_expected(product, nominal)
    low, high = min(low / nominal, 1.0), max(high / nominal, 1.0)
    return (1 / high, 1 / low) if inverse else (low, high)
