"""The typed questions one may put to the reference tables, in one place."""

from assaywright.reference.elements import AtomicWeight, Element, atomic_weight, elements
from assaywright.reference.glassware import GlassExpansion, Tolerance, glass_expansion, tolerance
from assaywright.reference.laws import law_coefficients, law_source
from assaywright.reference.solutions import (
    VolumeCorrection,
    VolumeCorrectionColumn,
    volume_correction_column,
    volume_correction_columns,
)

__all__ = [
    "AtomicWeight",
    "Element",
    "GlassExpansion",
    "Tolerance",
    "VolumeCorrection",
    "VolumeCorrectionColumn",
    "atomic_weight",
    "elements",
    "glass_expansion",
    "law_coefficients",
    "law_source",
    "tolerance",
    "volume_correction_column",
    "volume_correction_columns",
]
