"""Engine and evaluator agree: a known sample, titrated by the engine to the method's endpoint, comes back.

Every acid-base, complexometric and argentometric method of the library is played, so a new file is taken in. The known
content is set by mass, molar mass and reaction; the engine says where the endpoint is seen; the readings go into the
method's own worksheet; and the evaluation has to give the content back within the stated titration error and a reading.
"""

import re

import pytest

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.method import load_method, method_names
from assaywright.assay.worksheet import parse_worksheet
from tests.assay.simulated_titration import NotComputed, molar_mass, play

TYPES = ("acid-base", "complexometric", "argentometric")
PLAYED = [name for name in method_names() if load_method(name).type in TYPES]
NO_ENDPOINT = {
    "potassium-bromide-by-eosin": "an adsorption indicator turns by what the precipitate's surface takes up",
    "potassium-chloride-by-adsorption-indicator": "an adsorption indicator turns by what the precipitate's surface",
    "copper-sulfate-by-edta": "it is used between pH 9.2 and 12",  # murexide's points with copper at pH 8 are not held
}


def no_file(path: str) -> bytes:
    raise AssertionError(f"a simulated titration rests on no other file, and {path} was asked for")


def evaluated(text: str) -> dict[str, tuple[float, str]]:
    """Return each measurand's value and unit; the main one stands under "" too."""
    outcome = evaluate_worksheet(parse_worksheet(text.encode(), "simulated.toml"), no_file)
    found = {one.measurand: (one.estimate.value, one.estimate.unit) for one in outcome.results}
    return found | {"": (outcome.result.estimate.value, outcome.result.estimate.unit)}


@pytest.mark.parametrize("name", [name for name in PLAYED if name not in NO_ENDPOINT])
def test_a_known_sample_comes_back_within_the_stated_titration_error(name: str) -> None:
    method = load_method(name)
    played = play(method)
    found = evaluated(played.text)
    for measurand, known in played.known.items():
        value, _unit = found[measurand]
        assert value == pytest.approx(known, abs=played.tolerance[measurand]), f"{name}, {measurand}"


@pytest.mark.parametrize("name", [name for name in PLAYED if name not in NO_ENDPOINT])
def test_a_titration_stopped_at_another_place_does_not_come_back(name: str) -> None:
    """Three tolerances more of titrant give another content: the agreement is none of the worksheet's own."""
    method = load_method(name)
    played = play(method)
    (measurand, known), *_rest = played.known.items()
    share = 1 + 3 * played.tolerance[measurand] / known
    value, _unit = evaluated(with_titres(played.text, share))[measurand]
    assert abs(value - known) > played.tolerance[measurand]


def with_titres(text: str, share: float) -> str:
    """Return a worksheet with every titre larger by a share."""
    head, mark, rest = text.partition("[[determination]]")
    return head + mark + re.sub(r'(?m)^((?:hydroxide_)?final|first) = "([\d.]+) mL"$',
                                lambda found: f'{found[1]} = "{float(found[2]) * share:.2f} mL"', rest)


@pytest.mark.parametrize("name", sorted(NO_ENDPOINT))
def test_what_the_engine_has_no_endpoint_for_says_so(name: str) -> None:
    with pytest.raises(NotComputed, match=NO_ENDPOINT[name][:30]):
        play(load_method(name))


def test_nearly_all_methods_of_these_types_are_played() -> None:
    assert set(NO_ENDPOINT) < set(PLAYED)
    assert len(PLAYED) - len(NO_ENDPOINT) > 45


def test_the_molar_masses_of_the_simulation_are_those_of_tables() -> None:
    """Handbook values to the hundredth: sodium tetraborate decahydrate 381.37, calcium hydroxide 74.09, KHP 204.22."""
    assert molar_mass("Na2B4O7·10H2O") == pytest.approx(381.37, abs=0.01)
    assert molar_mass("Ca(OH)2") == pytest.approx(74.09, abs=0.01)
    assert molar_mass("C8H5KO4") == pytest.approx(204.22, abs=0.01)
