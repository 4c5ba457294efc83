"""The catalogue of irregularities: each kind of remark with its severity and its meaning.

``docs/troubles.md`` is written from it.
"""

from assaywright.metrology.remarks import Remark, Severity

NOTE, QUESTION, HOLD = Severity.NOTE, Severity.QUESTION, Severity.HOLD

TROUBLES: dict[str, tuple[Severity, str]] = {
    "too-few-replicates": (HOLD, "Fewer determinations count than the method asks for."),
    "replicates-not-accepted": (
        HOLD,
        "The determinations lie further apart than the method's rule of acceptance allows.",
    ),
    "scatter-above-pooled": (
        QUESTION,
        "The determinations scatter more than the pooled repeatability leads one to expect.",
    ),
    "scatter-below-resolution": (NOTE, "Coarse readings hide the scatter; the resolution stands in for it."),
    "possible-outlier": (QUESTION, "An outlier test flags a determination; it still counts."),
    "determination-excluded": (
        NOTE,
        "A person left a determination out of the mean, with a reason; it stays on record.",
    ),
    "determination-set-aside": (
        HOLD,
        "A determination held all its readings at the bench, and the worksheet was sent to review without it.",
    ),
    "excluded-without-name": (HOLD, "A determination was left out without saying by whom."),
    "determination-outside-limits": (
        QUESTION,
        "The mean lies within the specification, a single determination does not.",
    ),
    "titrant-past-its-date": (
        HOLD,
        "The titrant was past its last day of use, its life once opened, or its certificate.",
    ),
    "titrant-standardised-afterwards": (HOLD, "The titrant's value was found after the assay that uses it."),
    "titrant-left-out": (
        QUESTION,
        "A standardisation of the titrant is held back and does not count; another one does.",
    ),
    "titrant-let-pass": (
        QUESTION,
        "The titrant rests on a standardisation whose irregularity somebody in charge let pass.",
    ),
    "titrant-not-accepted": (HOLD, "The titrant rests on a standardisation that is itself held back."),
    "titrant-to-be-restandardised": (
        HOLD,
        "A control titration found a titrant behind the result off by more than its limit; it is to be restandardised.",
    ),
    "titrant-far-from-nominal": (
        QUESTION,
        "The titrant lies further from its nominal concentration than the house allows, 5 % where it says nothing.",
    ),
    "titrant-of-another-strength": (
        HOLD,
        "The titrant is half as strong again as its nominal concentration or more, or as much weaker.",
    ),
    "titrant-of-another-package": (
        HOLD,
        "The titrant's standardisation is of another lot or bottle than the one in use.",
    ),
    "standard-of-another-kind": (
        HOLD,
        "The weighed standard is not the one the method names, be it only by water of crystallisation.",
    ),
    "titrant-without-certificate": (HOLD, "The titrant's concentration is stated without a certificate."),
    "titrant-of-another-kind": (
        HOLD,
        "The titrant's worksheet or the worksheet's titrant is not the one the method names.",
    ),
    "standardisations-disagree": (
        HOLD,
        "Two standardisations of one titrant differ by more than their uncertainty allows.",
    ),
    "reference-material-past-its-date": (
        HOLD,
        "The primary standard or reference material was past its last day of use or its certificate.",
    ),
    "below-minimum-sample": (HOLD, "A portion is smaller than the certificate's or the balance's smallest."),
    "content-without-uncertainty": (
        HOLD,
        "The content of a reference material states no uncertainty, so that none of it is in the result's.",
    ),
    "content-uncertainty-large": (QUESTION, "The content of a reference material is uncertain by more than 1 %."),
    "balance-without-figures": (HOLD, "Nothing is stated of a balance: no readability, linearity or repeatability."),
    "basis-unclear": (QUESTION, "The certificate refers to dried material and no drying is recorded."),
    "calibration-overdue": (HOLD, "A vessel, balance or thermometer was past the due date of its calibration."),
    "calibration-unchecked": (
        QUESTION,
        "A calibration or a reference material's certificate was entered and compared with the paper by nobody else.",
    ),
    "calibrated-afterwards": (
        HOLD,
        "A vessel, balance, thermometer or reference material was calibrated or certified only after it was used.",
    ),
    "certificate-incomplete": (
        QUESTION,
        "The certificate of a titrant or reference material names no date or no reference it is traceable to.",
    ),
    "repeatability-not-your-own": (
        QUESTION,
        "The repeatability is the starting figure of the method file, not one that the laboratory found.",
    ),
    "uncertified-instrument": (
        NOTE,
        "A vessel, balance or thermometer has neither certificate nor tolerance class on record, or is not described.",
    ),
    "temperature-not-recorded": (
        QUESTION,
        "A volume has no temperature; the reference temperature ± 5 °C was assumed.",
    ),
    "thermal-expansion-unknown": (
        QUESTION,
        "A liquid away from the reference temperature has no law of thermal expansion; an allowance was made for it.",
    ),
    "doubted-figure": (NOTE, "A figure of a table is used as printed although it is doubted."),
    "density-missing": (HOLD, "A weighed liquid or solid has no density; air buoyancy could not be corrected."),
    "outside-burette-range": (QUESTION, "A titre uses less than 30 % or more than 100 % of the burette."),
    "blank-large": (HOLD, "The blank is larger than a third of the titre."),
    "blank-missing": (HOLD, "The method requires a blank and the worksheet has none."),
    "blank-not-of-the-method": (QUESTION, "The blank is of another kind than the method's."),
    "blank-and-titration-error": (
        HOLD,
        "An indicator blank and a titration error are both to be subtracted; only one may be.",
    ),
    "net-volume-not-positive": (
        HOLD,
        "The net volume of titrant is negative, or zero as for equal readings; of a reagent in excess none was left.",
    ),
    "negative-content": (HOLD, "The content found is negative."),
    "uncertainty-large": (QUESTION, "The expanded uncertainty is more than 20 % of the value, or larger than it."),
    "hydroxide-not-distinguished": (NOTE, "2P − T does not differ from zero by more than its expanded uncertainty."),
    "hydrogencarbonate-present": (
        NOTE,
        "T exceeds 2P: the sample holds carbonate with hydrogencarbonate, no hydroxide.",
    ),
    "carbonate-beyond-method": (
        QUESTION,
        "There is more carbonate for the hydroxide than two endpoints tell apart well; another method is named.",
    ),
    "content-above-purity": (QUESTION, "A content above 100 % was found or certified."),
    "unit-of-a-standardisation": (
        NOTE,
        "A standardisation states its result in mol/L or mol/kg, whatever was asked for.",
    ),
    "blank-from-one-titration": (NOTE, "A single blank titration has no scatter; reading and drop stand in for it."),
    "fixed-coverage-factor": (NOTE, "A fixed coverage factor was asked for and the degrees of freedom are few."),
    "specification-without-limit": (QUESTION, "A specification states no limit; the characteristic is reported only."),
    "method-named-otherwise": (NOTE, "A laboratory's own method file does not bear the name of its method."),
    "endpoint-not-feasible": (
        QUESTION,
        "The endpoint of a laboratory's own method misses the equivalence point by more than the method states.",
    ),
    "one-rectangular-influence": (
        NOTE,
        "One rectangular influence is so much of the variance that the interval holds the truth more often than said.",
    ),
    "monte-carlo-differs": (NOTE, "The simulated coverage interval differs from the one by the law of propagation."),
    "characteristic-undecided": (HOLD, "A characteristic of the lot has not been decided."),
    "source-missing": (HOLD, "An entered value does not say where it comes from."),
    "out-of-specification": (HOLD, "A characteristic does not conform to its specification."),
    "lot-differs": (HOLD, "A worksheet assays another lot than the one that rests on it."),
    "dates-out-of-order": (
        HOLD,
        "A lot was made, assayed, issued and is to be used, or a bottle opened, in an order that cannot be.",
    ),
    "reviewer-is-analyst": (HOLD, "Analyst and reviewer are the same person."),
    "one-identity-twice": (HOLD, "Two different worksheets of the chain bear the same number."),
    "sample-outside-buffers": (HOLD, "The sample's pH lies outside the two buffers that were to enclose it."),
    "electrode-slope": (QUESTION, "The slope of a pH electrode lies outside 95 to 102 % of the theoretical one."),
    "density-beyond-table": (QUESTION, "A solution lies beyond its table of densities; the density is extrapolated."),
    "density-far-from-table": (QUESTION, "A density as stated lies far from the table's at that content."),
    "buffers-at-another-temperature": (QUESTION, "Buffer and sample differ by more than 1 °C."),
}


def remark(kind: str, what: str, where: str, remedy: str) -> Remark:
    """Return a remark of a kind in the catalogue, with the catalogue's severity.

    Raises:
        KeyError: the kind is not in the catalogue, a fault of the program.
    """
    return Remark(kind, TROUBLES[kind][0], what, where, remedy)
