"""Names that become addresses, and texts that hold what nobody sees.

Normal forms: Unicode Standard Annex 15; bidirectional controls: Unicode Standard Annex 9, table 1; the rest: common
practice, no source.
"""

import pytest

from assaywright.metrology.refusal import Refusal
from tests.records.test_acts import act

pytestmark = pytest.mark.usefixtures("laboratory")
BALANCE = {"readability": "0.1 mg", "linearity": "0.2 mg, rectangular", "certificate": {"id": "C-1"}}
STANDARD = {"name": "potassium hydrogen phthalate", "formula": "KHC8H4O4", "content": "99.98 % ± 0.02 %, k = 2",
            "certificate": {"id": "RM-9"}}
NEW = {
    "lot": lambda name: act("lots.lot_make", identity=name, by="ines", table={"product": "acetic acid 30 % w/w"}),
    "solution": lambda name: act("solutions.solution_prepare", identity=name, by="ines", table={
        "name": "sodium hydroxide", "formula": "NaOH", "nominal": "1 mol/L"}),
    "instrument": lambda name: act("equipment.instrument_register", identity=name, kind="balance", by="ines",
                                   table={"id": name, **BALANCE}),
    "material": lambda name: act("equipment.material_receive", identity=name, table=STANDARD, by="ines"),
    "bottle": lambda name: act("lots.bottle_open", identity=name, of="0941", opened="2026-11-28", by="ines"),
    "product": lambda name: act("products.product_define", name=name, by="jonas", definition={
        "characteristics": [{"name": "appearance", "required": "clear"}]}),
    "person": lambda name: act("people.person_add", identity=name, name="Somebody", roles=["analyst"], by="maren"),
    "worksheet": lambda name: act("assays.assay_begin", heading={"id": name}, about="0941", rests_on=[], by="ines"),
}


NO_NAMES = ("../x", "/x", ".x", "a/../b", "a..b", "x\\y", "a/", "refused-acts", "New", "x\u202ey", "x\u200by",
            "x\u3164", " ")


@pytest.mark.parametrize("kind", NEW)
def test_a_name_that_no_address_takes_is_refused(kind):
    for name in NO_NAMES:
        with pytest.raises(Refusal) as refused:
            NEW[kind](name)
        assert refused.value.where in ("number", "bottle", "name", "sign-in name"), name


def test_only_a_product_has_a_stroke_in_its_name():
    NEW["product"]("brine 1 mol/L")
    for kind in NEW.keys() - {"product"}:
        with pytest.raises(Refusal):
            NEW[kind]("a/b")


ALIKE = {"lot": ("AB-1", "ab-1"), "solution": ("T-9", "Ｔ-９"), "instrument": ("Q-9", "q-9"),
         "material": ("PS-9", "ps-9"), "bottle": ("F-1", "f-1"), "product": ("Brine", "brine")}


def test_what_looks_like_another_is_refused():
    from assaywright.records.models import Event

    for kind, (first, second) in ALIKE.items():
        NEW[kind](first)
        with pytest.raises(Refusal, match="already"):
            NEW[kind](second)
        assert Event.objects.filter(subject=first).count() == 1, kind


def test_a_number_is_kept_in_one_form():
    from assaywright.records.models import Lot

    NEW["lot"](" ＡＢ  ７ ")
    assert Lot.objects.filter(pk="AB 7").exists()


UNSEEN = "\u202e\u2066\u200b\ufeff\u00ad\x07\u115f\ufe0f\u2028"


def test_a_text_with_what_nobody_sees_is_refused_wherever_it_is_typed():
    from assaywright.records.models import Event

    before = Event.objects.count()
    for letter in UNSEEN:
        for sent in (
            lambda letter=letter: act("lots.lot_hold", identity="0941", by="ines",
                                      reason=f"the sample is clo{letter}udy"),
            lambda letter=letter: act("lots.lot_sample", identity="0941", by="ines", taken="2026-11-28",
                                      where=f"tank{letter} 3"),
            lambda letter=letter: act("people.person_add", identity="lena", name=f"Lena{letter} Hart",
                                      roles=["analyst"], by="maren"),
        ):
            with pytest.raises(Refusal, match="nobody sees"):
                sent()
    assert Event.objects.count() == before


@pytest.mark.parametrize(("before", "after"), [
    ('id = "WS-26-0903"', 'id = "WS/0903"'), ('id = "0941"', 'id = "New"'),
    ('id = "WS-26-0903"', 'id = "ws-26-０９０３"'),
    ('product = "acetic acid 30 % w/w"', 'product = "../acetic acid"'), ('id = "B-11"', 'id = "b/11"')])
@pytest.mark.parametrize("laboratory", [None])
def test_names_in_files_pass_the_same_check(people, demonstration, laboratory, before, after):
    from assaywright.actions.worksheets import WorksheetImport
    from assaywright.records.models import Event

    assert any(before.encode() in one for one in demonstration.values())
    files = {name: one.replace(before.encode(), after.encode()) for name, one in demonstration.items()}
    count = Event.objects.count()
    with pytest.raises(Refusal, match=r"cannot be|is not written in the form"):
        WorksheetImport(files.__getitem__, "maren").lot("lots/0941-acetic-acid.toml")
    assert Event.objects.count() == count


def test_letters_of_other_tongues_and_lines_stand_and_a_note_loses_what_turns_it():
    from assaywright.records.plain_text import cleaned

    said = {"reason": "trüb µ °C ½ 酢酸\nsecond line", "note": "seen\u202e and\u200b kept",
            "deep": [{"note": "a\u2066b"}]}
    assert cleaned(said) == {**said, "note": "seen and kept", "deep": [{"note": "ab"}]}
