"""Every phrase that a certificate is put together from, so that it can be said in another language.

A phrase has places in braces. What stands after a place's colon says what is put there: ``typed`` is left as somebody
typed it, ``day`` is a date, ``stated`` a quantity as typed with its uncertainty, any other word names a group of
phrases below, and a group with a question mark may hold words of the laboratory's own. A place without a colon holds
figures. Within a group the first phrase that fits counts. The phrases of a catalogue leave these kinds out.
"""

DRAWN_ABOVE = "what it rests on is drawn above"
TRACED = ("Each titrated result is traceable through the documented chain drawn here to the references at the ends of "
          "its branches")
TRACED_BY = "Each link adds its part to the stated uncertainty."
NOT_TITRATED = "A value that was not titrated rests on the source named with it."
HEAD_OF_RECORDS = "Head of the records when this was issued: {head:typed}."
SPECIFIED = "Specification of the product: edition {edition}."
IN_PLACE_OF = "This certificate takes the place of {number:typed}"
IN_WORDING = f"{IN_PLACE_OF} in wording only; it states the same."
REPLACES = "This certificate replaces {number:typed}, withdrawn on {day:day} because: {because:typed}."
SAME = "No figure, date or statement differs from {other:typed}."
WHY = "Why it is issued, in the words of {who:typed}, who signs: “{changed:typed}”."
WHAT = "What changed, in the words of {who:typed}, who signs: “{changed:typed}”."
TAKEN = (f"{REPLACES} {SAME} {WHY}", f"{REPLACES} {WHAT}", f"{IN_WORDING} {SAME} {WHY}", f"{IN_PLACE_OF}. {WHAT}")

PHRASES: dict[str, tuple[str, ...]] = {
    "title": ("Certificate of analysis",),
    "label": ("Customer", "Made", "Sample taken", "Assayed", "Issued", "Use before the end of"),
    "days": ("{first:day} to {last:day}, recorded on {recorded:day}", "{day:day}, recorded on {recorded:day}",
             "{first:day} to {last:day}", "{day:day}"),
    "value": ("less than {value}", "{value}"),
    "no_uncertainty": ("an upper bound, found below what its source can measure",
                       "an observation, not a measured number", "its source states none"),
    "coverage": ("k = {factor} as entered from its source, with the digits that it states",
                 "k = {factor} for {probability} coverage, {freedom}",
                 "k = {factor} as agreed, {freedom}, by Student’s t {probability} coverage"),
    "factor": ("factor, actual over nominal concentration: f = {factor} ± {uncertainty}, with the same k",),
    "unit": ("% w/w", "% w/v"),
    "unit alone": ("mass fraction in %", "mass concentration in g/dL"),
    "limits": ("not less than {limit}", "not more than {limit}", "{lower} to {upper}"),
    "decision": ("conforms", "does not conform", "conformity not proven", "not decided", "reported only"),
    "rounding": ("half up", "half even"),
    "rule": ("judged by a person", "upper bound at or below the limit",
             "{rule:rule}, no uncertainty taken into account", "simple acceptance", "absolute method",
             "guard band w = {ratio} U", "guard band", "rounding method, to {step}, {rounding:rounding}",
             "rounding method", "conformance probability of at least {probability}", "conformance probability"),
    "statement": (
        "Found ‘{found:typed}’, which meets ‘{wanted:typed}’ in the judgement of the person named.",
        "Found ‘{found:typed}’, which meets ‘{wanted:typed}’ in the judgement of {judge:judge}.",
        "Found ‘{found:typed}’, which does not meet ‘{wanted:typed}’ in the judgement of the person named.",
        "Nobody has judged whether ‘{found:typed}’ meets ‘{wanted:typed}’.",
        "The rule ‘{rule:rule}’ needs an uncertainty, and the value’s source states none.",
        "Found ({value} ± {uncertainty}) {unit}; specified {limits:limits}: {decision:decision}.",
        "Found {value:value}; specified {limits:limits}: {decision:decision}.",
        "Found {value:value}, which does not settle whether it is {limits:limits}.",
    ),
    "judge": ("{name:typed}, {function:function}", "{name:typed}"),
    "prior": ("flat prior", "normal prior {mean} with standard uncertainty {uncertainty}"),
    "probability": ("{probability}, {prior:prior}", "{probability}"),
    "risks": ("global consumer’s risk {consumer}, global producer’s risk {producer}",),
    "method": ("{title:method title?}, edition {edition:typed}",),
    "conformity": (
        "Nothing is specified for this lot; its characteristics are reported, and no conformity is claimed.",
        ("The one specified characteristic conforms, by the decision rule named with it. The results relate to this "
        "lot only."),
        ("All {number} specified characteristics conform, each by the decision rule named with it. The results relate "
        "to this lot only."),
    ),
    "accreditation": (
        "No result on this certificate is reported as accredited.",
        "No characteristic on this certificate is covered by an accreditation.",
        "Every result on this certificate is reported as accredited, under the maker’s accreditation.",
        "Every characteristic on this certificate is covered by the maker’s accreditation.",
        ("Results marked as accredited are reported under the maker’s accreditation; the others are not reported as "
         "accredited."),
        "Characteristics marked as accredited are covered by the maker’s accreditation; the others are not.",
    ),
    "traceability": (
        "No value on this certificate was titrated; each rests on the source named with it.",
        f"{{sentence:traceability}} {NOT_TITRATED}",
        f"{TRACED}, but for {{ends:ends}}. {TRACED_BY}",
        f"{TRACED}. {TRACED_BY}",
    ),
    "ends": ("{end:end}; {further:ends}", "{end:end}"),
    "end": ("{object:open end} (no certificate)", "{object:open end} (certificate {number:typed} names no reference)",
            "{object:open end} ({standard:class}, no certificate)"),
    "class": ("{standard:typed} class {letter:typed}", "{standard:typed}"),
    "vessel": ("piston burette {vessel:typed}, {nominal}", "piston pipette {vessel:typed}, {nominal}",
               "measuring cylinder {vessel:typed}, {nominal}", "burette {vessel:typed}, {nominal}",
               "pipette {vessel:typed}, {nominal}", "flask {vessel:typed}, {nominal}"),
    "open end": ("balance {balance:typed}", "thermometer {thermometer:typed}",
                 "reference material {material:typed}", "{vessel:vessel}", "{solution:solution}"),
    "solution": ("{name:typed}, lot {lot:typed}, bottle {bottle:typed}", "{name:typed}, lot {lot:typed}",
                 "{name:typed}, bottle {bottle:typed}", "{name:typed}"),
    "kind": ("result", "titrant", "reagent", "reference material", "certificate", "traceability", "vessel", "balance",
             "thermometer", "table", "repeatability"),
    "table": ("CIAAW standard atomic weights {year:typed}", "{table:typed}"),
    "repeatability": ("the laboratory's pooled repeatability",
                      "the method's pooled repeatability ({source:source of repeatability?})",
                      "pooled repeatability", "observed scatter", "resolution", "reading and drop"),
    "source of repeatability": (
        ("common practice, no source: a practised analyst with a class A burette. Put the laboratory's own in its "
        "place."),
        ("common practice, no source: a practised analyst with a class A burette and pipette. Put the laboratory's own "
        "in its place."),
        "common practice, no source; of the total alkali. Put the laboratory's own in its place.",
        ("the value of {source:typed} (read); its degrees of freedom: common practice, no source. Put the laboratory's "
        "own in its place."),
    ),
    "measurand": ("concentration of {solution:typed}", "hydrogencarbonate as {formula:typed}"),
    "result statement": ("{measurand:measurand?}: {value}", "{value}"),
    "solution statement": ("{value:stated}, mean of two standardisations",
                           "{value:stated}, mean of three standardisations",
                           "{value:stated}, mean of four standardisations",
                           "{value:stated}, mean of {number} standardisations", "{value:stated}"),
    "certificate statement": ("calibration", "content {content:stated}", "{value:stated}"),
    "distribution": ("normal", "rectangular", "triangular", "arcsine"),
    "vessel statement": ("u = {uncertainty} ({distribution:distribution})",),
    "balance statement": ("mass",),
    "table statement": ("molar mass of {formulas:typed}",),
    "repeatability statement": ("method {method:typed}, edition {edition:typed}",),
    "certificate": ("no certificate on record", "as stated", "tolerance as stated", "calibration",
                    "certificate {number:typed}", "{standard:typed} class {letter:typed}",
                    "{method:typed}, edition {edition:typed}", "{number:typed} of {day:day}", "{number:typed}"),
    "valid": (f"{{valid:valid}}; {DRAWN_ABOVE}", DRAWN_ABOVE, "performed {day:day}", "found {day:day}",
              "use before {day:day}", "no last day of use stated", "calibration due {day:day}", "to {day:day}",
              "no due date stated"),
    "safety": (("Read the safety data sheet before opening. It, local rules and the advice of qualified persons go "
               "before anything said here."),),
    "function": ("authorised signatory",),
    "responsibility": (("The program computes; it answers for nothing. By signing, the person named here states that "
                       "they have judged what it computed, and is responsible for this certificate."),),
    "demonstration": ("Demonstration: certifies nothing",),
    "standing": ("Draft: valid only when signed by the person named at its end.",
                 "Signed: in the laboratory’s records, with the password asked for, on {day:day}."),
    "figure": ("({value} ± {uncertainty}) {unit}", "less than {value} {unit}", "{value} {unit}"),
    "yes or no": ("yes", "no"),
    "changed": ("{of:typed}: {field:changed field}", "{field:changed field}"),
    "changed field": (
        "Maker", "Address of the works",
        "Product", "Lot", "Number of the accreditation", "Customer", "Made", "Sample taken", "Assayed",
        "Use before the end of", "result", "coverage factor", "accredited", "factor", "reference temperature",
        "specified", "decision rule", "decision", "compared", "conformance probability", "risks in the long run",
        "uncertainty", "method", "source", "Storage", "Hazard statements", "Cautions", "Irregularities accepted",
        "edition of the method", "analyst", "reviewer", "worksheet SHA-256", "traceability", "Printed in"),
    "language": ("English", "German"),
    "note": (*(f"{one} {SPECIFIED} {HEAD_OF_RECORDS}" for one in TAKEN), f"{SPECIFIED} {HEAD_OF_RECORDS}",
             *(f"{one} {HEAD_OF_RECORDS}" for one in TAKEN), HEAD_OF_RECORDS),
    "in place of": ("Replaces {number:typed}, withdrawn on {day:day}", "Amends {number:typed}"),
}

# What the page itself says, beside the document; found in the templates as say("…").
WORDS = (
    "Lot", "lot", "Results", "conforms", "U with", "no uncertainty:", "refers to", "method:", "source:", "accredited",
    "not reported as accredited", "none", "Characteristic", "Result", "Expanded|uncertainty U", "Unit", "Specified",
    "Decision",
    "Conformity", "Decision rule:", "Compared:", "Conformance probability", "In the long run:", "flat prior",
    "Flat prior: before the assay every content is taken to be equally likely.", "Metrological traceability",
    "Handling", "Store", "Note", "Record", "Computed by",
    "The figures of this certificate are attached to the electronic file, for programs.",
    "The figures and words of this certificate for programs", "Worksheet", "performed", "by", "reviewed by", "method",
    "edition", "worksheet", "lot file", "Responsibility", "Signed", "Number of the accreditation:",
    "Irregularities accepted",
    "What follows was judged by the person named with it, who let it pass for the reason given.", "Accepted on",
    "Changes", "What", "Before", "Now", "Customer",
    "No.", "page", "of", "signature", "name", "date",
)
