"""Why don't we agree? What is computed of an enquiry, in the words of its page, and a reply to begin from."""

from dataclasses import dataclass

from assaywright.assay.agree.discrepancy import AGREED, WITHIN_OURS, Comparison
from assaywright.assay.agree.size import Cause
from assaywright.assay.wording import written_figures, written_number
from assaywright.metrology.rounding import report
from assaywright.records.printed import as_printed
from assaywright.records.selectors.enquiries import Asked, Compared
from assaywright.web.said import in_words

NOT_TITRATED = "Causes are computed where our figure was titrated here; this one was entered from its source."
SIDE_BY_SIDE = "Please titrate with your titrant and with ours side by side; we can send a bottle with its certificate."
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
        causes: that would explain it, the nearest first. experiment: the one to ask the customer for.
        no_causes: why none is computed. left_out: what of them could not be.
        reply: a text to begin from.
    """

    trouble: str = ""
    ours: str = ""
    theirs: str = ""
    difference: str = ""
    score: str = ""
    verdict: str = ""
    grave: bool = False
    worksheet: str = ""
    causes: tuple[Explained, ...] = ()
    experiment: str = ""
    no_causes: str = ""
    left_out: tuple[str, ...] = ()
    reply: str = ""


def agreement(asked: Asked, found: Compared, name: str) -> Agreement:
    """Return what a page says of an enquiry's two figures.

    Arguments:
        name: of whoever would answer.
    """
    if found.comparison is None:
        trouble = in_words(found.trouble) if found.trouble else ""
        return Agreement(trouble, worksheet=found.worksheet, reply=_closing(_opening(asked), name))
    one = found.comparison
    verdict = _verdict(one)
    ours = f"{as_printed(one.ours, one.our_uncertainty, one.unit)}, k = {written_figures(one.our_coverage_factor, 3)}"
    theirs, difference = _theirs(asked), _difference(one)
    score = "" if one.normalised_error is None else written_figures(one.normalised_error, 2)
    figures = f"We found {ours}; you found {theirs}. The difference, yours less ours, is {difference}."
    shown, experiment = _explained(found, one)
    lines = [*_opening(asked), figures, verdict]
    if shown and shown[0].same_way:
        lines.append("We do not know the cause. Of what we have computed, one comes nearest: "
                     f"{_to_them(shown[0].words)}. It {shown[0].said}.")
    lines += [experiment] if experiment else []
    no_causes = NOT_TITRATED if one.is_discrepancy and found.causes is None else ""
    left_out = tuple(in_words(each) for each in found.causes.left_out) if found.causes else ()
    return Agreement("", ours, theirs, difference, score, verdict, one.is_discrepancy, found.worksheet, shown,
                     experiment, no_causes, left_out, _closing(lines, name))


def _explained(found: Compared, one: Comparison) -> tuple[tuple[Explained, ...], str]:
    """Return the causes as a page shows them, the nearest that acts the same way first, and the experiment."""
    if found.causes is None:
        return (), ""
    nearest = found.causes.nearest(one.difference)
    ranked = sorted(found.causes.ranked, key=lambda each: each.size * one.difference <= 0)
    shown = tuple(_shown(each, one) for each in ranked)
    return shown, nearest.experiment if nearest else SIDE_BY_SIDE


def _shown(one: Cause, comparison: Comparison) -> Explained:
    relative = _percent(100 * one.size / comparison.ours)
    share = one.size / comparison.difference
    whole = _percent(comparison.relative_percent)
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
    return words.replace("theirs", "yours").replace("their", "your").replace("they tell", "you tell")


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
