"""From hazard classes to labels: limits of concentration, label elements, precautions, protection at the bench."""

from dataclasses import dataclass

from assaywright.metrology.refusal import Refusal
from assaywright.reference.load import Row, by_key, citation, number, table

OWN_CODE = "own"
LEFT_OPEN = "…"  # in a published wording, where the supplier states what is meant
WORDINGS = {"en": "wording", "de": "german"}
STAGES = ("prevention", "response", "storage", "disposal")


@dataclass(frozen=True, slots=True)
class ConcentrationLimit:
    """A range of mass fraction in which a solution of a substance carries a class.

    Fields:
        hazard_class: in the standard's short names.
        code: hazard statement of the class.
        from_percent, below_percent: the range; none where it has no upper end [%].
        includes_lower, includes_upper: whether the ends belong to it; as a rule the lower does and the upper does not.
        kind: "specific limit", "calculated band", "published band", "transport-based band", or "supplier practice"
            for what suppliers add though no limit decides it.
        chosen: whether it is in use as a limit.
        source: who says so.
        status: "read" or "recalled".
        note: what to know about it.
    """

    hazard_class: str
    code: str
    from_percent: float
    below_percent: float | None
    includes_lower: bool
    includes_upper: bool
    kind: str
    chosen: bool
    source: str
    status: str
    note: str

    def holds(self, mass_percent: float) -> bool:
        """Return whether a mass fraction [%] lies in the range."""
        above = mass_percent > self.from_percent or (self.includes_lower and mass_percent == self.from_percent)
        if self.below_percent is None:
            return above
        below = mass_percent < self.below_percent or (self.includes_upper and mass_percent == self.below_percent)
        return above and below


@dataclass(frozen=True, slots=True)
class GenericLimit:
    """A rule of the standard: from which mass fraction an ingredient's class brings a class upon the mixture.

    Fields:
        ingredient_class: of the ingredient.
        hazard_class: of the mixture.
        code: hazard statement; "own" where that of the ingredient is carried over.
        limit: the range of the ingredient's mass fraction.
        is_weighted: whether the mass fraction is multiplied by the ingredient's M factor first.
    """

    ingredient_class: str
    hazard_class: str
    code: str
    limit: ConcentrationLimit
    is_weighted: bool


@dataclass(frozen=True, slots=True)
class LabelElement:
    """What a hazard class puts on a label: code of its statement, pictogram and signal word; either may be empty."""

    hazard_class: str
    code: str
    pictogram: str
    signal_word: str


@dataclass(frozen=True, slots=True)
class Precaution:
    """A precautionary statement: its code, joined codes with a plus sign, and our short wording."""

    code: str
    wording: str


@dataclass(frozen=True, slots=True)
class Protection:
    """What to wear and where to work with a hazard class: for eyes, for skin, for breathing; each may be empty."""

    eyes: str
    skin: str
    breathing: str


@dataclass(frozen=True, slots=True)
class AcuteToxicity:
    """One category of acute toxicity on one route.

    Fields:
        category: 1 to 4.
        point_estimate: that stands for the category in a mixture [mg/kg, or mg/L in air].
        upper_bound: greatest estimate that still belongs to the category [mg/kg, or mg/L in air].
    """

    category: int
    point_estimate: float
    upper_bound: float


def concentration_limits(substance: str) -> tuple[ConcentrationLimit, ...]:
    """Return the limits held for a substance by its name in the table, those not chosen among them; may be none."""
    return tuple(_limit(row) for row in table("ghs_concentration_limits").rows if row["substance"] == substance)


def generic_limits(ingredient_class: str) -> tuple[GenericLimit, ...]:
    """Return what an ingredient's class brings upon a mixture where no specific limit is set; may be none.

    Source: UN GHS, parts 3 and 4, in the limits of Regulation (EC) 1272/2008, Annex I.
    """
    return tuple(
        GenericLimit(row["ingredient_class"], row["hazard_class"], row["code"],
                     _plain_limit(row), row["weighted_by_m"] == "yes")
        for row in table("ghs_generic_limits").rows if row["ingredient_class"] == ingredient_class
    )


def acute_toxicity(route: str) -> tuple[AcuteToxicity, ...]:
    """Return the categories of acute toxicity of a route, the most severe first.

    Raises:
        Refusal: no such route.

    Source: UN GHS, tables 3.1.1 and 3.1.2.
    """
    found = tuple(
        AcuteToxicity(int(row["category"]), float(row["point_estimate"]), float(row["upper_bound"]))
        for row in table("ghs_acute_toxicity").rows if row["route"] == route
    )
    if not found:
        routes = dict.fromkeys(row["route"] for row in table("ghs_acute_toxicity").rows)
        raise Refusal(f"there is no route '{route}'", where="acute toxicity", remedy=f"name {' or '.join(routes)}")
    return found


def m_factor(substance: str, hazard_class: str) -> float:
    """Return by what a substance poisonous to water counts: its M factor, 1 where none is held [1]."""
    row = by_key("ghs_m_factors").get(substance)
    return float(row["acute" if "Acute" in hazard_class else "chronic"]) if row else 1.0


def label_element(hazard_class: str) -> LabelElement:
    """Return what a hazard class puts on a label.

    Raises:
        Refusal: there is no such class in the table.

    Example:
        >>> label_element("Skin Corr. 1B")
        LabelElement(hazard_class='Skin Corr. 1B', code='H314', pictogram='GHS05', signal_word='Danger')
    """
    row = by_key("ghs_label_elements").get(hazard_class)
    if row is None:
        raise Refusal(f"there is no hazard class '{hazard_class}'", where="label elements",
                      remedy="write it as in Skin Corr. 1B or Acute Tox. 4 (oral)")
    return LabelElement(hazard_class, row["code"], row["pictogram"], row["signal_word"])


def label_element_of_statement(code: str) -> LabelElement | None:
    """Return what a hazard statement puts on a label; None for one that is of no class.

    Where classes of different severity share the statement, the strictest is meant: "Danger" before "Warning".

    Example:
        >>> label_element_of_statement("H314").signal_word
        'Danger'
    """
    found = [label_element(name) for name, row in by_key("ghs_label_elements").items() if row["code"] == code]
    return min(found, key=lambda one: one.signal_word != "Danger", default=None)


def has_label_element(hazard_class: str) -> bool:
    """Return whether the table holds a class; statements of the EUH kind have no class of their own."""
    return hazard_class in by_key("ghs_label_elements")


def pictogram_name(code: str) -> str:
    """Return the name of a pictogram's symbol.

    Raises:
        Refusal: there is no such pictogram.

    Source: UN GHS, 1.4.10.4 (from memory); the codes are those of Regulation (EC) 1272/2008, Annex V.

    Example:
        >>> pictogram_name("GHS05")
        'corrosion'
    """
    row = by_key("ghs_pictograms").get(code)
    if row is None:
        raise Refusal(f"there is no pictogram '{code}'", where="label elements", remedy="write a code such as GHS05")
    return row["name"]


def precautions(hazard_class: str, stage: str) -> tuple[Precaution, ...]:
    """Return the precautionary statements from which a supplier chooses for a class.

    Arguments:
        hazard_class: in the standard's short names.
        stage: "prevention", "response", "storage" or "disposal".

    Raises:
        Refusal: no such stage.
    """
    if stage not in STAGES:
        raise Refusal(f"there is no stage '{stage}'", where="precautions", remedy=f"name {' or '.join(STAGES)}")
    row = by_key("ghs_precautions_by_class").get(hazard_class)
    return tuple(Precaution(code, precaution_wording(code)) for code in (row[stage].split() if row else ()))


def precaution_wording(code: str) -> str:
    """Return our short wording of a precautionary statement, joined codes joined by a colon and semicolons.

    Raises:
        Refusal: there is no such code in the table.

    Source: UN GHS, Annex 3, for the codes before the renumbering of medical advice; the wording is ours.

    Example:
        >>> precaution_wording("P301+P330+P331")
        'IF SWALLOWED: rinse the mouth; do not bring on vomiting'
    """
    held = by_key("ghs_precautions")
    parts = code.strip().split("+")
    if not all(part in held for part in parts):
        raise Refusal(f"there is no precautionary statement '{code}'", where="precautions",
                      remedy="write a code of the globally harmonised system, such as P280")
    first, *following = (held[part]["wording"] for part in parts)
    return f"{first}: {'; '.join(word[0].lower() + word[1:] for word in following)}" if following else first


def precautionary_statement(code: str, stated: str = "", language: str = "en") -> str:
    """Return the published wording of a precautionary statement; of joined codes the parts' one after the other.

    Arguments:
        code: of the globally harmonised system, joined codes with a plus sign ("P305+P351+P338").
        stated: what stands where the wording leaves something open ("hands", "an approved waste disposal plant").
            Without it the last alternative after a stroke falls away, and any other place keeps its three dots.
        language: "en" or "de".

    Raises:
        Refusal: a code is not in the table, or there is no wording in the language.

    Source: UN GHS, Annex 3, section 2, before the renumbering of medical advice; German: Regulation (EC) 1272/2008,
        Annex IV.

    Example:
        >>> precautionary_statement("P301+P330+P331")
        'IF SWALLOWED: Rinse mouth. Do NOT induce vomiting.'
        >>> precautionary_statement("P264", "hands")
        'Wash hands thoroughly after handling.'
    """
    held = by_key("ghs_precautionary_statements")
    whole = code.strip()
    parts = [whole] if whole in held else whole.split("+")
    if missing := [part for part in parts if part not in held]:
        raise Refusal(f"there is no precautionary statement '{missing[0]}'", where="precautions",
                      remedy="write a code of the globally harmonised system, such as P280")
    if language not in WORDINGS:
        raise Refusal(f"there are no precautionary statements in the language '{language}'", where="precautions",
                      remedy=f"choose one of {', '.join(WORDINGS)}")
    text = " ".join(held[part][WORDINGS[language]] for part in parts)
    text = text.replace(LEFT_OPEN, stated) if stated else text.replace(f"/{LEFT_OPEN}", "")
    return text if text.endswith((".", LEFT_OPEN)) else f"{text}."


def precaution_of(line: str) -> tuple[str, str]:
    """Return the code of a precaution as somebody writes it, and what is stated after a colon.

    Example:
        >>> precaution_of("p501 : an approved waste disposal plant")
        ('P501', 'an approved waste disposal plant')
    """
    code, _, stated = line.partition(":")
    return "".join(code.split()).upper(), " ".join(stated.split())


def protection(hazard_class: str) -> Protection:
    """Return what to wear and where to work with a hazard class; empty where nothing beyond good practice is asked."""
    for beginning, row in by_key("protection_by_class").items():
        if hazard_class.startswith(beginning):
            return Protection(row["eyes"], row["skin"], row["breathing"])
    return Protection("", "", "")


def _limit(row: Row) -> ConcentrationLimit:
    return ConcentrationLimit(
        row["hazard_class"], row["code"], float(row["from_percent"] or 0), number(row["below_percent"]),
        row["lower_bound"] == "included", row["upper_bound"] == "included", row["kind"], row["chosen"] == "yes",
        citation(row), row["status"], row["note"],
    )


def _plain_limit(row: Row) -> ConcentrationLimit:
    return ConcentrationLimit(
        row["hazard_class"], row["code"], float(row["from_percent"]), number(row["below_percent"]),
        includes_lower=True, includes_upper=False, kind="generic limit", chosen=True, source=citation(row),
        status=row["status"], note=row["note"],
    )
