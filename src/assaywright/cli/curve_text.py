"""A titration curve told in text."""

from collections.abc import Iterable, Iterator

import numpy as np

from assaywright.chemistry.indicator import Ranking, VisualEndpoint, signed
from assaywright.chemistry.indicator_pair import Cancellation
from assaywright.cli.curve import Followed, Told
from assaywright.cli.figures import figures, fixed
from assaywright.cli.tables import NARROWEST, Column, drawn, heading, paragraph
from assaywright.reports.curve_conditions import conditions
from assaywright.reports.curve_picture import label_of, written

PLACES_ALONG = (0.0, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.98, 0.99, 0.995, 0.998, 0.999, 1.0, 1.001, 1.002, 1.005, 1.01,
                1.02, 1.05, 1.1, 1.25, 1.5)
FEW = 6
HIDDEN_WITHIN = 0.1
WIDTH_OF_FIGURES = 63
SWATCHES = "Colours are swatches of our own choosing beside their words; none is measured."


def curve_lines(told: Told, width: int) -> Iterator[str]:
    """Yield the lines of a curve.

    Arguments:
        told: what was asked and found.
        width: of the terminal.
    """
    followed = told.followed
    yield from paragraph(followed.title, width, first="")
    yield from paragraph(conditions(followed.system), width, first="")
    yield from _equivalence(followed, width)
    yield from _table(followed, width)
    for ranking in followed.rankings:
        yield from _indicators(ranking, width, everything=told.everything)
    yield from _checked(followed, width)
    yield from _shown(told, width)


def _checked(followed: Followed, width: int) -> Iterator[str]:
    """Yield what a method's own endpoints miss the way the method titrates, its blank taken off and its colour matched.

    The rankings above know no blank; ``methods --check`` has the figures told here.
    """
    if not followed.checked:
        return
    yield from heading("the method's own endpoint", "as methods --check has it")
    for one in followed.checked:
        which = "" if one.endpoint == "endpoint" else f"{one.endpoint}: "
        yield from paragraph(f"{which}{one.sentence}", width)


def notes(told: Told) -> Iterator[str]:
    """Yield what stands below a drawing."""
    yield told.ranking.verdict
    if told.end is not None and told.end is not told.ranking.by_error[0]:
        yield _of_shown(told.end)
    yield from _of_unheld(told)
    yield from hidden_words(told.followed)
    if told.cancelled is not None:
        yield from cancelled_words(told)
    if np.any(told.followed.curve.beyond_limit):
        yield beyond_words()
    if told.end is not None:
        yield SWATCHES


def _of_unheld(told: Told) -> Iterator[str]:
    """Yield that the method's own indicator is not held and which one stands in its place."""
    if told.followed.unheld:
        shown = f"{told.end.indicator.name}, which the method does not name," if told.end is not None else "none"
        yield (f"The method names '{told.followed.unheld}', which is no indicator held here: {shown} is shown in its "
               "place.")


def hidden_words(followed: Followed) -> tuple[str, ...]:
    """Return, for each equivalence point hidden by a later one of another family, by how much that one misses it."""
    every = [(one.name, float(np.ravel(one.volume_mL)[0]), distinct) for one, distinct in
             zip(followed.curve.equivalence_points, followed.curve.distinct, strict=True)]
    seen = {name.split(", step ")[0] for name, _at, distinct in every if distinct}
    told = []
    for name, at, distinct in every:
        later = [(other, where) for other, where, shown in every if shown and at < where <= at * (1 + HIDDEN_WITHIN)]
        if not distinct and name.split(", step ")[0] not in seen and later:
            other, where = later[0]
            told.append(f"The equivalence point of {name} at {fixed(at, 3)} mL makes no jump of its own. The jump "
                        f"belongs to {other} at {fixed(where, 3)} mL, {_percent(100 * (where / at - 1))} away, and the "
                        f"indicators are ranked there: an endpoint there counts what is titrated between as {name}.")
    return tuple(told)


def _of_shown(one: VisualEndpoint) -> str:
    drops = "" if one.crossing_drops is None else f"; {fixed(one.crossing_drops, 1)} drops through its interval"
    return (f"Drawn is {one.indicator.name}: titration error {signed(one.titration_error_mL)} mL with a standard "
            f"uncertainty of {fixed(one.standard_uncertainty_mL, 3)} mL{drops}.")


def cancelled_words(told: Told) -> Iterator[str]:
    """Yield how much of the titration error cancels: with the standardisation's own indicator, then with the same."""
    if told.cancelled is not None:
        yield _cancelled(told.cancelled, f"Against {told.against}, by {told.cancelled.indicators[1]}")
    if told.with_the_same is not None:
        name = told.with_the_same.indicators[1]
        yield _cancelled(told.with_the_same, f"Were {name} taken in the standardisation too, which does not name it")


def _cancelled(found: Cancellation, against: str) -> str:
    shared = ("the same change of the same indicator" if found.shared
              else "another indicator or the opposite change, so that the tint is not shared")
    first, second, net = map(_percent, (found.assay_percent, found.standardisation_percent, found.net_percent))
    alone, other, left = (fixed(value, 3) for value in (
        found.without_percent[1], found.standardisation_uncertainty_percent, found.standard_uncertainty_percent))
    gone = ("the two errors add up" if found.adds_up else
            "the standardisation's error is the larger by far" if found.cancelled_percent < 0 else
            f"{fixed(found.cancelled_percent, 0)} % of the error cancels")
    doubt = (" The uncertainty does not: it grows, since the standardisation's endpoint is the less sharp one."
             if found.shared and found.is_less_certain else "")
    own = ", taken with the opposite sign since what is sought is in the burette," if found.inverse else ""
    less = "and, its titrant having stood in the flask," if found.reversed else "less"
    return (f"{against} ({shared}): {first} with a standard uncertainty of {alone} %{own} {less} {second} with "
            f"{other} % leaves {net} with {left} %; {gone}.{doubt}")


def beyond_words() -> str:
    """Return the warning that the model of activities was held at its limit."""
    return "The ionic strength is beyond the limit of the activity model at some points, where it is held."


def _percent(value: float) -> str:
    sign = "+" if value > 0 and round(value, 3) else ""
    return f"{sign}{fixed(value, 3)} %"


def _equivalence(followed: Followed, width: int) -> Iterator[str]:
    yield from heading("equivalence points")
    curve, label = followed.curve, label_of(followed.curve)
    rows = []
    for one, distinct in zip(curve.equivalence_points, curve.distinct, strict=True):
        volume = float(np.ravel(one.volume_mL)[0])
        value = float(np.interp(volume, curve.volume_mL, curve.values))
        rows.append([fixed(volume, 3), written(value, curve), one.name, "yes" if distinct else "no, hidden"])
    yield from drawn([Column("volume / mL", right=True), Column(label, right=True), Column("titrated", flexible=True),
                      Column("a jump to see")], rows, width)
    for words in hidden_words(followed):
        yield from paragraph(words, width)


def _table(followed: Followed, width: int) -> Iterator[str]:
    yield from heading("curve")
    curve = followed.curve
    last = float(np.ravel(curve.equivalence_points[-1].volume_mL)[0])
    volumes = np.array(PLACES_ALONG) * last
    finite = np.isfinite(curve.values)
    values = np.interp(volumes, curve.volume_mL[finite], curve.values[finite], left=np.nan)
    slopes = np.interp(volumes, curve.volume_mL[finite], curve.first_derivative[finite], left=np.nan)
    label = label_of(curve)
    unit = "V/mL" if curve.quantity == "potential_V" else "per mL"
    rows = [[fixed(volume, 3), fixed(100 * volume / last, 1), written(value, curve), figures(float(slope), 3)]
            for volume, value, slope in zip(volumes, values, slopes, strict=True) if np.isfinite(value)]
    yield from drawn([Column("volume / mL", right=True), Column("%", right=True), Column(label, right=True),
                      Column(f"slope {unit}", right=True)], rows, width)
    if np.any(curve.beyond_limit):
        yield from paragraph(beyond_words(), width)


def _indicators(ranking: Ranking, width: int, *, everything: bool) -> Iterator[str]:
    yield from heading("indicators", f"{ranking.titrated} at {fixed(ranking.equivalence_mL, 3)} mL")
    yield from paragraph(ranking.verdict, width)
    for advice in ranking.advice:
        yield from paragraph(f"{advice}.", width, first="  - ", rest="    ")
    shown = ranking.by_error if everything else ranking.by_error[:FEW]
    if shown:
        yield ""
        yield from _ranked(shown, width)
    left = len(ranking.by_error) - len(shown)
    if left:
        yield from paragraph(f"{left} more with larger errors: see --indicators.", width)
    if everything:
        yield from _left_out(ranking, width)


def _ranked(shown: Iterable[VisualEndpoint], width: int) -> Iterator[str]:
    """Yield the table of endpoints; consumption and colours stand in it where the terminal is wide enough."""
    rows = [_row(one) for one in shown]
    room = width - max(len(row[0]) for row in rows) - WIDTH_OF_FIGURES
    columns = [Column("indicator", flexible=room < 0)]
    columns += [Column(name, right=True) for name in ("at / mL", "error / mL", "u / mL", "with 2u / %", "drops")]
    columns += [Column("own / mL", right=True)] if room >= 0 else []
    columns += [Column("colours", flexible=True)] if room > NARROWEST else []
    yield from drawn(columns, [row[: len(columns)] for row in rows], width)


def _left_out(ranking: Ranking, width: int) -> Iterator[str]:
    yield from paragraph(f"by sharpness: {_listed(one.indicator.name for one in ranking.by_sharpness)}", width)
    for words, others in (("turns elsewhere", ranking.elsewhere), ("not ranked", ranking.unranked)):
        for one in others:
            yield from paragraph(f"{words}: {one.indicator.name}: {one.reason}", width)


def _listed(words: Iterable[str]) -> str:
    return ", ".join(words) or "none"


def _row(one: VisualEndpoint) -> list[str]:
    return [one.indicator.name, fixed(one.volume_mL, 3), signed(one.titration_error_mL),
            fixed(one.standard_uncertainty_mL, 3), fixed(one.bound_percent, 3),
            "" if one.crossing_drops is None else fixed(one.crossing_drops, 1),
            "" if one.consumption_mL is None else signed(one.consumption_mL),
            f"{one.colours[0]}, {one.colours[1]}, {one.colours[2]}"]


def _shown(told: Told, width: int) -> Iterator[str]:
    """Yield how each indicator is used that is shown."""
    for words in _of_unheld(told):
        yield ""
        yield from paragraph(words, width)
    for end in told.ends:
        yield from _in_use(end, width)
    for words in cancelled_words(told):
        yield from paragraph(words, width)


def _in_use(end: VisualEndpoint, width: int) -> Iterator[str]:
    one = end.indicator
    yield from heading("in use", one.name)
    before, at, after = end.colours
    yield from paragraph(f"colours before, at and after the endpoint: {before}; {at}; {after}", width)
    made = one.preparation
    if made is not None:
        yield from paragraph(f"{made.text}; {made.dose} ({made.source}, {made.status})", width)
    if one.note:
        yield from paragraph(f"{one.note}.", width)
    if one.interval is not None:
        yield from paragraph(f"interval and constants: {one.interval.source} ({one.interval.status})", width)
