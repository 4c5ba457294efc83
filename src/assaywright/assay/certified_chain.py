"""The traceability chains that a certificate draws."""

from dataclasses import dataclass, replace

from assaywright.assay.evaluate_lot import LotOutcome
from assaywright.assay.result import ChainLink

DRAWN_ABOVE = "what it rests on is drawn above"


@dataclass(frozen=True, slots=True)
class CertifiedChain:
    """The traceability chain behind the characteristics that one worksheet assays."""

    characteristics: tuple[str, ...]
    chain: ChainLink


def certified_chains(outcome: LotOutcome) -> tuple[CertifiedChain, ...]:
    """Return the chain of each worksheet behind a lot; what stands in two is drawn once."""
    seen: set[ChainLink] = set()
    return tuple(
        CertifiedChain(tuple(item.name for item in outcome.characteristics if item.outcome is evaluated),
                       _drawn_once(evaluated.chain, seen))
        for evaluated in outcome.outcomes)


def _drawn_once(link: ChainLink, seen: set[ChainLink]) -> ChainLink:
    """Return a chain in which a branch that was drawn before only points back to where it was."""
    if not link.rests_on:
        return link
    if link in seen:
        return replace(link, valid="; ".join(filter(None, (link.valid, DRAWN_ABOVE))), rests_on=())
    seen.add(link)
    return replace(link, rests_on=tuple(_drawn_once(below, seen) for below in link.rests_on))
