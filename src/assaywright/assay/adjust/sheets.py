"""The sheets of an adjustment and of a blend."""

from collections.abc import Iterator

from assaywright.assay.adjust.blend import Blended
from assaywright.assay.adjust.reassay import samples_of
from assaywright.assay.adjust.result import Adjusted, Chances
from assaywright.assay.prepare.sheet import (
    NewAssay,
    ProductionSheet,
    SheetTable,
    budget_table,
    day_and_note,
    sheet_of,
    stated,
    warming_label,
    written_warming,
)
from assaywright.assay.wording import written_figures, written_limits, written_probability


def adjustment_sheet(adjusted: Adjusted, day: str = "") -> ProductionSheet:
    """Return the sheet of an adjustment.

    Arguments:
        adjusted: as worked out.
        day: year-month-day, where the adjustment states none.
    """
    made, landing = adjusted.adjustment, adjusted.landing
    tank = made.tank
    return sheet_of(
        "Adjustment to strength", made.head, f"{made.product}, lot {made.lot}", day, adjusted.safety, adjusted.working,
        identification=(
            ("Product", made.product), ("Lot", made.lot), ("Limits", written_limits(made.limits)),
            ("Nominal", made.nominal.text), ("Found", stated(adjusted.found)),
            ("In the tank", f"{tank.identity or 'tank'}: {tank.amount.text}"), *day_and_note(made.head)),
        answers=_answers(adjusted),
        tables=(_ways(adjusted), budget_table(adjusted.budget, landing.result.unit), *_to_fill_in(adjusted)),
        steps=adjusted.steps, after=adjusted.sampling, notes=adjusted.notes,
        new_assay=NewAssay(adjusted.reassay.cautions, adjusted.reassay.told, adjusted.reassay.take))


def _answers(adjusted: Adjusted) -> list[tuple[str, str]]:
    made, landing = adjusted.adjustment, adjusted.landing
    added = f"{landing.text} of {made.addition.with_lot}"
    if landing.volume_mL is not None and not made.addition.measuring.by_volume:
        added += f" (about {written_figures(landing.volume_mL / 1000, 4)} L)"
    if made.addition.measuring.by_volume:
        added += f" ({written_figures(landing.mass_g / 1000, 4)} kg)"
    nothing = ("the lot as it is keeps what is wanted" if adjusted.as_it_is.conforms >= made.aim.probability else
               f"what is wanted is less than one step, {made.addition.measuring.readability.text}")
    supposes = f"simulation of {landing.chances.trials} trials, seed {landing.chances.seed}"
    answers = [*(("Check first", one) for one in adjusted.to_check),
               ("Add", added) if landing.amount else ("Add nothing", nothing),
               ("Aimed at", f"{written_figures(adjusted.aimed, 5)} {made.nominal.unit}"),
               ("Then holds", stated(landing.result)),
               ("Conforms then", _chances(landing.chances)),
               ("Conforms as it is", _chances(adjusted.as_it_is)),
               ("Supposes", f"{adjusted.prior}; {supposes}"),
               ("Mass then", f"{written_figures(adjusted.mass_after_g / 1000, 5)} kg that mix")]
    if adjusted.volume_after_mL is not None:
        free = "" if adjusted.free_mL is None else (
            f"; the tank has {written_figures(adjusted.free_mL / 1000, 3)} L free now")
        answers.append(("Volume then", f"about {written_figures(adjusted.volume_after_mL / 1000, 4)} L{free}"))
    if adjusted.warming is not None and abs(adjusted.warming.rise_K) >= 1:
        answers.append((warming_label(adjusted.warming), written_warming(adjusted.warming)))
    return answers


def _chances(one: Chances) -> str:
    below, above = written_probability(one.below), written_probability(one.above)
    return f"{written_probability(one.conforms)} (below the limits {below}, above {above})"


def _ways(adjusted: Adjusted) -> SheetTable:
    """Return one step and two steps side by side."""
    landing, careful = adjusted.landing, adjusted.two_steps
    rows = [("one step", landing.text, "", written_probability(landing.chances.conforms),
             written_probability(landing.overshoot))]
    if careful is not None:
        name = "two steps, advised" if careful.advised else "two steps, the careful way"
        rows.append((name, careful.first.text, f"about {careful.second_text}, as a new assay says",
                     written_probability(careful.chances.conforms), written_probability(careful.overshoot)))
    return SheetTable("One step or two", ("Way", "First", "Then", "Conforms", "Past the far limit"), tuple(rows),
                      (3, 4))


def _to_fill_in(adjusted: Adjusted) -> Iterator[SheetTable]:
    """Yield the lines of the new assay, to be filled in by hand; none where it is not planned."""
    guide = adjusted.reassay.guide
    if guide is None:
        return
    samples = samples_of(guide.determinations)
    for one in guide.tables:
        first = ("No.", "Sample") if one.of_determinations else ("No.",)
        begun = zip(one.lines, samples, strict=False) if one.of_determinations else ((line,) for line in one.lines)
        rows = tuple((*each, *("" for _ in one.columns)) for each in begun)
        yield SheetTable(f"The new assay, worksheet {guide.number}: {one.title[0].lower()}{one.title[1:]}",
                         (*first, *one.columns), rows, by_hand=True)


def blend_sheet(blended: Blended, day: str = "") -> ProductionSheet:
    """Return the sheet of a blend.

    Arguments:
        blended: as worked out.
        day: year-month-day, where the blend states none.
    """
    made = blended.blend
    lots = tuple((one.identity, one.text, f"{100 * one.share:.2f} %", f"{100 * one.of_stock:.0f} %", "")
                 for one in blended.lots)
    found = tuple((one.name, one.limits, stated(one.result), written_probability(one.conforms))
                  for one in blended.characteristics)
    supposes = f"flat prior, simulation of {blended.trials} trials, seed {blended.seed}"
    answers = [*(("Check first", one) for one in blended.to_check),
               ("Makes", f"{written_figures(blended.mass_g / 1000, 5)} kg"),
               ("Conforms in all", f"{written_probability(blended.conforms)}; {supposes}")]
    if blended.cost is not None:
        answers.append(("Cost", written_figures(blended.cost, 6)))
    square = tuple((line,) for line in blended.square)
    return sheet_of(
        "Blend", made.head, made.product, day, blended.safety, blended.working,
        identification=(("Product", made.product), ("Nominal", made.nominal.text), ("Aim", made.aim),
                        *day_and_note(made.head)),
        answers=answers,
        tables=(SheetTable("Lots", ("Lot", "Take", "Share", "Of its stock", "Taken"), lots, (1, 2, 3)),
                SheetTable("What it gives", ("Characteristic", "Limits", "Predicted", "Conforms"), found, (3,)),
                SheetTable("Two lots by hand", ("Alligation",), square),
                budget_table(blended.budget, blended.characteristics[0].result.unit)),
        steps=blended.steps, after=(), notes=blended.notes)
