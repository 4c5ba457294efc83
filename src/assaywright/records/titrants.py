"""Titrants as lots of their own: what the certificate of a standard solution says, and what it rests on.

What a certificate must say of a solution and within which limits it has to lie stands in the records with the solution.
A standardisation that was imported from a worksheet file can state the same in the file; what the records state goes
before it.
"""

from collections.abc import Mapping
from typing import Any

from assaywright.assay.evaluate_lot import LotOutcome, evaluate_lot
from assaywright.assay.observations import Lot as LotFile
from assaywright.assay.worksheet import FORMAT, read_bytes
from assaywright.records.accepted import with_what_was_accepted
from assaywright.records.accreditation import covered
from assaywright.records.bridge import evaluate_titrant_lot, open_by_path
from assaywright.records.models import Assay, Signature, Solution
from assaywright.records.models.assays import VOID
from assaywright.records.toml_text import toml_text

PLACE_OF_SOLUTIONS = "solution-"
LIMITS = "limits"
UNCLASSIFIED = "unclassified"  # somebody in charge has stated that no hazard statement applies


def certified_facts(solution: Solution) -> dict[str, Any]:
    """Return what the records state of a solution for its certificate, its limits under ``limits``; empty for none."""
    found: dict[str, Any] = solution.content.get("certified", {})
    return found


def certified_by(solution: Solution) -> Assay | None:
    """Return the standardisation that a certificate of the solution rests on, or None.

    It is the last one that was signed by a reviewer; where the records state nothing of the solution, the last of those
    whose worksheet does. One that is reopened goes on counting, and holds the certificate back; a void one never
    counts.
    """
    known: set[str] = set() if certified_facts(solution) else {"lot", "specification"}
    every = Assay.objects.filter(about=solution.identity, kind="standardisation").exclude(stage=VOID)
    signed = every.filter(pk__in=Signature.objects.values("subject")).order_by("performed", "identity")
    return next((one for one in reversed(signed) if known <= one.content.keys()), None)


def titrant_lot(solution: Solution, assay: Assay, **said: Any) -> LotOutcome | None:
    """Return a solution as the lot that one of its standardisations certifies, or None where nothing is stated of it.

    Arguments:
        said: fields of a lot file that its certificate says besides: certificate_number, issued, responsible …

    Raises:
        Refusal: the worksheet cannot be evaluated.
    """
    from dataclasses import replace

    facts = certified_facts(solution)
    if not facts:
        return evaluate_titrant_lot(assay, **said)
    product = str(facts.get("product", "") or solution.name)
    accredited = covered(assay, product=product, characteristic=str(facts[LIMITS]["name"]))
    lot = lot_file_of(solution.identity, {"product": product, **facts}, worksheet=assay.path, accredited=accredited)
    return with_what_was_accepted(evaluate_lot(replace(lot, **said), open_by_path))


def lot_file_of(identity: str, facts: Mapping[str, Any], *, worksheet: str, accredited: bool = False) -> LotFile:
    """Return a solution as a lot file whose one characteristic is its concentration.

    Arguments:
        facts: as a lot file states them, and the limits as those of a characteristic.
        worksheet: path of the standardisation.

    Raises:
        Refusal: a lot file would refuse it.
    """
    table = {"format": FORMAT, "kind": "lot", **{key: value for key, value in facts.items()
                                                 if key not in (LIMITS, UNCLASSIFIED)},
             "id": identity, "characteristic": [{**facts[LIMITS], "worksheet": worksheet, "accredited": accredited}]}
    found = read_bytes(toml_text(table).encode(), f"{PLACE_OF_SOLUTIONS}{identity}.toml")
    if not isinstance(found, LotFile):
        raise TypeError(identity)
    return found
