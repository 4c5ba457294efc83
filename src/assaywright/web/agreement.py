"""Why don't we agree? What is computed of an enquiry, in the words of its page, and a reply to begin from."""

from dataclasses import dataclass

from assaywright.assay.agree.causes import Causes
from assaywright.assay.agree.discrepancy import AGREED, WITHIN_OURS, Comparison
from assaywright.assay.agree.limits import BELOW, NOT_COMPARABLE, AgainstLimits
from assaywright.assay.agree.size import Cause
from assaywright.assay.wording import written_figures, written_number, written_probability
from assaywright.metrology.conformity import CONFORMS, DOES_NOT_CONFORM, NOT_PROVEN
from assaywright.metrology.rounding import report
from assaywright.records.printed import as_printed
from assaywright.records.selectors.enquiries import Asked, Compared
from assaywright.web.said import in_words

NOT_TITRATED = "Causes are computed where our figure was titrated here; this one was entered from its source."
SIDE_BY_SIDE = "Please titrate with your titrant and with ours side by side; we can send a bottle with its certificate."
_BY_RULE = {CONFORMS: "conforms", DOES_NOT_CONFORM: "does not conform", NOT_PROVEN: "is not proven to conform"}
NOT_REVIEWED = "not to be told to a customer yet"
ALL_OF_IT = 1.1  # shares above it are more than the difference: both are printed to two figures


@dataclass(frozen=True)
class Explained:
    """One cause as a page shows it: in words, its size as printed, relative, and how much it would explain.

    Fields:
        same_way: whether it acts the way the difference lies.
    """

    words: str
    size: str
    relative: str
    said: str
    experiment: str
    same_way: bool


@dataclass(frozen=True)
class Agreement:
    """What the page of an enquiry says of the two figures.

    Fields:
        trouble: why they cannot be compared, in a sentence.
        ours, theirs, difference: as printed.
        score: E_n as printed; empty where they stated no uncertainty.
        verdict: in a sentence or two. grave: whether it is a discrepancy.
        limits: where theirs lies by the limits, and whether ours conforms and how likely; outside: whether theirs lies
            beyond one, or ours does not conform.
        told: causes that the customer told; together: what they come to, and what stays unexplained.
        causes: guessed ones that would explain it, the nearest first. experiment: the one to ask the customer for.
        no_causes: why none is computed. left_out: what of them could not be.
        not_reviewed: that our figure is not to be told yet, with what waits for a review; empty where none does.
        reply: a text to begin from; empty while our figure is not reviewed.
    """

    trouble: str = ""
    ours: str = ""
    theirs: str = ""
    difference: str = ""
    score: str = ""
    verdict: str = ""
    grave: bool = False
    limits: str = ""
    outside: bool = False
    worksheet: str = ""
    told: tuple[Explained, ...] = ()
    together: str = ""
    causes: tuple[Explained, ...] = ()
    experiment: str = ""
    no_causes: str = ""
    left_out: tuple[str, ...] = ()
    not_reviewed: str = ""
    reply: str = ""


def agreement(asked: Asked, found: Compared, name: str) -> Agreement:
    """Return what a page says of an enquiry's two figures.

    Arguments:
        name: of whoever would answer.
    """
    if found.comparison is None:
        trouble = in_words(found.trouble) if found.trouble else ""
        return Agreement(trouble, worksheet=found.worksheet, reply=_closing(_opening(asked), name))
    one, limits = found.comparison, found.limits
    verdict = _verdict(one)
    ours = f"{as_printed(one.ours, one.our_uncertainty, one.unit)}, k = {written_figures(one.our_coverage_factor, 3)}"
    theirs, difference = _theirs(asked), _difference(one)
    score = "" if one.normalised_error is None else written_figures(one.normalised_error, 2)
    held = _held_against(limits, asked) if limits else ""
    told, guessed, experiment = _explained(found.causes, one)
    together = _together(found.causes, one) if found.causes and told else ""
    figures = f"We found {ours}; you found {theirs}. The difference, yours less ours, is {difference}."
    lines = [*_opening(asked), figures, *filter(None, (verdict, _to_them(held))),
             *_said_of(told, together, guessed), *filter(None, (experiment,))]
    not_reviewed = f"{NOT_REVIEWED} ({', '.join(found.unreviewed)})" if found.unreviewed else ""
    return Agreement(
        "", ours, theirs, difference, score, verdict, one.is_discrepancy, held,
        limits is not None and (limits.outside or limits.ours.decision != CONFORMS), found.worksheet, told, together,
        guessed, experiment, NOT_TITRATED if one.is_discrepancy and found.causes is None else "",
        tuple(in_words(each) for each in found.causes.left_out) if found.causes else (), not_reviewed,
        "" if not_reviewed else _closing(lines, name))


def _held_against(limits: AgainstLimits, asked: Asked) -> str:
    """Return where theirs lies by the limits, and whether ours conforms and how likely, in a sentence or two."""
    found = asked.enquiry.content["found"]
    if limits.theirs == NOT_COMPARABLE:
        told = f"Theirs is stated otherwise than the limits, {limits.limits}, and is not held against them."
    elif limits.outside:
        side = "lower" if limits.theirs == BELOW else "upper"
        told = (f"Theirs, {found}, lies {limits.theirs} the {side} limit of {limits.passed}: by their figure it is "
                "outside the limits, whatever E_n says.")
    else:
        told = f"Theirs, {found}, lies within the limits, {limits.limits}."
    chance = limits.ours.conformance_probability
    likely = f" with a probability of {written_probability(chance)}" if chance is not None else ""
    decision = _BY_RULE.get(limits.ours.decision, limits.ours.decision)
    return f"{told} Ours {decision} by {limits.ours.rule}: it lies within them{likely}."


def _explained(found: Causes | None, one: Comparison) -> tuple[tuple[Explained, ...], tuple[Explained, ...], str]:
    """Return the causes as a page shows them, those told and those guessed, and the experiment.

    Of the guessed ones the nearest that acts as what is left does comes first.
    """
    if found is None:
        return (), (), ""
    nearest = found.nearest
    told = tuple(_shown(each, one, one.difference, "") for each in found.told)
    left = " left" if any(each.size for each in found.told) else ""
    ranked = sorted(found.ranked, key=lambda each: each.size * found.left <= 0)
    guessed = tuple(_shown(each, one, found.left, left) for each in ranked)
    return told, guessed, nearest.experiment if nearest else SIDE_BY_SIDE


def _together(found: Causes, one: Comparison) -> str:
    moved, left = (_percent(100 * each / one.ours) for each in (found.together, found.left))
    whole = _percent(one.relative_percent)
    if not found.together:
        return f"It moves nothing: {whole} stays unexplained."
    size = f"{_sign(found.together)}{written_figures(found.together, 2)} {one.unit}"
    return (f"Done together, in one computation, they move theirs by {size}, {moved} of the {whole}; {left} stays "
            "unexplained.")


def _said_of(told: tuple[Explained, ...], together: str, guessed: tuple[Explained, ...]) -> list[str]:
    """Return to the customer what they told and what it comes to, and the nearest of what is guessed."""
    lines = []
    if told:
        each = "; ".join(f"{_to_them(one.words)} ({one.relative or 'nothing'})" for one in told)
        lines.append(f"Of what you told us: {each}. {_to_them(together)}")
    if guessed and guessed[0].same_way:
        lines.append(f"We do not know the cause{' of what is left' if told else ''}. Of what we have computed, one "
                     f"comes nearest: {_to_them(guessed[0].words)}. It {guessed[0].said}.")
    return lines


def _shown(one: Cause, comparison: Comparison, explained: float, left: str) -> Explained:
    """Return a cause as a page shows it, held against a difference or what is left of it."""
    if not one.size:
        return Explained(one.words, "0", "", "moves nothing", one.experiment, same_way=False)
    relative = _percent(100 * one.size / comparison.ours)
    share = one.size / explained if explained else 0.0
    whole = f"{_percent(100 * explained / comparison.ours)}{left}"
    if share <= 0:
        said = "acts the other way"
    elif share <= ALL_OF_IT:
        said = f"would explain {relative} of the {whole}"
    else:
        said = f"would by itself make {relative}, more than the {whole}"
    return Explained(one.words, f"{_sign(one.size)}{written_figures(one.size, 2)} {comparison.unit}", relative, said,
                     one.experiment, share > 0)


def _to_them(words: str) -> str:
    """Return a cause in words to the customer."""
    for theirs, yours in (("theirs", "yours"), ("Theirs", "Yours"), ("their", "your"), ("they ", "you ")):
        words = words.replace(theirs, yours)
    return words


def _percent(value: float) -> str:
    return f"{_sign(value)}{written_figures(value, 2)} %"


def _theirs(asked: Asked) -> str:
    told = asked.enquiry.content
    if not told.get("uncertainty"):
        return f"{told['found']}, no uncertainty stated"
    return f"{told['found']} ± {told['uncertainty']}, k = {told.get('coverage_factor', '2')}"


def _difference(one: Comparison) -> str:
    """Return the difference with its sign, to the decimal place of our uncertainty, and relative to ours."""
    relative = f"{_sign(one.difference)}{written_figures(one.relative_percent, 2)} %"
    return f"{signed(one.difference, one.our_uncertainty)} {one.unit} ({relative})"


def signed(value: float, expanded_uncertainty: float) -> str:
    """Return a difference with its sign, to the decimal place that our uncertainty is printed to."""
    return f"{_sign(value)}{written_number(report(value, expanded_uncertainty)[0])}"


def _sign(value: float) -> str:
    return "+" if value > 0 else ""


def _verdict(one: Comparison) -> str:
    if one.normalised_error is not None:
        score = written_figures(one.normalised_error, 2)
        if one.verdict == AGREED:
            return (f"It is no discrepancy: E_n is {score}, and up to 1 in magnitude two results agree within their "
                    "uncertainties.")
        return (f"It is a discrepancy: E_n is {score}, beyond 1 in magnitude, so the two uncertainties do not explain "
                "it.")
    if one.verdict == WITHIN_OURS:
        return ("It is no discrepancy: the difference lies within our expanded uncertainty alone, whatever the other "
                "one may be.")
    needed = written_figures(one.would_agree_from or 0.0, 2)
    relative = written_figures(100 * (one.would_agree_from or 0.0) / one.ours, 2)
    return (f"Whether it is a discrepancy cannot be said before the other uncertainty is known: the difference is "
            f"larger than ours alone. The two agree if the expanded uncertainty of the other figure is {needed} "
            f"{one.unit} ({relative} %) or more, k = 2. It is asked for.")


def _opening(asked: Asked) -> list[str]:
    about = asked.enquiry
    what = f"{asked.characteristic} of " if asked.characteristic else ""
    certificate = f", certificate {about.certificate}" if about.certificate else ""
    return [f"Your enquiry {about.identity} of {about.received}: {what}{about.about}{certificate}."]


def _closing(lines: list[str], name: str) -> str:
    return "\n\n".join([*lines, f"{name} answers for this reply."])
