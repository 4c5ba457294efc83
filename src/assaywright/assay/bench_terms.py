"""From what was observed to the terms of an equation: every reading becomes an input, once."""

from assaywright.assay.bench_mass import MassBench
from assaywright.assay.bench_volume import VolumeBench


class Bench(VolumeBench, MassBench):
    """The bench of one worksheet: its equipment, and the terms for the volumes and masses measured with it."""
