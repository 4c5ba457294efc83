"""One cause of a difference: in words, its size, and the experiment that tells whether it is the one."""

import math
from dataclasses import dataclass, replace

EXPERIMENTS = {
    "temperature": "Please tell us the temperature of your solutions while titrating, read in the liquid and not in "
                   "the room.",
    "reference": "Please tell us which temperature your figure refers to.",
    "buoyancy": "Please tell us the balance's reading of one portion, and whether it was corrected for the air's "
                "buoyancy.",
    "standard": "Please tell us how your titrant's standard was weighed, and whether its mass was corrected for the "
                "air's buoyancy.",
    "blank": "Please run a blank, all as in the titration but without sample, and tell us what it takes.",
    "factor": "Please titrate with your titrant and with ours side by side; we can send a bottle with its certificate.",
    "drop": "Please titrate once more in half drops near the endpoint, and tell us the reading one drop before the "
            "colour changes and the one after.",
    "burette": "Please weigh what your burette delivers of water between your two readings, with its temperature.",
    "w/v": "Please weigh 10 mL of it: the density tells per cent by mass from mass per volume.",
    "species": "Please tell us as which formula, with its water, your figure is expressed, and the molar mass that "
               "you used.",
    "equivalents": "Please tell us the reaction, and how many equivalents you count for one mole.",
}


@dataclass(frozen=True, slots=True)
class Cause:
    """Something done otherwise that would move a customer's figure.

    Fields:
        code: a key of EXPERIMENTS.
        words: what would have been done.
        size: by how much it would move theirs [unit of our result], with its sign.
        either: whether it may act either way.
        told: whether the customer told that they do so; else it is guessed.
    """

    code: str
    words: str
    size: float
    either: bool = False
    told: bool = False

    @property
    def experiment(self) -> str:
        """The one thing to ask the customer for, that tells whether this is the cause."""
        return EXPERIMENTS[self.code]

    def directed(self, difference: float) -> "Cause":
        """Return the cause with the sign of a difference, where it may act either way."""
        return replace(self, size=math.copysign(self.size, difference)) if self.either else self


def cause(code: str, words: str, size: float, *, either: bool = False, told: bool = False) -> Cause:
    """Return a cause."""
    return Cause(code, words, size, either, told)
