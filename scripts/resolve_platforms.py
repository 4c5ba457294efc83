"""Ask whether a ready-made wheel of every exact version exists for each platform and Python; nothing is installed.

Writes the answer into docs/platforms.md, with the hash of the constraints it was asked for. Needs the network.
"""

import hashlib
import json
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

HOUSE = Path(__file__).resolve().parent.parent
CONSTRAINTS = HOUSE / "constraints.txt"
PAGE = HOUSE / "docs" / "platforms.md"
OWN, BUILDING = "the program", "building"
START, END = "<!-- resolved:start -->", "<!-- resolved:end -->"

PYTHONS = ("3.11", "3.12", "3.13", "3.14")
# Each platform with its tags from the oldest system to newer ones: the first that resolves is reported.
PLATFORMS: dict[str, tuple[str, ...]] = {
    "Windows, x86-64": ("win_amd64",),
    "macOS, Apple silicon": tuple(f"macosx_{version}_0_arm64" for version in (11, 12, 13, 14, 15)),
    "macOS, Intel": tuple(f"macosx_{version}_x86_64" for version in ("10_15", "11_0", "12_0", "13_0", "14_0", "15_0")),
}


def main() -> int:
    """Resolve for every platform and Python, print and write the table; return 1 if anything is missing."""
    lines, complete = [], True
    for platform, tags in PLATFORMS.items():
        parts = requirements(windows=platform.startswith("Windows"))
        needed, everything = [*parts[OWN], *parts[BUILDING]], [each for part in parts.values() for each in part]
        for version in PYTHONS:
            oldest, program_resolved = first_that_resolves(needed, tags, version)
            outcome, all_resolved = resolves_at_all(everything, tags, version)
            complete = complete and program_resolved and all_resolved
            lines.append(f"| {platform} | {version} | {oldest} | {outcome} |")
            print(lines[-1], flush=True)
    write(lines)
    return 0 if complete else 1


def first_that_resolves(wanted: list[str], tags: tuple[str, ...], version: str) -> tuple[str, bool]:
    """Return the tag of the oldest system for which everything resolves, and whether one does."""
    problem = ""
    for number in range(1, len(tags) + 1):
        found, problem = resolve([*wanted, "--no-deps"], tags[:number], version)
        if found:
            return f"`{tags[number - 1]}`", True
    return f"not resolved: {problem}", False


def resolves_at_all(wanted: list[str], tags: tuple[str, ...], version: str) -> tuple[str, bool]:
    """Return how many packages resolve on the newest system, and whether they are all and no others are needed."""
    found, problem = resolve(wanted, tags, version)
    if not found:
        return f"not resolved: {problem}", False
    strangers = sorted(set(found) - {name_of(each) for each in wanted})
    if strangers:
        return f"needs packages without an exact version: {', '.join(strangers)}", False
    return f"{len(found)} of {len(wanted)}", len(found) == len(wanted)


def requirements(*, windows: bool) -> dict[str, list[str]]:
    """Return the exact versions for a platform, by the heading they stand under.

    The markers are read here, since pip reads them for the machine it runs on, whatever platform it is asked about.
    """
    found: dict[str, list[str]] = {}
    heading = ""
    for line in CONSTRAINTS.read_text(encoding="utf-8").splitlines():
        requirement, _, marker = line.partition(" ; ")
        if line.startswith("# "):
            heading = line.removeprefix("# ")
        elif line and (not marker or (windows and "win32" in marker)):
            found.setdefault(heading, []).append(requirement)
    return found


def resolve(wanted: list[str], tags: tuple[str, ...], version: str) -> tuple[list[str], str]:
    """Return the names of the wheels that pip would install, or an empty list and pip's last word."""
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "report.json"
        command = [sys.executable, "-m", "pip", "install", "--dry-run", "--ignore-installed", "--quiet"]
        command += ["--disable-pip-version-check", "--only-binary=:all:", "--implementation", "cp"]
        command += ["--python-version", version, *(part for tag in tags for part in ("--platform", tag))]
        command += ["--target", str(Path(folder) / "target"), "--report", str(report), *wanted]
        answer = subprocess.run(command, check=False, capture_output=True, text=True)
        if answer.returncode != 0:
            errors = [line for line in answer.stderr.splitlines() if line.startswith("ERROR")]
            return [], (errors or ["no answer"])[-1]
        installed: list[dict[str, Any]] = json.loads(report.read_text(encoding="utf-8"))["install"]
        return [plain(each["metadata"]["name"]) for each in installed], ""


def name_of(requirement: str) -> str:
    """Return the plain name of an exact requirement."""
    return plain(requirement.split("==", maxsplit=1)[0])


def plain(name: str) -> str:
    """Return a package's name as packages are compared."""
    return name.lower().replace("_", "-").replace(".", "-")


def hash_of_constraints() -> str:
    """Return the first digits of the hash of the exact versions."""
    return hashlib.sha256(CONSTRAINTS.read_bytes()).hexdigest()[:16]


def write(lines: list[str]) -> None:
    """Replace the table in docs/platforms.md."""
    text = PAGE.read_text(encoding="utf-8")
    table = [
        "| platform | Python | the program: oldest system | with the tests' tools: wheels |",
        "| --- | --- | --- | --- |",
        *lines,
    ]
    said = f"Asked for the exact versions with the hash `{hash_of_constraints()}`:"
    before, after = text.split(START)[0], text.split(END)[1]
    PAGE.write_text("\n".join([before + START, said, "", *table, END + after]), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    raise SystemExit(main())
