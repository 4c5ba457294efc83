"""A certificate issued in German by the pages: kept as issued, with the data of the English one, amended in either."""

import re

import pytest

from tests.web.conftest import PASSWORD
from tests.web.test_line import (
    ACETIC,
    assayed,
    attached_figures,
    certificate_text,
    entered,
    kinds,
    new_lot,
    plain,
    reviewed,
    sent,
    version,
)

pytestmark = pytest.mark.usefixtures("laboratory", "accounts")


@pytest.fixture
def released(browser):
    """A lot that is released and waits for its certificate."""
    ines, maren = browser("ines"), browser("maren")
    new_lot(ines)
    entered(ines)
    sent(browser("jonas"), "/lot/0951", do="check")
    assayed(ines, rows=ACETIC)
    reviewed(browser, "WS-26-0951", "WS-26-0878", "WS-26-0871", "WS-26-0874")
    sent(maren, "/lot/0951", do="release", version=version("Lot", "0951"), password=PASSWORD)
    return maren


def issued(maren, **fields):
    return sent(maren, "/certificates/issue/0951", password=PASSWORD, **fields)["Location"].rpartition("/")[2]


def payload(number):
    import json

    from assaywright.records.models import Event

    return json.loads(Event.objects.get(subject=number, kind__startswith="certificate.").payload)


def test_the_lot_page_offers_both_languages_and_english_first(released):
    body = released.get("/lot/0951").content.decode()
    chosen = re.search(r'<select id="language" name="language">(.*?)</select>', body)[1]
    assert re.findall(r'value="(\w+)"', chosen) == ["en", "de"]
    assert "selected" not in chosen


def test_a_certificate_is_issued_in_german_and_kept_as_issued(released):
    number = issued(released, language="de")
    assert payload(number)["language"] == "de"
    data = released.get(f"/certificates/file/{number}").content
    text = certificate_text(data)
    for words in ("Analysenzertifikat", "Unterzeichnet: in den Aufzeichnungen des Labors", "geprüft von Jonas Feld",
                  "Stand der Aufzeichnungen bei Ausstellung"):
        assert words in text
    assert "Certificate of analysis" not in text
    figures = attached_figures(data)
    acid = next(one for one in figures["characteristics"] if one["name"] == "acetic acid")
    assert figures["title"] == "Certificate of analysis"
    assert f"{acid['value']} ± {acid['uncertainty']}".replace(".", ",") in text
    assert released.get(f"/certificates/file/{number}").content == data
    assert ", in German" in plain(released.get(f"/certificate/{number}"))


def test_an_amendment_keeps_the_language_unless_another_is_chosen(released):
    first = issued(released, language="de")
    body = released.get(f"/certificate/{first}").content.decode()
    assert '<option value="de" selected>' in body
    sent(released, "/lot/0951", do="amend", customer="Brackwater Dyeworks", amend_reason="the customer was left out")
    second = sent(released, f"/certificate/{first}", changed="the customer's name", password=PASSWORD,
                  language="de")["Location"].rpartition("/")[2]
    text = certificate_text(released.get(f"/certificates/file/{second}").content)
    assert (f"Dieses Zertifikat tritt an die Stelle von {first}. Was sich geändert hat, in den Worten der "
            "unterzeichnenden Person (Maren Tolliver): „the customer's name“. Spezifikation des Produkts: Ausgabe 1. St"
            ) in text
    assert "Kunde keine Brackwater Dyeworks" in text
    third = sent(released, f"/certificate/{second}", changed="in English", password=PASSWORD,
                 language="en")["Location"].rpartition("/")[2]
    assert "Certificate of analysis" in certificate_text(released.get(f"/certificates/file/{third}").content)
    assert "language" not in payload(third)


def test_a_language_that_is_none_is_refused_and_nothing_is_issued(released):
    answer = sent(released, "/certificates/issue/0951", 422, password=PASSWORD, language="tlh")
    assert "documents are not printed in the language 'tlh'; choose one of en, de." in plain(answer)
    assert kinds("C-0951-1") == []
    assert issued(released) == "C-0951-1"
    assert "language" not in payload("C-0951-1")


def test_the_records_of_a_german_certificate_are_rebuilt_and_proven(released):
    from assaywright.records.check import check_records

    issued(released, language="de")
    assert not check_records().faults
