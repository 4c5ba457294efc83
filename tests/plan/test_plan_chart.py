"""The drawing of a plan: no number and no word lies over a symbol."""

import re

from assaywright.reports.chart_plan import BOTTOM_PX, HALF_PX, free_place, plan_svg
from assaywright.reports.chart_svg import width_of
from tests.plan.shelves import BALANCE, EIGHT, NORMAL_ACID, acid, planned, shelf_of, vessel

NUMBER = re.compile(r'<text x="([\d.]+)" y="([\d.]+)" font-size="13" text-anchor="middle" font-weight="700" '
                    r'fill="#\w+">([\d, ]+)</text>')
SHAPE = re.compile(r'<path d="M([\d., L]+) Z"')


def drawn() -> str:
    """Return the drawing of a plan with many combinations."""
    return plan_svg(planned(shelf_of(vessel("burette", 50), vessel("burette", 25), EIGHT, vessel("pipette", 5),
                                     vessel("pipette", 25), vessel("flask", 100), vessel("flask", 250), BALANCE,
                                     NORMAL_ACID, acid("0.5"))))


def test_every_option_has_its_number_and_none_lies_over_a_symbol():
    svg = drawn()
    numbers = [(float(x), float(y), words) for x, y, words in NUMBER.findall(svg)]
    assert sorted(int(one) for _, _, words in numbers for one in words.split(", ")) == list(range(1, 9))
    shapes = []
    for path in SHAPE.findall(svg):
        corners = [tuple(map(float, one.split(","))) for one in path.split(" L")]
        shapes.append(tuple(sum(axis) / len(corners) for axis in zip(*corners, strict=True)))
    assert len(shapes) > 40
    for x, y, words in numbers:
        half = width_of(words, 13.0) / 2
        assert not any(abs(x - left) < half + HALF_PX - 1 and abs(y - 4.5 - top) < 6.5 for left, top in shapes)


def test_the_uncertainty_wanted_is_told_below_the_drawing():
    place = re.search(r'y="([\d.]+)"[^>]*>wanted: ', drawn())
    assert float(place[1]) > BOTTOM_PX


def test_a_number_goes_to_the_other_side_or_farther_off_where_a_symbol_stands():
    at, half = (300.0, 200.0), (5.0, 6.5)
    assert free_place(at, half, [])[0] > at[0]
    right = (302.0, 190.0, 330.0, 210.0)
    assert free_place(at, half, [right])[0] < at[0]
    all_round = (270.0, 170.0, 330.0, 230.0)
    x, y = free_place(at, half, [all_round])
    assert abs(x - 300) > 30 or abs(y - 200) > 30
