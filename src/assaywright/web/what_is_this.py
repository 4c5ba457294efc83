"""What each page is for, in a few sentences that stand folded at its foot."""

TEXTS = {
    "today": (
        "What is to be done, by your roles, the most urgent first: lots to assay, worksheets to review, "
        "certificates to sign, and whatever falls due. Each line leads to the page on which it is done, and goes "
        "away when it is done."),
    "search": (
        "Finds lots, products, people, instruments, solutions, certificates, worksheets and bottles by the "
        "beginning of a number or a part of a name, and with the first of them what belongs to it."),
    "history": (
        "Results that were kept in spreadsheets before these records. Nobody has seen their raw data here: they "
        "serve comparisons, and no certificate rests on them."),
    "convert": (
        "A content in other units: by volume or by mass, as another species, or in equivalents of a named reaction, "
        "with its uncertainty and its working line by line. Nothing is recorded."),
    "history.import": (
        "Brings results in that were kept in a spreadsheet: choose it, say which column holds what, look at what would "
        "be read, and record it. With any row that cannot be read nothing is recorded."),
    "prepare": (
        "How a solution is made from a solid, a concentrate or a stock: what to measure out and in what order, how "
        "warm it gets, and what it then holds. Nothing is recorded: the printed sheet is for the person who answers "
        "for the work, and a titration decides."),
    "sign-in": (
        "Everything done here is recorded with the name of whoever did it, so each person signs in with a password "
        "of their own. Whoever has forgotten it asks an administrator for a link."),
    "password": "Choose a new password. Your other sessions end; nothing that you have recorded changes.",
    "choose-password": "An administrator gave you this link so that you can choose a password. It can be used once.",
    "lots": (
        "All lots, and what each waits for. A lot is entered here when it is made, and goes through sampling, "
        "assay, review, decision and release to its certificate. A lot needs a product, which is defined under "
        "Products."),
    "lots.new": (
        "Enter a lot when it is made. What it must satisfy comes from its product's specification. A wrong heading "
        "can be corrected later, with a reason; a lot is never taken away."),
    "lots.show": (
        "One lot from its making to its certificate: the stages, each characteristic with what was found, its "
        "limits and the decision, and what can be done next. Only acts that your roles allow are shown. A result "
        "outside its limits puts the lot on hold and opens an investigation; the first result stays on record."),
    "lots.label": (
        "The label, to be printed: the page prints without anything else. Its code opens this lot when scanned."),
    "lots.plan": (
        "Ways to assay this lot with what is registered and in use, ranked by the uncertainty wanted and the bench "
        "time each takes. Choose one and begin it; its bench guide can be printed. A plan decides nothing."),
    "lots.adjust": (
        "How much water or concentrate brings this lot to strength, where it then lands, and how likely it conforms. "
        "What the records know is filled in; the tank is yours to state. Nothing is recorded: the printed sheet is for "
        "the person who answers for the work, and the new assay decides."),
    "assays": (
        "All worksheets, of assays and of standardisations, with their stage. An assay begins on the page of its "
        "lot, a standardisation on the page of its solution."),
    "assays.new": (
        "The heading of a worksheet: what is titrated, with which titrant and instruments, under which conditions. "
        "Each is looked up with its certificate; what is past its date is told. The readings come afterwards."),
    "assays.show": (
        "One worksheet: its readings, its result as it is now with every correction and the uncertainty, and its "
        "history. While it is open, readings can be recorded, corrected with a reason, or left out of the mean with "
        "a reason. Once sent to review nothing changes until somebody else has looked at it."),
    "assays.heading": (
        "Correct what a worksheet states of itself: titrant, instruments, conditions. The old heading stays on "
        "record with the reason, and the result is computed anew."),
    "bench": (
        "Scan a code, or type a number, and its page opens: a worksheet at the burette, a lot, a solution, an "
        "instrument. A scanner that types like a keyboard just works."),
    "trust": (
        "A tablet opens the bench page without the server only when it trusts the server's certificate. Here is the "
        "file that lets it, how to install it, and what that means."),
    "review": (
        "Worksheets that wait for a second person. Whoever has titrated, entered or corrected anything of one does "
        "not review it."),
    "review.show": (
        "Everything a reviewer looks at on one page: readings, working, budget, remarks and history. Sign it with "
        "your password, or send it back with a reason. A signature counts for exactly the worksheet that is shown."),
    "solutions": (
        "Titrants and other standard solutions, with the concentration in force, how far each has drifted since its "
        "first standardisation, and when it falls due, by its drift or by its date. A solution is entered when it is "
        "made or received, and standardised from its own page."),
    "solutions.new": (
        "Enter a solution when it is made or received. One without a certificate counts only after a "
        "standardisation that somebody has reviewed."),
    "solutions.show": (
        "One solution: its concentration in force, how it has drifted, the worksheets that gave it and the lots "
        "that rest on it. From here it is standardised, discarded, or gets a certificate of its own."),
    "solutions.plan": (
        "Ways to standardise this solution with what is registered and in use, ranked by the uncertainty wanted and "
        "the bench time each takes. A plan decides nothing."),
    "solutions.label": "The label, to be printed. Its code opens this solution when scanned.",
    "products": (
        "What the laboratory makes, each with its specification. A lot is entered for a product, and held against "
        "its limits."),
    "products.new": (
        "Define a product with its characteristics, each with its limits, and with its method where it is titrated. "
        "Lots entered later are held against them."),
    "products.revise": (
        "A new edition of a product's specification. Lots entered before keep the edition under which they were "
        "made."),
    "products.show": "One product: its specification in every edition, and its lots.",
    "products.blend": (
        "How much of each lot to take so that together they conform, and how likely they do. Contents come from the "
        "records; say how much there is of each. Nothing is recorded: the blend is a new lot, with an assay of its "
        "own."),
    "equipment": (
        "Vessels, balances and thermometers with their calibrations, and reference materials with their "
        "certificates. What is not registered here cannot be named on a worksheet; what is overdue is told wherever "
        "it is used."),
    "equipment.new": (
        "Register an instrument with its tolerance or its calibration. Choose the kind first: the form asks for "
        "what that kind needs. The certificate's file can fill it."),
    "equipment.show": (
        "One instrument: its calibrations, and the worksheets that used it. A new calibration counts from its day "
        "on; older results keep the one that held then. The certificate's file can fill the form: what was read is "
        "shown beside what is in force, and nothing is recorded before the form is sent."),
    "equipment.impact": (
        "What if this instrument was wrong? Say from which day to which, and by how much: every result found with it "
        "in those days, and every one that rests on a titrant standardised with it, is computed anew with the readings "
        "put right. Nothing on record is changed by it."),
    "equipment.material": "One reference material: what its certificate says, and until when it may be used.",
    "equipment.material.new": (
        "Enter a reference material as its certificate states it, with the uncertainty. A digital certificate's file "
        "can fill the form."),
    "methods": (
        "Methods of titration, each with its reaction, cautions, steps and worked example. A method is adopted in "
        "one edition, and worksheets keep the edition under which they were begun."),
    "methods.own": (
        "Adopt a method that the laboratory has written itself. It is checked first, with the worked example that "
        "stands in it."),
    "methods.show": "One method: what it determines, its cautions and steps, and what it is computed by.",
    "certificates": (
        "Every certificate that was issued, as it was issued. One is never altered: an amended one takes its place, "
        "and the old one says so. A lot gets its certificate on its own page, after its release."),
    "certificates.accreditation": (
        "What the laboratory's accreditation covers. A result is marked as accredited only where a line here covers "
        "it on the day of its assay and of its certificate."),
    "certificates.show": (
        "One certificate: its file, who signed it, what it rests on, and whether it is in force. An authorised "
        "signatory amends or withdraws it, with a reason."),
    "enquiries": (
        "What customers ask who do not find our figure. Take one down when it comes in, with what they found and how; "
        "its page then sets their figure beside ours. Whoever is in charge answers it, and every answer stays."),
    "enquiries.new": (
        "Take down what a customer found and how, as they tell it. What they do not know stays empty, and is asked "
        "for in the reply."),
    "enquiries.show": (
        "Whether the two figures disagree at all, what would explain the difference and by how much, and the one "
        "experiment to ask the customer for. No cause is claimed. A reply is proposed; whoever answers changes it and "
        "answers for it."),
    "people": (
        "Who works here, with their roles. An administrator adds people and gives roles; whoever leaves stays in "
        "the records, and only the door is shut."),
    "people.new": "Add somebody who works here. They get a link with which they choose their own password.",
    "people.refused": "What was refused, to whom and why: for administrators, who look here when something seems odd.",
    "people.show": "One person: roles, function, and what can be changed about them.",
}
OWN = frozenset({"bench.show"})  # says it in a place of its own


def what_is_this(name: str) -> str:
    """Return what a page is for; empty where it says so itself, or is no page.

    Arguments:
        name: of the page's address.
    """
    return TEXTS.get(name, "")
