"""One rule for every file that a verb is asked to write: what stands there is left, or replaced when asked for."""

import pytest

from tests.adjust.test_blend import TWO
from tests.cli.terminal import assert_refused_in_one_sentence, call, example_of, works_in

PREPARED = ("prepare", "--of", "NaCl", "--to", "0.1 mol/L", "--volume", "1 L", "-o", "out.pdf")


@pytest.fixture
def laboratory(tmp_path, monkeypatch):
    """Return a folder with the demonstration and a blend, in which the verbs work."""
    works_in(tmp_path / "demo")
    example_of("naoh-by-khp", tmp_path)
    (tmp_path / "blend.toml").write_text(TWO, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_an_earlier_file_is_left_or_replaced_when_that_is_asked_for_by_every_verb(laboratory):
    product, adjustment = "demo/products/caustic-soda-20.toml", "demo/production/0943-adjust-to-strength.toml"
    for asked in (
        ("explain", "naoh-by-khp.toml", "--pdf", "working.pdf"),
        ("curve", "naoh-by-khp", "-o", "curve.svg"),
        ("plan", product, "--chart", "chart.svg"),
        ("guide", product, "-o", "guide.pdf"),
        ("guide", product, "-o", "guide.txt"),
        PREPARED,
        ("adjust", adjustment, "--trials", "1000", "-o", "adjusted.pdf"),
        ("blend", "blend.toml", "--trials", "1000", "-o", "blended.pdf"),
    ):
        written = laboratory / asked[-1]
        assert call(*asked).status == 0
        with written.open("ab") as file:
            file.write(b"\n")
        earlier = written.read_bytes()
        assert_refused_in_one_sentence(call(*asked), f"{asked[-1]}: the file exists already and is left as it is; name "
                                       "another file, or add --replace.")
        assert written.read_bytes() == earlier
        assert call(*asked, "--replace").status == 0
        assert written.read_bytes() != earlier


@pytest.mark.parametrize(("content", "piece"), [
    (b"%PDF-1.7 (Certificate of analysis TH-26-0417-1) (document.json)", "the PDF that stands there is no sheet"),
    (b"%PDF-1.4\n1 0 obj\nendobj\n%%EOF\n", "the PDF that stands there was not written by this program"),
    (b"my own words", "a file stands there that is no PDF"),
])
def test_a_file_of_another_kind_is_never_replaced(content, piece, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "out.pdf").write_bytes(content)
    for more in ((), ("--replace",)):
        assert_refused_in_one_sentence(call(*PREPARED, *more), f"out.pdf: {piece}")
    assert (tmp_path / "out.pdf").read_bytes() == content


@pytest.mark.parametrize(("asked", "option"), [
    (("evaluate", "a.toml"), "--save"), (("explain", "a.toml"), "--pdf"), (("adjust", "a.toml"), "-o"),
])
def test_replacing_nothing_is_refused_before_anything_is_read(asked, option):
    assert_refused_in_one_sentence(call(*asked, "--replace"), f"assaywright {asked[0]}: there is nothing to replace",
                                   f"add {option} FILE")
