"""Terms: the named inputs of a model, and the parts an equation is put together from.

A term is a function of a :class:`Scope`, that is of one evaluation of the equation. It reads its inputs by name and
uses the means of whichever evaluator is at work. Terms are assembled once from the observations; what they compute
depends on the inputs alone.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from assaywright.metrology.estimate import Estimate, exact
from assaywright.metrology.model import Means, ModelInput


@dataclass(slots=True)
class Scope:
    """One evaluation of an equation: the inputs, the evaluator's means, and what has been computed so far.

    Fields:
        x: input name to number, of whatever sort the evaluator uses.
        m: the evaluator's means.
    """

    x: Mapping[str, Any]
    m: Means
    done: dict[str, Any] = field(default_factory=dict)

    def once(self, name: str, term: "Term") -> Any:
        """Return a term that several determinations share, computing and writing it out the first time only."""
        if name not in self.done:
            self.done[name] = term(self)
        return self.done[name]


Term = Callable[[Scope], Any]


@dataclass(slots=True)
class InputList:
    """The inputs of a model while they are being gathered, in the order of the working."""

    items: dict[str, ModelInput] = field(default_factory=dict)

    def add(self, name: str, label: str, estimate: Estimate, *, text: str = "", source: str = "") -> str:
        """Add an input under its name, which is its symbol too; the same name twice is the same input.

        Returns: the name.
        """
        known = self.items.setdefault(name, ModelInput(name, label, estimate, text, source))
        if known.estimate != estimate:
            raise RuntimeError(f"the input {name} was added twice with different estimates, a fault of the program")
        return name

    def add_exact(self, name: str, label: str, value: float, unit: str, *, text: str = "", source: str = "") -> str:
        """Add an input whose uncertainty is nil or enters elsewhere.

        Returns: the name.
        """
        return self.add(name, label, exact(value, unit), text=text, source=source)


def shared(name: str, term: Term) -> Term:
    """Return a term that is computed once for all determinations."""
    return lambda scope: scope.once(name, term)


def numbered(number: int) -> str:
    """Return a number as subscript digits, to tell the determinations apart in symbols."""
    return str(number).translate(str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉"))
