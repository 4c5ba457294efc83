"""What the edge cases are tried on: a laboratory's own methods, small worksheets, and ways to look at an outcome."""

import math
import re

from tests.assay.laboratory import assay, evaluated
from tests.house.sources import PACKAGE

METHODS = PACKAGE / "assay" / "methods"
CERTIFICATE = 'certificate = { id = "C-1", issued = 2026-01-12, traceable_to = "SI" }'

# g/mol, by hand from CIAAW 2021, abridged: C 12.011, H 1.008, O 15.999, Na 22.990, K 39.098; B 10.8135, the middle of
# its interval [10.806, 10.821].
PHTHALATE, CARBONATE, BORAX = 204.222, 105.988, 381.377
# Balance readings to mass, W (1 − 1.2/8000)/(1 − 1.2/ρ): OIML D 28:2004.
PHTHALATE_BUOYANCY = (1 - 1.2 / 8000) / (1 - 1.2 / 1640)


def certified(concentration, unit="mol/L", half="0.0001", *, reaction="", extra=""):
    """Return the lines of a titrant with a certificate."""
    lines = [f'concentration = "{concentration} {unit} ± {half} {unit}, k = 2"', CERTIFICATE, extra]
    return "\n".join([*lines, f'reaction = "{reaction}"' if reaction else ""])


def method_text(name, *changes, called):
    """Return a method of the program under another name, with pieces of its text changed; each has to be there."""
    text = (METHODS / f"{name}.toml").read_text(encoding="utf-8").replace(f'"{name}"', f'"{called}"')
    text = re.sub(r"(?m)^published_\w+ = .*\n", "", text)
    for before, after in changes:
        assert before in text, before
        text = text.replace(before, after)
    return text


def by_method(text, **options):
    """Return the outcome of an assay by a laboratory's own method file."""
    return evaluated(assay("own.toml", **options), {"own.toml": text})


def blank(volume, kind="indicator blank", uncertainty="0.02 mL, rectangular"):
    """Return a stated blank."""
    return f'[blank]\nkind = "{kind}"\nvolume = "{volume} mL ± {uncertainty}"\n'


def flask(nominal="100 mL", role="flask"):
    """Return a flask that is right to the last digit that matters here."""
    return (f'[vessels.{role}]\nkind = "flask"\nid = "F-{role}"\nnominal = "{nominal}"\n'
            'tolerance = "0.10 mL, triangular"\n')


def remarks_of(outcome, kind):
    """Return the outcome's remarks of one kind."""
    return [one for one in outcome.remarks if one.kind == kind]


def named(outcome, words):
    """Return the result whose measurand holds the words."""
    return next(one for one in outcome.results if words in one.measurand)


def input_value(outcome, name):
    """Return the value of an input of the main result's model."""
    return outcome.models[0].inputs[name].estimate.value


def share(outcome, words):
    """Return what the influences whose label holds the words contribute, relative to the result."""
    found = [line.contribution for line in outcome.budget if words in line.influence]
    assert found, words
    return math.hypot(*found) / abs(outcome.result.estimate.value)


def mean(values):
    """Return the arithmetic mean."""
    return math.fsum(values) / len(values)
