"""Invented lots of the invented works Tarn Hollow Reagents, as outcomes for the documents to tell."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from assaywright.assay.evaluate_lot import CharacteristicOutcome, LotOutcome
from assaywright.assay.observations import (
    Characteristic,
    Delivery,
    Determination,
    Filling,
    Lot,
    Portion,
    Sample,
    Solution,
    Specification,
    Worksheet,
)
from assaywright.assay.result import (
    BudgetLine,
    ChainLink,
    ConformityDecision,
    DeterminationResult,
    MonteCarloComparison,
    Outcome,
    ReplicateStatistics,
    Result,
)
from assaywright.metrology.estimate import Contribution, Estimate
from assaywright.metrology.model import Model, ModelInput
from assaywright.metrology.quantity import Quantity, StatedUncertainty
from assaywright.metrology.remarks import Remark, Severity

METHOD_SHA256 = "5776e68c29e6500f495db72bfbc6718c8482c1ea6b905b4cbcbc1cb3217929c3"


def quantity(number, unit, uncertainty=None):
    text = f"{number} {unit}" + (f" ± {uncertainty} {unit}, k = 2" if uncertainty else "")
    stated = StatedUncertainty(Decimal(uncertainty), "expanded", Decimal(2)) if uncertainty else None
    return Quantity(Decimal(number), unit, text, stated)


def worksheet(identity="WS-26-0412", lot="0417", product="Caustic soda solution 20 % w/v"):
    filling = Filling(quantity("0.00", "mL"), quantity("40.12", "mL"))
    return Worksheet(
        identity=identity, kind="assay", method="caustic-soda-by-acid", performed=date(2026, 10, 12),
        analyst="Ines Okafor", reviewer="Jonas Feld", titrant=Solution("hydrochloric acid 1 mol/L", "HCl"),
        determinations=(Determination("1", Portion(), Delivery((filling,))),),
        sample=Sample(product, lot, taken="12 October 2026, 07:40, tank 3, after 20 minutes' stirring"),
        digest="8d4f3f0f0c5a1e8f6f0d9a1f4be2a0c9f2a4c1f94f04d4f7f4c1b3ab2f6d8e10")


def chain():
    khp = ChainLink("reference material", "potassium hydrogen phthalate RM-204", "content 99.97 % ± 0.07 %, k = 2",
                    "RM-204 of 3 March 2026", "valid through 31 March 2028")
    burette = ChainLink("vessel", "burette B-07, 50 mL", "corrections with U = 0.010 mL, k = 2",
                        "C-2217 of 2 March 2026", "valid through 1 March 2027")
    balance = ChainLink("balance", "balance W-2", "linearity 0.2 mg", "C-2190 of 9 January 2026",
                        "valid through 8 January 2027")
    caustic = ChainLink("titrant", "sodium hydroxide 1 mol/L, lot T-091", "0.99874 mol/L ± 0.00092 mol/L, k = 2.03",
                        "worksheet WS-26-0398", "in force from 9 October 2026", (khp, balance, burette))
    acid = ChainLink("titrant", "hydrochloric acid 1 mol/L, lot T-102", "1.0012 mol/L ± 0.0010 mol/L, k = 2.02",
                     "worksheet WS-26-0405", "in force from 10 October 2026",
                     (caustic, ChainLink("vessel", "pipette P-11, 25 mL", "class A, ISO 648", "tolerance 0.03 mL")))
    table = ChainLink("table", "atomic weights", "CIAAW 2021", "edition 2021")
    repeatability = ChainLink("repeatability", "pooled, of the method", "0.05 % with 24 degrees of freedom")
    return ChainLink("result", "total alkali as NaOH", "19.987 % w/v ± 0.024 % w/v, k = 2.06",
                     "worksheet WS-26-0412", "", (acid, burette, balance, table, repeatability))


def model():
    def equation(x, m):
        volume = m.step("V_20", "titre at 20 °C", (x["R_f"] - x["R_i"]) * x["k_t"], "mL", "GB/T 601, table A.1")
        amount = m.step("n_a", "amount of acid", volume * x["c_a"], "mmol")
        return m.step("w_NaOH", "total alkali as NaOH", amount * x["M_NaOH"] / x["V_p"] / 10, "% w/v")

    names = (("R_f", "final reading", 40.12, "mL", 0.006), ("R_i", "initial reading", 0.0, "mL", 0.0),
             ("k_t", "temperature factor at 22.0 °C", 0.99952, "1", 0.00005),
             ("c_a", "concentration of the acid", 1.0012, "mol/L", 0.0005),
             ("M_NaOH", "molar mass of NaOH", 39.99711, "g/mol", 0.0005), ("V_p", "aliquot", 8.0385, "mL", 0.004))
    inputs = {
        name: ModelInput(name, label, Estimate(value, unit, (Contribution(name, u),) if u else ()),
                         text="0.00 mL" if name == "R_i" else "", source="worksheet WS-26-0412")
        for name, label, value, unit, u in names}
    return Model(equation, inputs, "% w/v", "w_NaOH", "total alkali as NaOH")


def result(name="total alkali as NaOH", **changes):
    estimate = Estimate(19.98712, "% w/v", (Contribution("titrant", 0.0100), Contribution("repeatability", 0.0058, 24)))
    plain = Result(name, estimate, 1.97, 0.95, "19.987", "0.023")
    return replace(plain, **changes)


def budget():
    influences = (("concentration of the acid", 0.0100, 0.748), ("repeatability", 0.0058, 0.252),
                  ("molar mass of NaOH", 0.00025, 0.00005))
    return tuple(BudgetLine(name, name, amount, share, 24 if name == "repeatability" else float("inf"), "normal",
                            19.96 if "acid" in name else None, 0.0005 if "acid" in name else None, "mol/L")
                 for name, amount, share in influences)


def outcome(remarks=(), results=None, sheet=None, **changes):
    rows = (("1", 19.9812, ""), ("2", 19.9921, ""), ("3", 19.9880, ""), ("4", 20.6120, "bubble seen below the tap"))
    determinations = tuple(DeterminationResult(label, value, "% w/v", 40.101, None, "Ines Okafor", excluded)
                           for label, value, excluded in rows)
    statistics = ReplicateStatistics(
        3, 19.98710, 0.00551, 0.000276, 0.0109, "pooled: the method's s_r of 0.05 %", 0.0058, 24, accepted=True,
        acceptance=("Range of three 0.0109 % w/v, at most 0.040 % w/v: accepted.",),
        outlier_tests=("With three determinations an outlier test has almost no power.",))
    plain = Outcome(
        worksheet=sheet or worksheet(), method_title="Caustic soda by acid", method_edition="1",
        method_sha256=METHOD_SHA256, results=results or (result(),), determinations=determinations, budget=budget(),
        statistics=statistics, remarks=tuple(remarks), chain=chain(), models=(model(),),
        monte_carlo=MonteCarloComparison(
            trials=200_000, seed=1, mean=19.98711, standard_uncertainty=0.01156, interval=(19.9645, 20.0098),
            numerical_tolerance=0.0005, simulation_error=0.0001, differences=(0.0001, 0.0001), agrees=True, reason=""))
    return replace(plain, **changes)


def decision(name="total alkali as NaOH"):
    return ConformityDecision(
        "conforms", "simple acceptance", "19.98712 % w/v", "19.8 to 20.2 % w/v",
        f"The {name}, 19.987 % w/v, lies within 19.8 to 20.2 % w/v.", 0.99999,
        "flat prior")


def specification(name, lower=None, upper=None, unit="", text=""):
    return Specification(name, unit, quantity(lower, unit) if lower else None, quantity(upper, unit) if upper else None,
                         text=text)


def assayed(name="total alkali as NaOH", evaluated=None, *, accredited=True):
    evaluated = evaluated or outcome()
    entry = Characteristic(specification(name, "19.8", "20.2", "% w/v"), worksheet="assay.toml", accredited=accredited)
    return CharacteristicOutcome(entry, evaluated, evaluated.result, "", decision(name))


def entered():
    """Density with its uncertainty, chloride below a bound, and the look of it."""
    from assaywright.assay.entered import entered_result, judge_entered, reason_without_uncertainty

    entries = (
        Characteristic(specification("density at 20 °C"), value=quantity("1.2191", "g/mL", "0.0005"),
                       source="oscillating tube densitometer D-2, 12 October 2026, I. Okafor"),
        Characteristic(specification("chloride", upper="10", unit="mg/L"), value=quantity("5", "mg/L"), less_than=True,
                       source="turbidity against a comparison solution, 12 October 2026, J. Feld"),
        Characteristic(specification("appearance", text="clear, colourless, free of particles"),
                       text="clear, colourless", satisfied=True, source="by eye, 12 October 2026, I. Okafor"))
    for entry in entries:
        found = entered_result(entry)
        yield CharacteristicOutcome(entry, None, found, "" if found else reason_without_uncertainty(entry),
                                    None if found else judge_entered(entry))


def lot(characteristics=(), **changes):
    plain = Lot(
        identity="0417", product="Caustic soda solution 20 % w/v", maker="Tarn Hollow Reagents",
        characteristics=tuple(item.characteristic for item in characteristics), certificate_number="TH-26-0417-1",
        made=date(2026, 10, 10), issued=date(2026, 10, 14), use_before=date(2027, 10, 31),
        storage="tightly closed, 15 °C to 25 °C", cautions=("Wear eye protection and gloves; caustic soda burns.",),
        responsible="Maren Tolliver", responsible_function="authorised signatory", customer="Quayside Dairy Laboratory",
        digest="1f0d3f0f0c5a1e8f6f0d9a1f4be2a0c9f2a4c1f94f04d4f7f4c1b3ab2f6d8e77")
    return replace(plain, **changes)


def lot_outcome(characteristics=None, remarks=(), **changes):
    characteristics = tuple(characteristics) if characteristics is not None else (assayed(), *entered())
    return LotOutcome(lot(characteristics, **changes), characteristics, tuple(remarks))


def hold(what="the titrant was past its last day of use"):
    return Remark("titrant-past-its-date", Severity.HOLD, what, "worksheet WS-26-0412, titrant", "restandardise it")
