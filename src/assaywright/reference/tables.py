"""The typed questions one may put to the reference tables, in one place."""

from assaywright.reference.elements import AtomicWeight, Element, atomic_weight, elements
from assaywright.reference.glassware import GlassExpansion, Tolerance, glass_expansion, tolerance
from assaywright.reference.indicators import (
    Indicator,
    Interval,
    Preparation,
    TransitionPoint,
    indicator,
    indicators,
    intervals,
    preparations,
    transition_pM,
    transition_points,
)
from assaywright.reference.laws import law_coefficients, law_source
from assaywright.reference.safety import (
    Hazards,
    HazardStatement,
    Incompatibility,
    hazard_statement,
    hazards,
    incompatibilities,
)
from assaywright.reference.solutions import (
    VolumeCorrection,
    VolumeCorrectionColumn,
    volume_correction_column,
    volume_correction_columns,
)
from assaywright.reference.substances import (
    Density,
    Drying,
    Equivalents,
    PrimaryStandard,
    Substance,
    primary_standard,
    primary_standards,
    substance,
    substances,
)

__all__ = [
    "AtomicWeight",
    "Density",
    "Drying",
    "Element",
    "Equivalents",
    "GlassExpansion",
    "HazardStatement",
    "Hazards",
    "Incompatibility",
    "Indicator",
    "Interval",
    "Preparation",
    "PrimaryStandard",
    "Substance",
    "Tolerance",
    "TransitionPoint",
    "VolumeCorrection",
    "VolumeCorrectionColumn",
    "atomic_weight",
    "elements",
    "glass_expansion",
    "hazard_statement",
    "hazards",
    "incompatibilities",
    "indicator",
    "indicators",
    "intervals",
    "law_coefficients",
    "law_source",
    "preparations",
    "primary_standard",
    "primary_standards",
    "substance",
    "substances",
    "tolerance",
    "transition_pM",
    "transition_points",
    "volume_correction_column",
    "volume_correction_columns",
]
