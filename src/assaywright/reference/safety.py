"""What is dangerous about a substance and with what it must not meet. The safety data sheet has the last word."""

import re
from dataclasses import dataclass

from assaywright.metrology.refusal import Refusal
from assaywright.reference.load import Row, by_key, citation, table
from assaywright.reference.substances import substance

WORDINGS = {"en": "wording", "de": "german"}


@dataclass(frozen=True, slots=True)
class HazardStatement:
    """A hazard statement: its code and its published wording."""

    code: str
    wording: str


@dataclass(frozen=True, slots=True)
class Hazards:
    """How a substance, or a solution of it, is classified by one source.

    Fields:
        substance: its name.
        form: "solid" or the range of strength in words.
        from_percent, below_percent: range of the mass fraction, lower bound included; none where it has none [%].
        hazard_classes: in the standard's short names.
        statements: code and wording; empty when the source gives none.
        pictograms: codes.
        signal_word: "Danger", "Warning" or empty.
        basis: "harmonised", "supplier or self-classification", "limits by mass fraction" or "not classified".
        chosen: whether it is the classification in use where sources differ.
        source: who says so.
        status: "read" or "recalled".
        note: where sources differ.
    """

    substance: str
    form: str
    from_percent: float | None
    below_percent: float | None
    hazard_classes: tuple[str, ...]
    statements: tuple[HazardStatement, ...]
    pictograms: tuple[str, ...]
    signal_word: str
    basis: str
    chosen: bool
    source: str
    status: str
    note: str


@dataclass(frozen=True, slots=True)
class Incompatibility:
    """Two things that must not meet, or only with care.

    Fields:
        one, other: the pair, by name or by family.
        effect: what happens.
        product: what forms, where it is named.
        severity: "severe", "moderate" or "low".
        source: who says so.
        status: "read" or "recalled".
        note: what to know about it.
    """

    one: str
    other: str
    effect: str
    product: str
    severity: str
    source: str
    status: str
    note: str


def hazard_statement(code: str, language: str = "en") -> str:
    """Return the published wording of a hazard statement.

    Arguments:
        code: of the globally harmonised system ("H314", "EUH031").
        language: "en" or "de".

    Raises:
        Refusal: there is no such code in the table, or no wording in the language.

    Source: UN GHS, Annex 3, section 1; German and the EUH codes: Regulation (EC) 1272/2008, Annex III.

    Example:
        >>> hazard_statement("H290")
        'May be corrosive to metals'
    """
    row = by_key("ghs_statements").get(code.strip())
    if row is None:
        raise Refusal(f"there is no hazard statement '{code}'", where="hazards",
                      remedy="write a code of the globally harmonised system, such as H314")
    if language not in WORDINGS:
        raise Refusal(f"there are no hazard statements in the language '{language}'", where="hazards",
                      remedy=f"choose one of {', '.join(WORDINGS)}")
    return row[WORDINGS[language]]


def hazard_statements() -> tuple[HazardStatement, ...]:
    """Return every hazard statement of the table, in its published English wording.

    Source: UN GHS, Annex 3, section 1, and Regulation (EC) 1272/2008, Annex III.

    Example:
        >>> hazard_statements()[-1].code
        'EUH210'
    """
    return tuple(HazardStatement(row["key"], row["wording"]) for row in table("ghs_statements").rows)


def hazards(name: str, mass_percent: float | None = None) -> tuple[Hazards, ...]:
    """Return how a substance is classified, chosen source first, then those that differ.

    Arguments:
        name: of the substance, see :func:`assaywright.reference.substances.substance`.
        mass_percent: mass fraction of a solution [%]; without it the entries of the substance as such are given.

    Returns: the entries that hold; empty where the table settles nothing for that strength. Metal corrosion and
        oxidising power of mixtures are judged by tests: ask the safety data sheet.

    Raises:
        Refusal: no such substance, or a mass fraction outside 0 to 100 %.

    Example:
        >>> [one.code for one in hazards("NaOH", 1.0)[0].statements]
        ['H315', 'H319']
    """
    if mass_percent is not None and not 0 <= mass_percent <= 100:
        raise Refusal(f"a mass fraction of {mass_percent:g} %", where="hazards", remedy="give 0 to 100 %")
    wanted = substance(name).name
    rows = [row for row in table("hazards").rows if row["substance"] == wanted and _holds(row, mass_percent)]
    if mass_percent is None:
        rows = [row for row in rows if row["basis"] != "limits by mass fraction"]
    return tuple(_hazards(row) for row in sorted(rows, key=lambda row: row["chosen"] != "yes"))


def incompatibilities(*names: str) -> tuple[Incompatibility, ...]:
    """Return the dangerous pairs that concern substances.

    Arguments:
        names: one substance, for all pairs that name it or its family; or several, for the pairs among them.

    Raises:
        Refusal: no name, or no such substance.

    Example:
        >>> incompatibilities("sodium hypochlorite", "hydrochloric acid")[0].product
        'Cl2'
    """
    if not names:
        raise Refusal("no substance is named", where="incompatibilities", remedy="name one or more")
    terms = [_terms(name) for name in names]
    found = []
    for row in table("incompatibilities").rows:
        if len(terms) == 1:
            meets = any(_mentions(row[side], terms[0]) for side in ("one", "other"))
        else:
            meets = any(
                _mentions(row["one"], first) and _mentions(row["other"], second)
                for a, first in enumerate(terms) for b, second in enumerate(terms) if a != b
            )
        if meets:
            found.append(Incompatibility(row["one"], row["other"], row["effect"], row["product"], row["severity"],
                                         citation(row), row["status"], row["note"]))
    return tuple(found)


def _holds(row: Row, mass_percent: float | None) -> bool:
    if mass_percent is None:
        return True
    if not row["from_percent"] and not row["below_percent"]:
        return False
    below = float(row["below_percent"]) if row["below_percent"] else 100.1
    return float(row["from_percent"] or 0) <= mass_percent < below


def _hazards(row: Row) -> Hazards:
    codes = f"{row['h_codes']} {row['euh_codes']}".split()
    return Hazards(
        row["substance"], row["form"],
        float(row["from_percent"]) if row["from_percent"] else None,
        float(row["below_percent"]) if row["below_percent"] else None,
        tuple(part.strip() for part in row["hazard_classes"].split(";") if part.strip()),
        tuple(HazardStatement(code, hazard_statement(code)) for code in codes),
        tuple(row["pictograms"].split()), row["signal_word"], row["basis"], row["chosen"] == "yes", citation(row),
        row["status"], row["note"],
    )


def _terms(name: str) -> tuple[str, ...]:
    found = substance(name)
    return tuple(term.casefold() for term in (found.name, *found.aliases, *found.groups))


def _mentions(text: str, terms: tuple[str, ...]) -> bool:
    return any(re.search(rf"(?<!\w){re.escape(term)}(?!\w)", text.casefold()) for term in terms)
