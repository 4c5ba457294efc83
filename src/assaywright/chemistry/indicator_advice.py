"""What to do where no visual endpoint is good enough."""

import numpy as np

from assaywright.chemistry.curve import Curve

A_THOUSANDTH = 1e-3
ELECTRODES = {
    "pH": "a glass electrode", "pM": "an electrode for the metal ion, or photometrically",
    "pX": "a silver electrode", "potential_V": "a platinum electrode",
}
CARBONATE = ("boil the carbon dioxide off for two minutes just before the end, cool, and go on: the jump is then that "
             "of a strong acid")
INDICATOR_BLANK = ("take an indicator blank of the same volume and the same dose, and subtract it: what must be there "
                   "to be seen then drops out, and its uncertainty is left")
BY_COMPARISON = ("compare the indicator with a blank and with a potentiometric titration of the same sample: its error "
            "cannot be computed here")
INSTEAD = {
    "pH": (
        "match the colour against a second flask that holds what is there at the equivalence point, indicator included",
        ("displace the weak acid or base by a stronger one: boric acid with mannitol, ammonium by formaldehyde or by "
         "distilling it off"),
        "add a measured excess of strong acid or base, let it react, and titrate back",
        "titrate without water, where a weak base or acid is lifted up: perchloric acid in acetic acid for bases",
        "titrate more concentrated solutions: the jump grows with the logarithm of the concentration",
    ),
    "pM": (
        "raise the pH as far as hydroxide and carbonate allow: edetate binds the better",
        "add a measured excess of edetate and titrate it back with magnesium, zinc or copper and their indicator",
        "let the metal set another free from its edetate complex, and titrate that one",
        "titrate more concentrated solutions",
    ),
    "pX": (
        "add a measured excess of silver nitrate, coat or filter the precipitate, and titrate back with thiocyanate",
        "lower the solubility with alcohol, or choose a titrant whose salt is less soluble",
        "titrate more concentrated solutions",
    ),
    "potential_V": (
        "add an acid or a ligand that moves the potential: phosphoric acid lowers that of iron(III)",
        "take a titrant of higher (or lower) potential",
        "add a measured excess of oxidant or reductant, let it react, and titrate back",
    ),
}


def jump(curve: Curve, equivalence_mL: float) -> float:
    """Return how far the followed quantity moves from 0.1 % before to 0.1 % past an equivalence point.

    Arguments:
        curve: one curve.
        equivalence_mL: the exact equivalence volume [mL].

    Returns: always positive [1] or [V]
    """
    about = equivalence_mL * np.array([1 - A_THOUSANDTH, 1 + A_THOUSANDTH])
    before, after = np.interp(about, curve.volume_mL, curve.values)
    return abs(float(after - before))


def advice(curve: Curve, equivalence_mL: float, titrated: str, best: str) -> tuple[str, ...]:
    """Return what to do instead of watching a colour, the nearest to hand first.

    Arguments:
        curve: one curve.
        equivalence_mL: the exact equivalence volume [mL].
        titrated: what has been titrated there ("carbonic acid, step 1").
        best: scale of the indicator with the least error; empty where none could be computed, which is then said first.
    """
    moved = jump(curve, equivalence_mL)
    by = f"{1000 * moved:.0f} mV" if curve.quantity == "potential_V" else f"{moved:.2f}"
    said = {"": BY_COMPARISON, "precipitate": INDICATOR_BLANK, "visible amount": INDICATOR_BLANK}.get(best, "")
    boiled = CARBONATE if titrated == "carbonic acid, step 1" and curve.quantity == "pH" else ""
    follow = (f"follow the titration with {ELECTRODES[curve.quantity]} and take the steepest place: 0.1 % either side "
              f"of the equivalence point it moves by {by}")
    return tuple(filter(None, (said, boiled, follow, *INSTEAD[curve.quantity])))
