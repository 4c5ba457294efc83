"""No page of the site sends more than 150 kB of HTML, styles and scripts, drawings in the page not counted.

Counted as a browser fetches it the first time, nothing compressed; the demonstration in the records.
"""


import re

import pytest

from tests.web.site import ISSUED_LATER, address, routes

pytestmark = pytest.mark.usefixtures("laboratory")
MOST_BYTES = 150_000
PART = re.compile(r'(?:href|src)="(/static/[^"]+\.(?:css|js))"')
IMPORTED = re.compile(r'from "\./([^"]+\.js)"')
DRAWING = re.compile(r"<svg.*?</svg>", re.DOTALL)
FILES = ("certificates.download", "bench.worker", "bench.token", "health")


def parts_of(page):
    """Return what a page has fetched: styles, scripts, and the modules that these import."""
    from pathlib import Path

    from django.contrib.staticfiles import finders

    found, waiting = {}, [one.removeprefix("/static/") for one in PART.findall(page)]
    while waiting:
        name = waiting.pop()
        path = finders.find(re.sub(r"\.[0-9a-f]{12}(?=\.\w+$)", "", name)) or finders.find(name)
        assert path, name
        if path not in found:
            found[path] = Path(path).read_bytes()
            waiting += [f"web/{one}" for one in IMPORTED.findall(found[path].decode())]
    return found


def test_every_page_is_light_enough_for_a_tablet(browser, capsys):
    weights = {}
    for name in routes():
        client = browser("maren")
        try:
            path = address(name)
        except KeyError:
            continue  # a form's address, or a page with two parts of an address
        if name in (*ISSUED_LATER, *FILES):
            continue
        answer = client.get(path)
        if answer.status_code != 200 or "text/html" not in answer.headers["Content-Type"]:
            continue
        page = DRAWING.sub("", answer.content.decode())
        weights[name] = len(page.encode()) + sum(len(one) for one in parts_of(page).values())
    assert len(weights) > 30, sorted(weights)
    assert "bench.show" in weights
    heaviest = max(weights, key=weights.get)
    with capsys.disabled():
        print(f"\nheaviest page: {heaviest}, {weights[heaviest] / 1000:.0f} kB; the bench page "  # noqa: T201
              f"{weights['bench.show'] / 1000:.0f} kB")
    assert weights[heaviest] <= MOST_BYTES, sorted(weights.items(), key=lambda one: -one[1])[:5]
