"""The stated interval holds the truth as often as it says, on the simulated bench: a short run of the study."""

import pytest

from tests.bench.coverage import Setting, acceptance_band, study, together

SCHEMES = (
    "standardisation by weighing", "direct, pipetted", "direct, weighed", "diluted, then aliquots", "two endpoints")
CHAINS_EACH = 40


@pytest.mark.parametrize("repeatability", ["pooled", "observed"])
def test_two_hundred_chains_cover_the_truth_as_often_as_stated(repeatability):
    total = []
    for scheme in SCHEMES:
        found = study([Setting(scheme, repeatability)], [1], CHAINS_EACH)
        total += [together(by_seed) for (_, measurand), by_seed in found.items() if not measurand]
    number = sum(tally.chains for tally in total)
    stated, narrow, wide = (sum(tally.covered[place] for tally in total) for place in range(3))
    least, most = acceptance_band(number)
    assert number == 200
    assert least <= stated <= most
    assert narrow < least, "an interval of 0.8 U would pass"
    assert wide > most or wide == number, "an interval of 2 U would pass"
