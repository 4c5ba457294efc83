"""The typed questions one may put to the reference tables, in one place."""

from assaywright.reference.elements import AtomicWeight, Element, atomic_weight, elements

__all__ = ["AtomicWeight", "Element", "atomic_weight", "elements"]
