"""Plain equivalents of the characters that an old terminal lacks: a minus sign must never turn into a question mark."""

import sys

FALLBACK = "assaywright-plain-text"

EQUIVALENTS = {
    "−": "-", "–": "-", "×": "x", "±": "+/-", "·": ".", "µ": "u", "°": "deg ", "…": "...", "’": "'", "“": '"', "”": '"',
    "█": "#", "▏": "|", "├": "|", "└": "`", "│": "|", "─": "-", "≤": "<=", "≥": ">=", "≈": "~", "∞": "inf",
    "√": "sqrt", "²": "^2", "³": "^3", "⁻": "^-", "½": "1/2", "→": "->", "\u2009": " ", "\u202f": " ", "\u00a0": " ",
    "γ": "gamma", "δ": "delta", "Δ": "Delta", "ν": "nu", "ρ": "rho", "σ": "sigma",
    **{chr(0x2080 + digit): str(digit) for digit in range(10)},
}


def say(sentence: str) -> None:
    """Print one sentence on one line of the standard error stream."""
    if sys.stderr is None:  # closed; what it would say must not stand among the results
        return
    line = "".join(letter if letter.isprintable() else "?" for letter in sentence)
    print(line.removesuffix(".") if line.endswith("?.") else line, file=sys.stderr)


def replace_by_plain_text(problem: UnicodeError) -> tuple[str, int]:
    """Return the plain equivalent of what cannot be encoded, a question mark for none, and where to go on."""
    if not isinstance(problem, UnicodeEncodeError):
        raise problem
    lacking = problem.object[problem.start:problem.end]
    return "".join(EQUIVALENTS.get(letter, "?") for letter in lacking), problem.end
