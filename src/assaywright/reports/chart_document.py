"""What a drawn titration curve shows, as one frozen document: drawing calculates nothing but places on paper."""

from dataclasses import dataclass

Cell = tuple[float, float, str]


@dataclass(frozen=True, slots=True)
class Mark:
    """A point of the curve with its words: an equivalence point, an endpoint."""

    volume_mL: float
    value: float
    words: str


@dataclass(frozen=True, slots=True)
class Region:
    """A stretch of the burette with its words: a buffer region."""

    from_mL: float
    to_mL: float
    words: str


@dataclass(frozen=True, slots=True)
class Band:
    """A stretch of the followed quantity with its words: the interval of an indicator."""

    low: float
    high: float
    words: str


@dataclass(frozen=True, slots=True)
class ColourStrip:
    """The colour of the flask along the burette, and once more enlarged about the endpoint.

    Fields:
        indicator: its name.
        cells, near_cells: stretches of one colour each, from [mL], to [mL], sRGB; over the whole scale, and enlarged.
        endpoint_mL, equivalence_mL: volumes of titrant [mL].
        before, at, after: the colours in words.
    """

    indicator: str
    cells: tuple[Cell, ...]
    near_cells: tuple[Cell, ...]
    endpoint_mL: float
    equivalence_mL: float
    before: str
    at: str
    after: str


@dataclass(frozen=True, slots=True)
class CurvePicture:
    """Everything a drawn curve shows.

    Fields:
        title, subtitle: above it.
        description: the curve in a few sentences, for those who do not see it.
        quantity: label of the upright scale ("pH", "E / V").
        slope: label of the scale of the derivative ("ΔpH/ΔV per mL").
        volume_mL, values, slopes: of the curve and its first derivative.
        equivalence: the equivalence points.
        regions: the buffer regions.
        bands, endpoints, strips: of each indicator shown, in the order of the burette; empty where none is.
        notes: below it.
    """

    title: str
    subtitle: str
    description: str
    quantity: str
    slope: str
    volume_mL: tuple[float, ...]
    values: tuple[float, ...]
    slopes: tuple[float, ...]
    equivalence: tuple[Mark, ...] = ()
    regions: tuple[Region, ...] = ()
    bands: tuple[Band, ...] = ()
    endpoints: tuple[Mark, ...] = ()
    strips: tuple[ColourStrip, ...] = ()
    notes: tuple[str, ...] = ()
