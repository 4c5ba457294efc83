"""The whole line in a real browser, against the server that the command starts, over TLS.

The figures of the certificate that comes down are compared with ``evaluate`` on the worksheets that come down. No
serious violation on the pages passed through: WCAG 2.2, by the rules of axe-core.
"""

import io
import json
import shutil
import zipfile

import pypdf
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect, sync_playwright

from tests.web.test_line import attached_figures
from tests.web.test_serve import free_port, serving

# The server is started once, whatever number of workers share the tests.
pytestmark = pytest.mark.xdist_group("the line in a browser")

PASSWORD = "tarn-hollow-reagents"  # noqa: S105 - as the sign-in page of the demonstration shows it
GRAVE = ("serious", "critical")
HYDROXIDE = [("0.00", "20.12", "22.0"), ("20.15", "40.28", "22.0"), ("0.03", "20.16", "22.1")]
ACID = [("61.4402", "57.4528", "0.00", "40.07"), ("57.4528", "53.4309", "0.04", "40.42"),
        ("53.4309", "49.4747", "0.02", "39.76")]
ENTERED = [("density at 20 °C", "value", "1.0385 g/mL ± 0.0005 g/mL, k = 2"), ("chloride", "less_than", "1 mg/kg"),
           ("appearance", "words", "clear, colourless")]


class Person:
    """Somebody at the tablet."""

    def __init__(self, page, address):
        self.page, self.address, self.complaints = page, address, []
        page.on("console", lambda said: self.complaints.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda problem: self.complaints.append(str(problem)))

    def sign_in(self, name):
        self.page.goto(f"{self.address}/sign-in")
        self.page.fill("#name", name)
        self.page.fill("#password", PASSWORD)
        self.press("Sign in")
        self.look()

    def sign_out(self):
        self.press("Sign out")

    def press(self, words):
        self.page.get_by_role("button", name=words, exact=True).first.click()
        self.page.wait_for_load_state()

    def go(self, path):
        self.page.goto(f"{self.address}{path}")
        self.look()

    def look(self):
        """Find nothing grave on the page that lies open."""
        found = Axe().run(self.page).response["violations"]
        grave = {one["id"]: [node["html"][:200] for node in one["nodes"]] for one in found if one["impact"] in GRAVE}
        assert not grave, (self.page.url, grave)

    def fits(self):
        """Nothing on the page that lies open is wider than the window, however wide that is."""
        for width in (1280, 820):
            self.page.set_viewport_size({"width": width, "height": 900})
            wide = self.page.evaluate("document.documentElement.scrollWidth")
            assert wide <= width, (self.page.url, width, wide)

    def fill(self, **fields):
        for name, text in fields.items():
            field = self.page.locator(f'[name="{name.replace("__", " ")}"]:visible').first
            if field.evaluate("one => one.tagName") == "SELECT":
                field.select_option(text)
            else:
                field.fill(text)

    def unfold(self, words):
        self.page.locator("summary", has_text=words).first.click()

    def done(self):
        """Nothing was refused."""
        alert = self.page.get_by_role("alert")
        assert alert.count() == 0, alert.all_inner_texts()

    def download(self, words):
        with self.page.expect_download() as coming:
            self.page.get_by_role("link", name=words).first.click()
        return open(coming.value.path(), "rb").read()  # noqa: PTH123

    def record(self, live, **readings):
        form = self.page.locator("form", has=self.page.get_by_role("heading", name="Record a determination"))
        for name, text in readings.items():
            form.locator(f'[name="{name}"]').press_sequentially(text)
        expect(self.page.locator("#live")).to_contain_text("Nothing is recorded yet.", timeout=20_000)
        expect(self.page.locator("#live .figure")).to_contain_text(live, timeout=20_000)
        self.press("Record")
        self.done()


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    folder, port = tmp_path_factory.mktemp("served") / "records", free_port()
    with serving(folder, "--demonstration", port=port, on_that_day=True):
        yield f"https://localhost:{port}"


@pytest.fixture
def somebody(address):
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_context(ignore_https_errors=True, viewport={"width": 1280, "height": 900}).new_page()
        person = Person(page, address)
        yield person
        browser.close()


def standardise(ines):
    ines.go("/solutions/new")
    ines.fill(number="T-0999", name="sodium hydroxide 0.5 mol/L", formula="NaOH", nominal="0.5", prepared="2026-11-27",
              volume="10", use_before="2027-01")
    ines.press("Enter the solution")
    ines.done()
    ines.press("Begin a standardisation")
    ines.look()
    ines.fill(method="naoh-against-hcl")
    ines.press("Go on")
    ines.look()
    ines.fill(number="WS-26-0999", performed="2026-11-30", against="T-0917", against_in_force="mean of accepted",
              vessel__burette="B-11", vessel__pipette="P-20-03", thermometer="T-6",
              pooled="0.05 %, 30 degrees of freedom")
    ines.press("Begin")
    ines.done()
    ines.look()
    for initial, final, temperature in HYDROXIDE:
        ines.record("mol/L", sample_temperature=temperature, initial=initial, final=final, temperature=temperature)
    ines.look()
    ines.press("Send to review")
    ines.done()


def assay(ines):
    ines.go("/lots/new")
    ines.fill(number="0951", product="acetic acid 30 % w/w", made="2026-11-27", use_before="2099-10", quantity="200 L")
    ines.press("Enter the lot")
    ines.done()
    ines.unfold("Take a sample")
    ines.fill(taken="2026-11-29", where="filling line 1, first and last bottle")
    ines.press("Record the sample")
    for name, way, found in ENTERED:
        ines.unfold("Enter a characteristic")
        ines.fill(characteristic=name, way=way, found=found, satisfied="yes", source="Tomas Rehn, 2026-11-29")
        ines.press("Enter it")
        ines.done()
    ines.look()
    ines.page.get_by_role("link", name="Begin the assay").click()
    ines.look()
    ines.fill(number="WS-26-0951", performed="2026-11-30", titrant="T-0999", vessel__burette="B-11", balance="W-4",
              thermometer="T-6", density="1.0385 g/mL ± 0.0005 g/mL, k = 2", air_temperature="21.0",
              air_pressure="1017", air_humidity="46", pooled="0.05 %, 30 degrees of freedom")
    ines.press("Begin")
    ines.done()
    for gross, tare, initial, final in ACID:
        ines.record("% w/w", gross=gross, tare=tare, initial=initial, final=final, temperature="21.0")
    ines.look()
    ines.press("Send to review")
    ines.done()


def test_from_titrant_to_certificate_in_a_browser(somebody, tmp_path, capsys):
    from assaywright.cli import main

    somebody.sign_in("ines")
    standardise(somebody)
    assay(somebody)
    for number in ("WS-26-0871", "WS-26-0874"):
        somebody.go(f"/assay/{number}")
        somebody.press("Send to review")
        somebody.done()
    somebody.sign_out()

    somebody.sign_in("jonas")
    for number in ("WS-26-0871", "WS-26-0874", "WS-26-0999", "WS-26-0951"):
        somebody.go("/review")
        somebody.page.get_by_role("link", name=number).click()
        somebody.look()
        somebody.fits()
        somebody.page.locator("form", has_text="Sign as reviewer").locator("[name=password]").fill(PASSWORD)
        somebody.press("Sign as reviewer")
        somebody.done()
    somebody.go("/lot/0951")
    somebody.press("Record that they are checked")
    somebody.done()
    somebody.sign_out()

    somebody.sign_in("maren")
    somebody.go("/lot/0951")
    somebody.unfold("Release")
    somebody.fill(password=PASSWORD)
    somebody.press("Sign and release")
    somebody.done()
    somebody.look()
    somebody.fill(password=PASSWORD)
    somebody.press("Sign and issue the certificate")
    somebody.done()
    somebody.look()
    certificate = somebody.download("Download the certificate")
    for path in ("/lots", "/solutions", "/solution/T-0999", "/certificates", "/assays", "/label/lot/0951"):
        somebody.go(path)
    somebody.go("/assay/WS-26-0951")
    zipfile.ZipFile(io.BytesIO(somebody.download("Worksheet files"))).extractall(tmp_path)
    assert not somebody.complaints

    assert main(["evaluate", str(tmp_path / "WS-26-0951.toml"), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["result"]
    acid = next(one for one in attached_figures(certificate)["characteristics"] if one["name"] == "acetic acid")
    assert acid["numbers"]["value"] == told["value"]
    assert acid["numbers"]["standard_uncertainty"] == told["standard_uncertainty"]
    text = " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(certificate)).pages).split())
    assert f"{acid['value']} ± {acid['uncertainty']}" in text
    assert "WS-26-0951" in text
    assert "reviewed by Jonas Feld" in text


def test_no_page_of_the_line_is_wider_than_the_window(somebody):
    somebody.sign_in("tomas")
    for path in ("/lots", "/lots/new", "/lot/0941", "/lot/0943", "/assays", "/assay/WS-26-0903", "/solutions",
                 "/assays/new?about=0943&method=hydrochloric-acid-by-naoh&handling=diluted", "/solution/T-0918",
                 "/certificates", "/review", "/label/lot/0941", "/plan/lot/0943"):
        somebody.go(path)
        somebody.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")
        somebody.fits()
    assert not somebody.complaints
