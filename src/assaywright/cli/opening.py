"""What ``assaywright --help`` prints, from one table of verbs; it costs no import of its own."""

PURPOSE = "Assays of standard solutions by titration: from burette readings to a certified value with its uncertainty."
CAUTION = (
    "Assaywright computes, remarks and drafts; a qualified person answers for results, certificates and work at the "
    "bench. Read the safety data sheets before the first step."
)
VERBS = {
    "new": "print a blank worksheet for a method, with an example behind each field",
    "evaluate": "evaluate worksheets and lots: result, uncertainty, budget, remarks, decision, chain",
    "explain": "write out the working of a worksheet, line by line, to follow with a calculator",
    "certify": "draft the certificate of a lot as PDF; what is held back is not certified",
    "methods": "list the methods, show one, or check them and a laboratory's own",
    "substance": "look up a substance: molar mass, hazards by strength, dangerous pairs, constants with sources",
    "convert": "convert a content between units, species and temperatures, with uncertainty and working",
    "buffer": "look up a standard buffer, make a recipe for a pH, or find a pH between two buffers",
    "curve": "follow a titration along the burette: curve, equivalence points, indicators ranked, drawn",
    "plan": "plan an assay with what is on the shelf: feasible ways ranked, with uncertainty, risk, time, titrant",
    "guide": "guide through a plan's titrations at the bench, or write its sheet with blanks to fill in by hand",
    "prepare": "make a solution: what to weigh or measure, its content with uncertainty, heat and cautions",
    "adjust": "bring a lot that missed to strength: what to add, and how likely it then conforms",
    "blend": "blend lots under specification and stock, with the chance that the blend conforms",
    "serve": "open a laboratory's records in the browser: lots, titrants, review, signature, certificates",
    "people": "make an administrator of the records, reset a lost password, or list the people",
    "check-records": "prove that records are whole: chain, anchors, guards, tables, files, results from raw data",
    "rebuild": "make the tables of the records anew from their events, and say which rows differed",
    "backup": "write a backup of the records while people work",
    "restore": "bring a backup into an empty folder, and check it at once",
    "export": "take a worksheet along with all that it rests on, or a list as CSV, XLSX or JSON",
    "import": "bring worksheets and lots from files into the records",
    "import-history": "bring old results from a spreadsheet into the records, marked as unverified",
    "demo": "write the demonstration laboratory of an invented works into a folder",
}
NARROWEST_TERMINAL = 40
USAGE = "usage: assaywright VERB ...      assaywright VERB --help      assaywright --version"


def opening() -> str:
    """Return the help of the program as a whole."""
    width = terminal_width()
    usage = [USAGE] if len(USAGE) <= width else USAGE.split("      ")
    lines = [*usage, "", *wrapped(PURPOSE, width), "", "verbs:"]
    longest = max(map(len, VERBS))
    for verb, purpose in VERBS.items():
        first, *rest = wrapped(purpose, width - longest - 4)
        lines += [f"  {verb:<{longest}}  {first}", *(f"{'':{longest + 4}}{line}" for line in rest)]
    return "\n".join([*lines, "", *wrapped(CAUTION, width)])


def wrapped(text: str, width: int) -> list[str]:
    """Return text in lines of at most a width, broken between words."""
    from assaywright.cli.plain_text import plain

    lines = [""]
    for word in plain(text).split():
        if lines[-1] and len(lines[-1]) + 1 + len(word) > width:
            lines.append("")
        lines[-1] += f" {word}" if lines[-1] else word
    return lines


def terminal_width() -> int:
    """Return the width of the terminal within readable bounds; 100 where there is none. COLUMNS overrules it."""
    import os

    columns = os.environ.get("COLUMNS", "")
    try:
        width = int(columns) if columns.isdecimal() else os.get_terminal_size().columns
    except OSError:
        width = 100
    return max(NARROWEST_TERMINAL, min(width, 140))
