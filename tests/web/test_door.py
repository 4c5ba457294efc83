"""The door: who comes in, who is kept out, and that nothing typed is lost there."""

import re
from datetime import timedelta
from html import unescape

import pytest

from tests.web.conftest import PASSWORD

GOOD = "quince ladder Tuesday brass"


def text_of(answer):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def hidden(answer, name):
    found = re.search(rf'name="{name}" value="([^"]*)"', answer.content.decode())
    return unescape(found[1])


def sign_in(client, name, password=PASSWORD, **more):
    return client.post("/sign-in", {"name": name, "password": password, **more})


def test_the_right_password_opens_the_page_that_was_asked_for(browser):
    client = browser()
    door = client.get("/products?from=bench")
    assert door.status_code == 302
    assert door.headers["Location"] == "/sign-in?next=%2Fproducts%3Ffrom%3Dbench"
    onwards = hidden(client.get(door.headers["Location"]), "next")
    answer = sign_in(client, " Ines ", next=onwards)
    assert (answer.status_code, answer.headers["Location"]) == (302, "/products?from=bench")
    assert client.get("/products").status_code == 200


def test_a_wrong_password_and_an_unknown_name_are_answered_alike(browser):
    wrong, unknown = sign_in(browser(), "ines", "not this one at all"), sign_in(browser(), "nobody", PASSWORD)
    assert wrong.status_code == unknown.status_code == 401
    assert re.search(r'role="alert">[^<]+', wrong.content.decode())[0] in unknown.content.decode()


def test_no_password_that_was_typed_is_kept_anywhere(browser):
    from axes.models import AccessAttempt

    client = browser("ines")
    client.post("/password", {"password": "wrong present one", "new_password": GOOD, "again_password": GOOD})
    sign_in(browser(), "ines", "another wrong one", unsent="sealed words")
    kept = " ".join(str(value) for row in AccessAttempt.objects.values() for value in row.values())
    assert AccessAttempt.objects.count() == 1
    assert not [secret for secret in (GOOD, "wrong present one", "another wrong one", "sealed words") if secret in kept]


@pytest.mark.parametrize("elsewhere", ["https://elsewhere.example/x", "//elsewhere.example", "javascript:alert(1)"])
def test_the_door_leads_to_no_other_site(browser, elsewhere):
    assert sign_in(browser(), "ines", next=elsewhere).headers["Location"] == "/"


def test_the_sixth_try_after_five_wrong_passwords_is_refused_even_with_the_right_one(browser):
    client = browser()
    answers = [sign_in(client, "ines", f"wrong {number}").status_code for number in range(5)]
    assert answers[:4] == [401] * 4
    refused = sign_in(client, "ines")
    assert refused.status_code == 429
    assert "quarter of an hour" in text_of(refused)
    assert sign_in(client, "tomas").status_code == 302, "others are not locked out with them"


def test_wrong_passwords_on_the_password_page_count_as_at_the_door(browser):
    client = browser("ines")
    form = {"password": "wrong", "new_password": GOOD, "again_password": GOOD}
    assert [client.post("/password", form).status_code for _ in range(5)][:4] == [422] * 4
    assert client.post("/password", {**form, "password": PASSWORD}).status_code == 429


def test_a_password_is_kept_by_argon2_and_nothing_else(browser, settings_of_passwords):
    from django.contrib.auth import get_user_model

    from assaywright.web.accounts import account_make, password_set

    password_set(account_make("tomas"), GOOD, GOOD)
    kept = get_user_model().objects.get(username="tomas").password
    assert kept.startswith("argon2$argon2id$")
    assert GOOD not in kept
    assert sign_in(browser(), "tomas", GOOD).status_code == 302


@pytest.fixture
def settings_of_passwords(records):
    """The hash of the settings in place of the quick one of the tests."""
    from django.test import override_settings

    with override_settings(PASSWORD_HASHERS=["django.contrib.auth.hashers.Argon2PasswordHasher"]):
        yield


def test_the_settings_ask_for_argon2_first():
    import ast

    from tests.house.sources import PACKAGE

    tree = ast.parse((PACKAGE / "web" / "settings.py").read_text(encoding="utf-8"))
    found = next(one.value for one in tree.body
                 if isinstance(one, ast.Assign) and one.targets[0].id == "PASSWORD_HASHERS")
    assert ast.literal_eval(found)[0].endswith("Argon2PasswordHasher")


@pytest.mark.parametrize(
    ("password", "again", "said"),
    [("short", "short", "12 characters"), ("password12345", "password12345", "common"),
     ("7418529630741852", "7418529630741852", "numeric"), (GOOD, GOOD + "s", "differ")],
)
def test_a_weak_password_is_refused_with_the_reason(browser, password, again, said):
    form = {"password": PASSWORD, "new_password": password, "again_password": again}
    answer = browser("ines").post("/password", form)
    assert answer.status_code == 422
    assert said in text_of(answer)


def test_a_changed_password_ends_the_sessions_elsewhere_and_not_this_one(browser):
    here, elsewhere = browser("ines"), browser("ines")
    answer = here.post("/password", {"password": PASSWORD, "new_password": GOOD, "again_password": GOOD}, follow=True)
    assert "The password is changed" in text_of(answer)
    assert here.get("/lots").status_code == 200
    assert elsewhere.get("/lots").status_code == 302
    assert sign_in(browser(), "ines").status_code == 401
    assert sign_in(browser(), "ines", GOOD).status_code == 302


# --- a session that has ended -----------------------------------------------------------------------------------------


def test_a_session_ends_half_an_hour_after_the_last_page(browser):
    from unittest import mock

    from django.utils import timezone

    client, now = browser("ines"), timezone.now()
    with mock.patch("django.utils.timezone.now", return_value=now + timedelta(minutes=29)):
        assert client.get("/lots").status_code == 200
    with mock.patch("django.utils.timezone.now", return_value=now + timedelta(minutes=58)):
        assert client.get("/lots").status_code == 200, "every page begins the half hour anew"
    with mock.patch("django.utils.timezone.now", return_value=now + timedelta(minutes=89)):
        assert client.get("/lots").status_code == 302


def test_what_was_typed_before_the_session_ended_is_sent_on_after_signing_in(browser):
    client = browser()
    typed = {"reason": "24.53 mL – read twice <b>", "titre": ["24.53 mL", "24.50 mL"], "act": "5d1",
             "password": "secret!"}
    door = client.post("/people/new?x=1", typed)
    assert door.status_code == 401
    assert "what you typed is kept" in text_of(door)
    assert "secret!" not in door.content.decode()
    kept = hidden(door, "unsent")
    again = sign_in(client, "ines", "a wrong password", unsent=kept)
    assert again.status_code == 401
    page = sign_in(client, "ines", unsent=hidden(again, "unsent"))
    assert page.status_code == 200
    assert 'action="/people/new?x=1"' in page.content.decode()
    fields = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page.content.decode())
    assert [(name, unescape(value)) for name, value in fields if name not in ("csrfmiddlewaretoken", "next")] == [
        ("reason", "24.53 mL – read twice <b>"), ("titre", "24.53 mL"), ("titre", "24.50 mL"), ("act", "5d1")]
    assert '<input id="secret-1" name="password" type="password"' in page.content.decode()


def test_a_file_that_was_sent_after_the_session_ended_is_asked_for_again_by_name(browser):
    from django.core.files.uploadedfile import SimpleUploadedFile

    client = browser()
    door = client.post("/people/new", {"note": "the certificate", "file": SimpleUploadedFile("K-26-031.pdf", b"%PDF-")})
    page = sign_in(client, "ines", unsent=hidden(door, "unsent")).content.decode()
    assert 'enctype="multipart/form-data"' in page
    assert re.search(r'<input id="file-1" name="file" type="file"', page)
    assert 'name="note" value="the certificate"' in page


def test_signing_out_of_a_session_that_has_ended_just_shows_the_door(browser):
    answer = browser().post("/sign-out", {"next": "/lots"})
    assert answer.headers["Location"] == "/sign-in?next=%2Flots"


def test_a_form_that_nobody_typed_is_not_sent_on(browser):
    from django.core import signing

    foreign = signing.dumps(["/people", [["a", "b"]], [], []], salt="another", compress=True)
    for text in ("nonsense", foreign):
        assert sign_in(browser(), "ines", unsent=text).status_code == 302


def test_a_live_part_says_that_the_session_has_ended_and_leaves_the_page_alone(browser):
    answer = browser().get("/lots", headers={"HX-Request": "true"})
    assert answer.status_code == 200
    assert "nothing is lost" in text_of(answer)
    assert b"<html" not in answer.content


# --- people come and go -----------------------------------------------------------------------------------------------


def test_the_next_person_at_a_shared_tablet_comes_to_the_same_page(browser):
    client = browser("ines")
    back = hidden(client.get("/equipment"), "next")
    door = client.post("/sign-out", {"next": back})
    assert client.get("/equipment").status_code == 302
    assert sign_in(client, "tomas", next=hidden(client.get(door.headers["Location"]), "next")).headers[
        "Location"] == "/equipment"
    assert "Tomas Rehn" in text_of(client.get("/equipment"))


def test_whoever_leaves_is_out_at_once(browser):
    from assaywright.actions.people import person_leave

    client = browser("ines")
    assert client.get("/lots").status_code == 200
    person_leave(identity="ines", by="maren", reason="to another works")
    assert client.get("/lots").status_code == 302
    assert sign_in(browser(), "ines").status_code == 401


def test_a_link_to_choose_a_password_serves_once(browser):
    from assaywright.web.accounts import account_make, link_path

    path = "/" + link_path(account_make("ines"))
    client = browser()
    page = client.get(path)
    form = {"name": hidden(page, "name"), "link": hidden(page, "link")}
    weak = {**form, "new_password": "short", "again_password": "short"}
    assert client.post("/choose-password", weak).status_code == 422
    done = client.post("/choose-password", {**form, "new_password": GOOD, "again_password": GOOD})
    assert done.headers["Location"] == "/sign-in?chosen"
    assert sign_in(client, "ines", GOOD).status_code == 302
    assert browser().get(path).status_code == 403
    assert browser().get("/choose-password?name=maren&link=a-b").status_code == 403


def test_a_link_and_the_password_chosen_by_it_are_on_record_without_what_would_open_anything(browser):
    from assaywright.records.models import Event

    shown = browser("maren").post("/people/ines/link")
    path = re.search(r"/choose-password\?name=ines&amp;link=[^<\s]+", shown.content.decode())[0].replace("&amp;", "&")
    page = browser().get(path)
    form = {"name": hidden(page, "name"), "link": hidden(page, "link"), "new_password": GOOD, "again_password": GOOD}
    weak = {**form, "new_password": "short", "again_password": "short"}
    assert browser().post("/choose-password", weak).status_code == 422
    assert not Event.objects.filter(kind="person.password.chosen").exists()
    assert browser().post("/choose-password", form).status_code == 302
    told = list(Event.objects.filter(subject="ines").order_by("number").values_list("kind", "by", "payload"))[-2:]
    assert told[0] == ("person.link.made", "maren", "{}")
    assert told[1][:2] == ("person.password.chosen", "ines")
    assert GOOD not in told[1][2]
    assert form["link"] not in told[1][2]
    assert "link made by: Maren Tolliver" in text_of(browser("jonas").get("/people/ines"))


def test_invented_people_are_refused_outside_a_demonstration(browser):
    from django.test import override_settings

    from assaywright.web.accounts import invented_account_make
    from assaywright.web.demonstration import PASSWORD as SHOWN

    invented_account_make("ines", SHOWN)
    with override_settings(DEMONSTRATION=True):
        client = browser()
        assert SHOWN in text_of(client.get("/sign-in"))
        assert sign_in(client, "ines", SHOWN).status_code == 302
        assert client.get("/lots").status_code == 200
    assert client.get("/lots").status_code == 302, "a session does not outlive the demonstration"
    assert sign_in(browser(), "ines", SHOWN).status_code == 401
    assert SHOWN not in text_of(browser().get("/sign-in"))


def test_health_is_told_to_anybody_and_is_not_well_without_the_guards(browser):
    from django.db import connection

    from assaywright.records import triggers

    assert browser().get("/health").content == b"well\n"
    table = triggers.TABLE
    with connection.cursor() as cursor:
        suffix = f" ON {table}" if connection.vendor == "postgresql" else ""
        cursor.execute(f"DROP TRIGGER records_event_no_update{suffix}")
    assert browser().get("/health").status_code == 503


def test_a_session_is_written_down_once_a_minute_and_not_at_every_page(browser):
    from unittest import mock

    from django.db import connection
    from django.test.utils import CaptureQueriesContext
    from django.utils import timezone

    client, now = browser("ines"), timezone.now().replace(second=10)

    def written(later):
        at = mock.patch("django.utils.timezone.now", return_value=now + later)
        with at, CaptureQueriesContext(connection) as asked:
            assert client.get("/lots").status_code == 200
        return sum('UPDATE "django_session"' in one["sql"] for one in asked.captured_queries)

    assert [written(timedelta(seconds=seconds)) for seconds in (0, 1, 40, 60, 61)] == [1, 0, 0, 1, 0]
