"""A text with the label it is printed under."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Labelled:
    """A text with the label it is printed under ("Lot", "0417")."""

    label: str
    text: str
