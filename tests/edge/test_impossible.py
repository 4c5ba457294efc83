"""What cannot be is refused while it is evaluated: one line that names the file, the field and what to do."""

import json

import pytest

from assaywright.assay.stored import store
from assaywright.metrology.refusal import Refusal
from tests.assay.laboratory import CERTIFIED, assay, evaluated, standardisation
from tests.edge.house import by_method, certified, flask, method_text

NO_TITRATION = '[blank]\nkind = "neutralised solvent"\nvolume = "38.62 mL ± 0.02 mL, rectangular"\n'
DILUTION = '[dilution]\npipette = "pipette"\nflask = "flask"\n'


def stored(text):
    """Return what is kept of a worksheet's result, as text."""
    return json.dumps(store(evaluated(text)))


CASES = {
    "missing worksheet": (assay(), {}, "ws.toml: titrant, worksheets: the file 'st1.toml' is not there to be read"),
    "missing worksheet further down": (
        assay(), {"st1.toml": assay(titrant='worksheets = ["gone.toml"]')}, "st1.toml: titrant, worksheets: the file"),
    "missing stored result": (
        assay(titrant='stored = "r.json"'), {}, "ws.toml: titrant, stored: the file 'r.json' is not there to be read"),
    "missing method file": (
        assay("own.toml", titrant=CERTIFIED), {}, "ws.toml: method: the file 'own.toml' is not there to be read"),
    "unknown method": (assay("hydrochloric-acid-by-noah", titrant=CERTIFIED), {}, "ws.toml: there is no method"),
    "method of the other kind": (
        assay("naoh-by-khp", titrant=CERTIFIED), {}, "ws.toml: method: the method 'naoh-by-khp' is for a standard"),
    "stored result cut off": (
        assay(titrant='stored = "r.json"'), {"r.json": '{"format": "assaywright result 1", "meas'},
        "r.json: the stored result is garbled; save it again with evaluate --save."),
    "stored result of bytes": (
        assay(titrant='stored = "r.json"'), {"r.json": b"\xff\xfe\x00"}, "r.json: the stored result is garbled"),
    "stored result that lacks its value": (
        assay(titrant='stored = "r.json"'), {"r.json": '{"format": "assaywright result 1"}'},
        "r.json: the stored result is garbled"),
    "something else stored": (
        assay(titrant='stored = "r.json"'), {"r.json": '{"value": 0.1}'}, "r.json: the file is no stored result"),
    "the stored result of an assay": (
        assay(titrant='stored = "r.json"'), {"r.json": stored(assay(titrant=CERTIFIED))},
        "r.json: it holds the result of an assay, worksheet WS-1 (hydrochloric acid"),
    "limits of another kind, with both units": (
        assay(titrant=CERTIFIED, extra='[specification]\ncharacteristic = "HCl"\nupper = "1 % w/w"\n'), {},
        ("ws.toml: specification: upper: the limit is in % w/w and the result in mol/L, which are of different kinds; "
         'give the limits in mol/L, or ask for the result in theirs with [report] unit = "% w/w".')),
    "an assay as standardisation": (
        assay(), {"st1.toml": assay(titrant=CERTIFIED)}, "st1.toml: 'st1.toml' is an assay, not a standardisation"),
    "garbled worksheet below": (assay(), {"st1.toml": "a = = 1"}, "st1.toml: the file is not TOML at line 1"),
    "content by mass without a density": (
        assay(titrant=CERTIFIED, top='[report]\nunit = "% w/w"\n'), {}, "ws.toml: sample, density: the result is"),
    "content by volume of what was weighed, without a density": (
        assay(titrant=CERTIFIED, rows='[[determination]]\nnet = "10.0 g"\ninitial = "0.00 mL"\nfinal = "39.80 mL"\n'),
        {}, "ws.toml: sample, density: the result is asked for in mol/L"),
    "another species without equivalents": (
        assay(titrant=CERTIFIED, top='[report]\nspecies = "Cl2"\n'), {}, "ws.toml: report, species: the content is"),
    "limits of another kind than the method's own unit": (
        assay(titrant=CERTIFIED, extra='[specification]\ncharacteristic = "HCl"\nlower = "1 % w/w"\n'), {},
        "ws.toml: specification: "),
    "no net volume where it is divided by": (
        standardisation(titres=(38.62, 38.93, 37.90), extra=NO_TITRATION), {},
        "ws.toml: determination 1: the net volume of titrant is zero, and no concentration follows from it; check"),
    "nothing left that counts": (
        assay(titrant=CERTIFIED, determination='excluded = "spilt"\n'), {}, "ws.toml: every determination is left out"),
    "observed scatter of one": (
        assay(titrant=CERTIFIED, titres=(39.80,), top='[report]\nrepeatability = "observed"\n'), {},
        "ws.toml: report, repeatability: one determination shows no scatter of its own"),
    "temperature outside the table": (
        assay(titrant=CERTIFIED, temperature="60.0 °C"), {},
        "ws.toml: determination 1, temperature: sodium hydroxide 0.1 mol/L: 60 °C lies outside"),
    "glass that nobody knows": (
        assay(titrant=CERTIFIED).replace('id = "B-07"', 'id = "B-07"\nmaterial = "amber"'), {},
        "ws.toml: vessels.burette, material: vessel: the expansion of 'amber' is not held"),
    "standard of glassware that nobody knows": (
        assay(titrant=CERTIFIED).replace("ISO 385", "ISO 999"), {}, "ws.toml: vessels.burette: "),
    "formula that is none": (
        assay(titrant=CERTIFIED, formula="NaXq"), {}, "ws.toml: titrant, formula: "),
    "formula of a standard that is none": (
        standardisation().replace('basis = "dried"', 'basis = "dried"\nformula = "KHPx"'), {}, "ws.toml: standard: "),
    "weighed titrant in mol/L": (
        assay(titrant=CERTIFIED, rows='[[determination]]\npipette = "pipette"\ntitrant_net = "39.8 g"\n'), {},
        "ws.toml: titrant: the titrant is delivered by mass and its concentration is in mol/L; give it in mol/kg"),
    "titrant in mol/kg from a burette": (
        assay(titrant=certified("0.1000", "mol/kg")), {}, "ws.toml: titrant: the titrant is measured out by volume"),
    "titrant by mass here and by volume there": (
        assay(titrant=certified("0.1000", "mol/kg"),
              rows='[[determination]]\npipette = "pipette"\ntitrant_net = "39.8 g"\n'
                   '[[determination]]\npipette = "pipette"\ninitial = "0.00 mL"\nfinal = "39.80 mL"\n'), {},
        "ws.toml: some determinations deliver the titrant by mass and some by volume"),
    "blank in millilitres of a weighed titrant": (
        assay(titrant=certified("0.1000", "mol/kg"),
              rows='[[determination]]\npipette = "pipette"\ntitrant_net = "39.8 g"\n',
              extra='[blank]\nkind = "reagent blank"\nvolume = "0.05 mL ± 0.02 mL, rectangular"\n'), {},
        "ws.toml: blank"),
    "portions by mass here and by volume there": (
        assay(titrant=CERTIFIED, sample='density = "1.02 g/mL"\n',
              rows='[[determination]]\npipette = "pipette"\ninitial = "0.00 mL"\nfinal = "39.80 mL"\n'
                   '[[determination]]\nnet = "10.0 g"\ninitial = "0.00 mL"\nfinal = "39.80 mL"\n'), {},
        "ws.toml: some determinations take the sample by mass and some by volume"),
    "dilution by volume, aliquots by mass": (
        assay(titrant=CERTIFIED, extra=flask() + DILUTION,
              rows='[[determination]]\nnet = "10.0 g"\ninitial = "0.00 mL"\nfinal = "39.80 mL"\n'), {},
        "ws.toml: dilution: the dilution is made up by one means and its aliquots are taken by another"),
    "standard pipetted into its solution": (
        standardisation(vessels=flask() + DILUTION), {},
        "ws.toml: dilution: the mass of the primary standard is missing; give gross and tare, or net."),
    "twenty-seven fillings": (
        assay(titrant=CERTIFIED, rows='[[determination]]\npipette = "pipette"\nfillings = ['
              + '["0.00 mL", "1.00 mL"], ' * 27 + "]\n"), {}, "ws.toml: one determination fills the burette 27 times"),
    "reagent that is not described": (
        assay("calcium-carbonate-by-excess-acid", titrant=CERTIFIED), {}, "ws.toml: the method"),
    "a lot as standardisation": (
        assay(), {"st1.toml": 'format = "assaywright worksheet 1"\nkind = "lot"\nid = "1"\nproduct = "x"\n'
                  'maker = "Tarn Hollow Reagents"\n[[characteristic]]\nname = "a"\nfound = "b"\nsource = "c"\n'},
        "ws.toml: titrant, worksheets: 'st1.toml' is a lot, not a worksheet"),
}


@pytest.mark.parametrize("case", CASES)
def test_impossible_input_is_refused_in_one_line_with_file_and_remedy(case):
    text, files, beginning = CASES[case]
    with pytest.raises(Refusal) as caught:
        evaluated(text, files)
    told = str(caught.value)
    assert told.startswith(beginning)
    assert told.isprintable()
    assert "; " in told
    assert told.endswith((".", "?"))


def test_a_laboratorys_method_that_breaks_a_rule_is_refused_by_its_own_file():
    broken = method_text("hydrochloric-acid-by-naoh", ('formula = "HCl"\nequivalents = 1',
                                                       'formula = "HCl"\nequivalents = 2'), called="own")
    with pytest.raises(Refusal, match=r"^own\.toml: "):
        by_method(broken, titrant=CERTIFIED)


def test_a_refusal_below_names_the_file_below_and_no_other():
    """The worksheet above is not at fault and is not named."""
    below = standardisation().replace("ISO 385", "ISO 999")
    with pytest.raises(Refusal) as caught:
        evaluated(assay(), {"st1.toml": below})
    assert str(caught.value).startswith("st1.toml: vessels.burette: ")
    assert "ws.toml" not in str(caught.value)
