"""Certificates from files: what is read, what is asked, what is refused, each in one sentence with its place.

The documents have the shapes of dcc.xsd 3.3.0, SI_Format.xsd 2.2.1 and drmd.xsd 1.0.0; their figures are invented.
"""

import io

import pytest
from openpyxl import Workbook

from assaywright.metrology.refusal import Refusal
from assaywright.records.certificate_files.read import read_calibration_file, read_material_certificate
from assaywright.records.certificate_files.stated import ADDED, TAKEN, VOLUME

SHEET = ("Certificate;K-27-004\nDate of calibration;2026-11-25\n\n"
         "Scale reading / mL;Error / µL;Expanded uncertainty / µL;k;Remark\n"
         "0;0,0;8;2;\n10;-8,5;8;2;\n50;11,0;12;2;\nWater at 20.1 °C\n")
ADMIN = ('<dcc:administrativeData><dcc:coreData><dcc:uniqueIdentifier>K-27-004</dcc:uniqueIdentifier>'
         "<dcc:beginPerformanceDate>2026-11-24</dcc:beginPerformanceDate>"
         "<dcc:endPerformanceDate>2026-11-25</dcc:endPerformanceDate></dcc:coreData><dcc:items><dcc:item>"
         "<dcc:identifications><dcc:identification><dcc:issuer>customer</dcc:issuer><dcc:value>B-11</dcc:value>"
         "</dcc:identification></dcc:identifications></dcc:item></dcc:items></dcc:administrativeData>")
POSITIONS = ('<dcc:quantity refType="basic_nominalValue"><si:realListXMLList><si:valueXMLList>10 50</si:valueXMLList>'
             "<si:unitXMLList>\\milli\\litre</si:unitXMLList></si:realListXMLList></dcc:quantity>\n")
ERRORS = ('<dcc:quantity refType="basic_measurementError"><dcc:name><dcc:content lang="de">Abweichung</dcc:content>'
          '<dcc:content lang="en">Error</dcc:content></dcc:name><si:realListXMLList>'
          "<si:valueXMLList>-0.0085 0.0110</si:valueXMLList><si:unitXMLList>\\milli\\litre</si:unitXMLList>"
          "<si:measurementUncertaintyUnivariateXMLList><si:expandedMUXMLList><si:valueExpandedMUXMLList>0.008 0.012"
          "</si:valueExpandedMUXMLList><si:coverageFactorXMLList>2</si:coverageFactorXMLList>"
          "<si:coverageProbabilityXMLList>0.95</si:coverageProbabilityXMLList></si:expandedMUXMLList>"
          "</si:measurementUncertaintyUnivariateXMLList></si:realListXMLList></dcc:quantity>\n")
TEMPERATURE = ("<dcc:quantity><dcc:name><dcc:content>Water</dcc:content></dcc:name><si:real><si:value>20.1</si:value>"
               "<si:unit>\\degreecelsius</si:unit></si:real></dcc:quantity>\n")
MATERIAL = (
    '<d:digitalReferenceMaterialDocument xmlns:d="urn:drmd:schema" xmlns:dcc="https://ptb.de/dcc" '
    'xmlns:si="https://ptb.de/si" schemaVersion="1.0.0"><d:administrativeData><d:coreData>'
    "<d:titleOfTheDocument>referenceMaterialCertificate</d:titleOfTheDocument>"
    "<d:uniqueIdentifier>RM-KHP-9</d:uniqueIdentifier><d:validity><d:specificTime>2029-06-30</d:specificTime>"
    "</d:validity></d:coreData></d:administrativeData><d:materials><d:material><d:name><dcc:content>potassium hydrogen "
    "phthalate</dcc:content></d:name><d:minimumSampleSize><dcc:itemQuantity><si:real><si:value>100</si:value>"
    "<si:unit>\\milli\\gram</si:unit></si:real></dcc:itemQuantity></d:minimumSampleSize><d:materialIdentifiers>"
    "<d:materialIdentifier><d:scheme>Lot</d:scheme><d:value>0091</d:value></d:materialIdentifier>"
    "</d:materialIdentifiers></d:material></d:materials><d:propertiesList>\n"
    '<d:properties isCertified="true"><d:results><d:result><d:data><d:quantity><dcc:name><dcc:content>mass fraction'
    "</dcc:content></dcc:name><si:real><si:value>0.99971</si:value><si:unit>\\one</si:unit><si:expandedUnc>"
    "<si:uncertainty>0.00040</si:uncertainty><si:coverageFactor>2</si:coverageFactor><si:coverageProbability>0.95"
    "</si:coverageProbability></si:expandedUnc></si:real></d:quantity></d:data></d:result></d:results></d:properties>"
    "</d:propertiesList><d:statements><d:metrologicalTraceability><dcc:content>to the SI, by coulometry</dcc:content>"
    "</d:metrologicalTraceability></d:statements></d:digitalReferenceMaterialDocument>")


def calibration(quantities=POSITIONS + ERRORS + TEMPERATURE, results=""):
    return ('<?xml version="1.0"?>\n<dcc:digitalCalibrationCertificate xmlns:dcc="https://ptb.de/dcc" '
            f'xmlns:si="https://ptb.de/si" schemaVersion="3.3.0">{ADMIN}<dcc:measurementResults><dcc:measurementResult>'
            f"<dcc:results>\n<dcc:result><dcc:name><dcc:content>as found</dcc:content></dcc:name><dcc:data><dcc:list>"
            f"{quantities}</dcc:list></dcc:data></dcc:result>{results}</dcc:results></dcc:measurementResult>"
            "</dcc:measurementResults></dcc:digitalCalibrationCertificate>")


def read(data, name="k.csv", kind="burette", identity="B-11", sign=TAKEN, *, against=False):
    return read_calibration_file(data if isinstance(data, bytes) else data.encode(), name, kind=kind,
                                 identity=identity, sign=sign, against_heading=against)


def pairs(data, **said):
    return [tuple(one) for one in read(data, **said).table["corrections"]]


def test_an_error_is_the_opposite_of_a_correction_and_what_the_column_is_has_to_be_said():
    """VIM 2.16 and 2.53 (from memory): the error is reading less true value, the correction compensates for it."""
    assert pairs(SHEET) == [("0 mL", "+0.0 µL"), ("10 mL", "+8.5 µL"), ("50 mL", "-11.0 µL")]
    with pytest.raises(Refusal, match="take the tick away"):
        read(SHEET, against=True)
    assert pairs(SHEET, sign=ADDED, against=True) == [("0 mL", "+0.0 µL"), ("10 mL", "-8.5 µL"), ("50 mL", "+11.0 µL")]
    with pytest.raises(Refusal, match="calls them 'Error', and 'corrections' was chosen; choose anew, or tick"):
        read(SHEET, sign=ADDED)
    with pytest.raises(Refusal, match="'Error', and a correction and an error are opposite; say which"):
        read(SHEET, sign="")
    corrected = SHEET.replace("Error", "Correction")
    assert pairs(corrected, sign=ADDED)[1] == ("10 mL", "-8.5 µL")
    with pytest.raises(Refusal, match="calls them 'Correction', and 'errors' was chosen"):
        read(corrected)
    assert pairs(corrected, against=True)[1] == ("10 mL", "+8.5 µL")
    assert pairs(SHEET.encode("utf-16")) == pairs(SHEET)


def test_a_table_fills_the_certificate_and_the_greatest_uncertainty():
    found = read(SHEET)
    assert found.table["calibration_uncertainty"] == "12 µL, k = 2"
    assert found.table["certificate"] == {"id": "K-27-004", "issued": "2026-11-25"}
    assert any("at 50 mL, is taken for all" in one for one in found.notes)
    assert any("Not read: the column Remark" in one for one in found.notes)
    mixed = SHEET.replace("50;11,0;12;2", "50;11,0;9;1")  # a standard uncertainty of 9 µL is more than 8 µL with k = 2
    assert read(mixed).table["calibration_uncertainty"] == "9 µL, standard"


def test_a_workbook_with_a_column_of_units_and_true_volumes_is_read():
    book, out = Workbook(), io.BytesIO()
    for row in (["Nominal volume", "Delivered volume", "U (k = 2)", "Unit"], [25, 24.9874, 0.0060, "mL"]):
        book.active.append(row)
    book.save(out)
    found = read(out.getvalue(), name="p.xlsx", kind="pipette", identity="P-3", sign=VOLUME)
    assert found.table == {"corrections": [["25 mL", "-0.0126 mL"]], "calibration_uncertainty": "0.006 mL, k = 2"}


def test_a_balance_and_a_thermometer_are_off_by_error_and_uncertainty_together():
    """JCGM 100:2008, F.2.4.5 (from memory): 0.15 mg of error and U = 0.10 mg make 0.25 mg, whatever the sign."""
    table = "Load / g,Error / mg,U / mg,k\n0,0.00,0.05,2\n100,-0.15,0.10,2\n200,0.10,0.12,2\n"
    found = read(table, kind="balance", identity="W-2", sign="")
    assert found.table == {"linearity": "0.25 mg, rectangular"}
    assert "at 100 g" in found.notes[0]
    warm = read("Reading [°C],Correction [K],U [K],k\n20,-0.12,0.06,2\n", kind="thermometer", identity="T-6", sign="")
    assert warm.table == {"uncertainty": "0.18 K, rectangular"}


@pytest.mark.parametrize(("old", "new", "sentence"), [
    ("-8,5", "-8.5", "'0,0' has a decimal comma and '-8.5' a decimal point"),
    ("-8,5", "x", "row 6, Error: 'x' is no number"),
    ("-8,5", "", "row 6, Error: the cell is empty"),
    ("Error / µL", "Error", "row 5, Error: '0,0' stands there without its unit"),
    ("Error / µL", "Error / mg", "row 5: 0.0 mg is no volume"),
    (";k;", ";;", "row 5: an uncertainty stands there without its coverage factor k"),
    (";8;2;", ";-8;2;", "row 5: an uncertainty of -8 µL with k = 2 cannot be"),
    (";8;2;", ";;2;", "row 5: no uncertainty is stated there"),
    ("Remark", "Correction / µL", "the columns 'Error' and 'Correction' state the same, or each other's opposite"),
    ("Scale reading", "Mark on it", "no row has headings for a scale position and a correction"),
    ("2026-11-25", "25.13.2026", "row 2: "),
    ("50;11,0", "10;11,0", "row 6 and row 7: the position 10 mL stands there twice"),
    ("Certificate;", "Instrument;B-12\nCertificate;", "it is of B-12, and this page is of B-11"),
    ("Expanded uncertainty / µL;k", "Uncertainty / µL;remark", "is called neither expanded nor standard"),
])
def test_a_table_that_is_doubtful_is_refused_by_row_and_column(old, new, sentence):
    with pytest.raises(Refusal) as caught:
        read(SHEET.replace(old, new))
    assert sentence in str(caught.value)
    assert str(caught.value).startswith("k.csv: ")
    assert str(caught.value).isprintable()


def test_thousands_or_a_decimal_comma_is_asked_about():
    with pytest.raises(Refusal, match="'1,002' may be a number with a decimal comma, or thousands"):
        read("Scale reading / mL;Error / µL;U / µL;k\n10;1,002;8;2\n")


def test_a_digital_calibration_certificate_is_read_with_its_lists():
    found = read(calibration(), name="k.xml")
    assert found.table["corrections"] == [["10 mL", "+0.0085 mL"], ["50 mL", "-0.0110 mL"]]
    assert found.table["calibration_uncertainty"] == "0.012 mL, k = 2"
    assert found.table["certificate"] == {"id": "K-27-004", "issued": "2026-11-25"}
    assert any("Not read: Water (line 5)" in one for one in found.notes)
    other = read(calibration(), name="k.xml", identity="B-12").notes
    assert any("numbers of the item are B-11; see that it is B-12" in one for one in other)


def test_a_thermometers_certificate_is_read_by_what_it_indicated_and_glass_is_not():
    """Its error of 0.12 K and U = 0.06 K make 0.18 K (JCGM 100:2008, F.2.4.5, from memory)."""
    warm = (POSITIONS + ERRORS).replace("nominalValue", "measuredValue").replace(r"\milli\litre", r"\kelvin")
    for old, new in (("10 50", "293.15 323.15"), ("-0.0085 0.0110", "-0.12 0.05"), ("0.008 0.012", "0.06 0.06")):
        warm = warm.replace(old, new)
    found = read(calibration(warm), name="k.xml", kind="thermometer", identity="", sign="")
    assert found.table["uncertainty"] == "0.18 K, rectangular"
    assert not any("Not read" in one for one in found.notes)
    with pytest.raises(Refusal, match="there are 2 values of it and 0 scale positions"):
        read(calibration(POSITIONS.replace("nominalValue", "measuredValue") + ERRORS), name="k.xml")
    with pytest.raises(Refusal, match="its name 'Uncertainty' say different things"):
        read(calibration(POSITIONS + ERRORS.replace('">Error', '">Uncertainty')), name="k.xml")


@pytest.mark.parametrize(("text", "sentence"), [
    (calibration().replace("si:expandedMUXMLList", "si:coverageIntervalMUXMLList"),
     "element coverageIntervalMUXMLList, line 4: an uncertainty is read only as a standard or an expanded one"),
    (calibration().replace("0.0110<", "0.0110 0.0120<"), "there are 3 values, and 2 in valueExpandedMUXMLList"),
    (calibration().replace("10 50", "10"), "there are 2 values of it and 1 scale positions"),
    (calibration().replace("-0.0085", "-0,0085"), "element valueXMLList, line 4: '-0,0085' is no number"),
    (calibration().replace("-0.0085", "NaN"), "element valueXMLList, line 4: 'NaN' is no number"),
    (calibration().replace(r"\milli\litre", r"\inch"), r"the unit '\inch' is not known here"),
    (calibration().replace('">Error', '">Correction'), "line 4: its type and its name 'Correction' say different"),
    (calibration(TEMPERATURE), "it holds no table of errors or corrections"),
    (calibration(results=f"<dcc:result><dcc:name><dcc:content>as left</dcc:content></dcc:name><dcc:data>{POSITIONS}"
                         f"{ERRORS}</dcc:data></dcc:result>"), "several tables of errors or corrections, 'as found'"),
    (MATERIAL, "it is the certificate of a reference material, and not of an instrument"),
    ("<a/>", "it is no digitalCalibrationCertificate of the schema https://ptb.de/dcc, but a of none"),
    ("<a><b></a>", "no well-formed XML (mismatched tag, line 1)"),
    ("%PDF-1.7", "a PDF is for people to read"), ("  ", "the file is empty"), ("x" * 1_000_001, "larger than 1 MB"),
    ("<a>" * 61, "nested deeper"),
])
def test_a_digital_certificate_that_is_not_unambiguous_is_refused_by_element_and_line(text, sentence):
    with pytest.raises(Refusal) as caught:
        read(text, name="k.xml")
    assert sentence in str(caught.value)


@pytest.mark.parametrize("inside", [
    '<!ENTITY x SYSTEM "file:///etc/hostname">', '<!ENTITY x SYSTEM "http://localhost/x">',
    '<!ENTITY a "aaaaaaaaaa"><!ENTITY x "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">'])
def test_a_document_type_is_refused_before_any_entity_is_looked_at(inside):
    text = calibration().replace("<dcc:digital", f"<!DOCTYPE x [{inside}]>\n<dcc:digital", 1).replace("K-27-004", "&x;")
    with pytest.raises(Refusal, match="states a document type, x, and what that may draw in is never read"):
        read(text, name="k.xml")


def test_a_reference_materials_document_fills_what_it_certifies():
    found = read_material_certificate(MATERIAL.encode(), "rm.xml")
    assert found.table == {
        "name": "potassium hydrogen phthalate", "content": "99.971 % ± 0.040 %, k = 2", "lot": "0091",
        "minimum_sample": "100 mg", "use_before": "2029-06-30",
        "certificate": {"id": "RM-KHP-9", "traceable_to": "to the SI, by coulometry", "due": "2029-06-30"}}
    for old, new, sentence in (
            ('isCertified="true"', "", "it certifies 0 mass fractions"),
            ("referenceMaterialCertificate<", "productInformationSheet<", "no certificate of a reference material"),
            ("si:expandedUnc>", "si:label>", "stands there without its uncertainty")):
        with pytest.raises(Refusal) as caught:
            read_material_certificate(MATERIAL.replace(old, new).encode(), "rm.xml")
        assert sentence in str(caught.value)


def test_our_own_table_is_read_again_as_it_was_written():
    from assaywright.records.certificate_files.table_file import instrument_file

    table = {"kind": "burette", "id": "B-11", "nominal": "50 mL", "corrections": [["10 mL", "+8.5 µL"]],
             "calibration_uncertainty": "12 µL, k = 2",
             "certificate": {"id": "K-27-004", "issued": {"date": "2026-11-25"}, "due": "2027-11"}}
    written = instrument_file("burette", table)
    assert read(written, name="b.toml", sign="").table == table
    for identity, kind, said in (("B-12", "burette", "nothing of the burette B-12"), ("", "balance", "of a balance")):
        with pytest.raises(Refusal, match=said):
            read(written, name="b.toml", identity=identity, kind=kind)
