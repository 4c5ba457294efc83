"""Every page: open to whom it is meant for and to nobody else, safe in what it sends, and never at a loss."""

import re
from html import unescape

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.web.conftest import STAFF
from tests.web.site import EXAMPLES, ISSUED_LATER, address, forms_of, routes

FOR_OTHERS = {
    "maren": set(),
    "jonas": {"people.new", "people.refused", "people.roles", "people.leave", "people.link"},
    "ines": {"people.new", "people.refused", "people.roles", "people.leave", "people.link", "products.new",
             "products.revise", "methods.own", "history.import"},
}
BY_FORM_ONLY = {"sign-out", "people.roles", "people.leave", "people.link", "assays.preview", "certificates.issue",
                "certificates.titrant", "bench.keep", "bench.live"}
OPEN = {"sign-in", "choose-password", "health", "bench.worker"}
INLINE = re.compile(rb"<script(?![^>]*\bsrc=)|<style|\bstyle=|\bon[a-z]+=\"|javascript:", re.IGNORECASE)


def text_of(answer):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def refusals():
    """What the log of refused acts has gained, as a list of lines."""
    import json
    from pathlib import Path

    from django.conf import settings as ours

    file = Path(ours.LOG_FOLDER) / "refused.log"
    return [json.loads(line) for line in file.read_text(encoding="utf-8").splitlines()] if file.exists() else []


def test_the_map_has_an_example_for_every_page(django_ready):
    import django

    django.setup()
    assert {name for name, parts in routes().items() if parts} == set(EXAMPLES)


@pytest.mark.parametrize("identity", ["maren", "jonas", "ines"])
def test_every_page_opens_or_says_whom_to_ask(laboratory, browser, identity):
    client = browser(identity)
    for name in sorted(set(routes()) - ISSUED_LATER):
        answer = client.get(address(name))
        if name in FOR_OTHERS[identity] and name not in BY_FORM_ONLY:
            assert answer.status_code == 403, name
            assert "Ask Maren Tolliver" in text_of(answer) or "Ask" in text_of(answer), name
        elif name in BY_FORM_ONLY:
            assert answer.status_code in (200, 403, 405), name
        elif name == "choose-password":
            assert answer.status_code == 403, "a link without its secret opens nothing"
        elif name == "trust.authority":
            assert answer.status_code == 404, "a server without an authority of its own has none to give"
        else:
            assert answer.status_code in (200, 302), (name, answer.status_code, text_of(answer)[:400])


def test_nobody_sees_a_page_without_signing_in(laboratory, browser):
    client = browser()
    for name in sorted(set(routes()) - OPEN):
        for answer in (client.get(address(name)), client.post(address(name), {"x": "1"})):
            assert answer.status_code in (302, 401, 405), name
            assert answer.headers.get("Location", "/sign-in").startswith("/sign-in"), name
            assert b"acetic" not in answer.content, name


def test_every_answer_forbids_foreign_scripts_frames_and_caches(laboratory, browser):
    client = browser("maren")
    for name in sorted(set(routes()) - ISSUED_LATER):
        answer = client.get(address(name))
        policy = answer.headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert answer.headers["X-Frame-Options"] == "DENY"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Referrer-Policy"] == "same-origin"
        assert "no-cache" in answer.headers["Cache-Control"] or "no-store" in answer.headers["Cache-Control"]
        if answer.headers.get("Content-Type", "").startswith("text/html"):
            assert not INLINE.search(answer.content), (name, INLINE.search(answer.content))


def test_what_is_inline_would_be_noticed():
    for sample in (b"<script>x()</script>", b'<p style="color: red">', b'<a onclick="x()">', b"<style>p {}</style>"):
        assert INLINE.search(sample)
    assert not INLINE.search(b'<script src="/static/x.js" defer></script>')


@pytest.mark.parametrize("forged", ["no-such-thing", "../../etc/passwd", "0941'--", "<script>", "\0", "ü" * 200])
def test_a_forged_number_is_told_of_and_logged(laboratory, browser, forged):
    from urllib.parse import quote

    client, before = browser("maren"), len(refusals())
    client.raise_request_exception = False
    tried = 0
    for name in sorted(EXAMPLES):
        path = address(name).replace(quote(EXAMPLES[name]), quote(forged, safe="/"))
        if name in ("people.show", "people.roles", "people.leave", "people.link") and "/" in forged:
            continue  # no such address at all
        for answer in (client.get(path), client.post(path, {"reason": "because of it all", "do": "withdraw"})):
            assert answer.status_code in (400, 403, 404, 405, 422), (name, forged, answer.status_code)
            assert "<script>" not in answer.content.decode().replace(forged, "", 0).split("<body>")[-1] \
                or "&lt;script&gt;" in answer.content.decode()
            tried += 1
    assert tried >= 2 * (len(EXAMPLES) - 4)
    assert len(refusals()) - before >= tried


# --- roles ------------------------------------------------------------------------------------------------------------


def test_an_analyst_can_do_nothing_that_is_an_administrators(laboratory, browser):
    from assaywright.records.models import Event

    client, before = browser("ines"), Event.objects.count()
    log = len(refusals())
    for name in ("people.new", "people.roles", "people.leave", "people.link", "products.new", "products.revise",
                 "methods.own"):
        answer = client.post(address(name), {"identity": "eve", "name": "Eve", "role": "administrator",
                                             "reason": "x as it was"})
        assert answer.status_code == 403, name
        assert "This is for" in text_of(answer)
    assert Event.objects.count() == before
    gained = refusals()[log:]
    assert [one["who"] for one in gained] == ["ines"] * 7
    assert all(one["status"] == 403 and "may not do this as analyst" in one["said"] for one in gained)
    assert "may not do this as analyst" in text_of(browser("maren").get("/people/refused-acts"))


def test_nobody_makes_themselves_more_than_they_are_by_an_old_form(laboratory, browser):
    from assaywright.actions.people import person_change_roles

    client = browser("maren")
    assert client.get("/people/new").status_code == 200
    person_change_roles(identity="jonas", roles=["administrator"], by="maren", reason="stands in")
    person_change_roles(identity="maren", roles=["analyst"], by="jonas", reason="on leave")
    assert client.post("/people/maren/roles", {"role": "administrator", "reason": "back from leave"}).status_code == 403


def test_an_act_sent_twice_is_done_once_and_answered_alike(laboratory, browser):
    from assaywright.records.models import Event, Person

    client = browser("maren")
    act = re.search(r'name="act" value="([^"]+)"', client.get("/people/new").content.decode())[1]
    form = {"act": act, "identity": "ada", "name": "Ada Lindqvist", "role": ["analyst"], "function": ""}
    first, second = client.post("/people/new", form), client.post("/people/new", form)
    assert first.headers["Location"] == second.headers["Location"] == "/people/ada"
    assert Event.objects.filter(kind="person.added", subject="ada").count() == 1
    changed = client.post("/people/new", {**form, "name": "Somebody Else"})
    assert changed.status_code == 422
    assert "sent before and taken" in text_of(changed)
    assert Person.objects.get(pk="ada").name == "Ada Lindqvist"


def test_a_form_that_lay_open_while_another_changed_the_same_is_refused_and_keeps_what_was_typed(laboratory, browser):
    client = browser("maren")
    page = client.get("/people/ines").content.decode()
    version = re.search(r'name="version" value="(\d+)"', page)[1]
    form = {"version": version, "role": ["analyst", "reviewer"], "reason": "passed the course"}
    assert client.post("/people/ines/roles", form).status_code == 302
    late = client.post("/people/ines/roles", {**form, "role": ["analyst"], "reason": "typed meanwhile"})
    assert late.status_code == 422
    assert "changed by somebody else" in text_of(late)
    assert 'value="typed meanwhile"' in late.content.decode()


# --- pages that say what went wrong -----------------------------------------------------------------------------------


def test_a_page_that_is_not_there(laboratory, browser):
    answer = browser("ines").get("/no-such-page")
    assert answer.status_code == 404
    assert "There is no such page" in text_of(answer)
    assert "Ines Okafor" in text_of(answer)
    assert browser().get("/no-such-page").status_code == 404


def test_a_request_for_another_host_or_too_large(laboratory, browser):
    client = browser("maren")
    answer = client.get("/lots", headers={"host": "elsewhere.example"})
    assert answer.status_code == 400
    assert "could not be read" in text_of(answer)
    large = client.post("/people/new", {f"field{number}": "x" for number in range(2000)})
    assert large.status_code == 400


def test_a_fault_of_the_program_says_so_and_gives_nothing_away(laboratory, browser, monkeypatch):
    from assaywright.web.pages import people as pages

    def fault(*_):
        raise RuntimeError("a secret of the program")

    monkeypatch.setattr(pages, "newest", fault)
    client = browser("maren")
    client.raise_request_exception = False
    answer = client.get("/people/refused-acts")
    assert answer.status_code == 500
    assert "not your doing" in text_of(answer)
    assert "secret" not in text_of(answer)


def test_a_form_page_opened_as_a_link(laboratory, browser):
    answer = browser("maren").get("/people/ines/leave")
    assert answer.status_code == 405
    assert "go back to the page with the form" in text_of(answer)


def test_a_form_from_elsewhere_is_refused_and_nothing_of_it_is_shown(laboratory, browser):
    client = browser("maren", enforce_csrf_checks=True)
    answer = client.post("/people/ines/leave", {"reason": "from elsewhere"},
                         headers={"origin": "https://elsewhere.example"})
    assert answer.status_code == 403
    assert "does not come from a page of this program" in text_of(answer)
    assert "from elsewhere" not in text_of(answer)


def test_a_form_of_ours_with_an_old_token_is_shown_again_and_can_be_sent(laboratory, browser):
    from assaywright.records.models import Person

    client = browser("maren", enforce_csrf_checks=True)
    client.get("/people/ines")
    ours = {"origin": "https://testserver"}
    answer = client.post("/people/ines/leave", {"reason": "to another works", "csrfmiddlewaretoken": "x" * 64},
                         headers=ours)
    assert answer.status_code == 403
    assert "Nothing is lost" in text_of(answer)
    assert Person.objects.get(pk="ines").present
    form = forms_of(answer, "/people/ines/leave")[-1]
    assert form.fields["reason"] == "to another works"
    assert client.post(form.action, form.fields, headers=ours).status_code == 302
    assert not Person.objects.get(pk="ines").present


def test_whoever_is_recorded_as_gone_cannot_come_back_in(laboratory, browser):
    leaving = browser("tomas")
    assert leaving.get("/lots").status_code == 200
    browser("maren").post("/people/tomas/leave", {"reason": "retired last week"})
    assert leaving.get("/lots").status_code == 302
    page = text_of(browser("maren").get("/people/tomas"))
    assert "closed" in page
    assert "retired" in page


# --- forms ------------------------------------------------------------------------------------------------------------

STRANGE = st.one_of(
    st.text(max_size=80), st.sampled_from(
        ["", " ", "0", "-1", "1e400", "NaN", "−24,53 mL", "24.53 mL", "1,002.5", "2026-02-30", "2026-11", "9" * 400,
         "\0", "a\0b", "../x", "{{ 7*7 }}", "<b>", "'; DROP TABLE records_event; --", "=cmd()", "\u202e", "𝟙𝟚",
         "on", "analyst", "burette", "yes", "x" * 5000, "\ud7ff", "[[a]]\nb = 1", '"', "mol/L", "5 %", "k = 2"]))


def all_forms(client):
    """Return the forms of every page that opens, each once, by where they go and what they do."""
    found = {}
    for name in sorted(set(routes()) - ISSUED_LATER - {"sign-out"}):
        pages = [address(name)]
        if name == "equipment.new":
            pages += [f"{pages[0]}?kind={kind}" for kind in ("burette", "balance", "thermometer")]
        for page in pages:
            answer = client.get(page)
            if answer.status_code == 200 and answer.headers["Content-Type"].startswith("text/html"):
                for form in forms_of(answer, page):
                    found[(form.action, form.fields.get("do", ""), tuple(sorted(form.fields)))] = form
    return [one for one in found.values() if one.action not in ("/sign-out", "/sign-in")]


@pytest.mark.parametrize("identity", ["maren", "ines"])
def test_no_form_is_ever_at_a_loss(laboratory, browser, identity):
    client = browser(identity)
    client.raise_request_exception = False
    forms = all_forms(client)
    assert len(forms) >= 15

    @settings(max_examples=60, deadline=None, database=None, derandomize=True,
              suppress_health_check=list(HealthCheck))
    @given(data=st.data())
    def send(data):
        form = data.draw(st.sampled_from(forms))
        kept = {"act", "do", "csrfmiddlewaretoken"}
        sent = {name: value if name in kept or data.draw(st.integers(0, 3)) == 0 else data.draw(
            st.sampled_from(form.choices[name]) if name in form.choices and data.draw(st.booleans()) else STRANGE)
            for name, value in form.fields.items()}
        answer = client.post(form.action, sent)
        assert answer.status_code in (200, 302, 400, 401, 403, 404, 422, 429), (form.action, sent, text_of(answer))
        if answer.status_code == 302 and answer.headers["Location"].startswith("/sign-in"):
            pytest.fail(f"signed out by {form.action}")

    send()


@pytest.mark.parametrize("identity", STAFF)
def test_strange_words_at_the_door_open_nothing(accounts, browser, identity):
    client = browser()
    client.raise_request_exception = False
    for words in ("", "\0", "' OR 1=1 --", "x" * 5000, "ünïcode", f"{identity}\0"):
        for form in ({"name": words, "password": "x"}, {"name": identity, "password": words},
                     {"name": identity, "password": "x", "unsent": words, "next": words}):
            assert client.post("/sign-in", form).status_code in (401, 429)
    assert client.get("/lots").status_code == 302
