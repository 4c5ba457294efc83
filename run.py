"""Every command of the house: ``python3 run.py VERB`` (Windows: ``py run.py VERB``).

Needs only Python 3.11 or later. Makes the environment ``.venv`` beside this file, installs the exact versions of
``constraints.txt`` into it, and installs again only when these or ``pyproject.toml`` have changed.
"""

import hashlib
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

HOUSE = Path(__file__).resolve().parent
ENVIRONMENT = HOUSE / ".venv"
STAMP = ENVIRONMENT / "installed.txt"
DEMONSTRATION = "tarn-hollow"
OLDEST_PYTHON = (3, 11)
IN_PARALLEL = ["-n", "2", "--dist", "loadgroup"]

Check = tuple[str, list[str]]


def main(arguments: list[str]) -> int:
    """Run one verb, or list them all."""
    if sys.version_info < OLDEST_PYTHON:
        print(f"Assaywright needs Python 3.11 or later; this is {sys.version.split()[0]}.", file=sys.stderr)
        return 2
    if not arguments or arguments[0] in ("-h", "--help"):
        list_verbs()
        return 0
    verb, rest = arguments[0], arguments[1:]
    if verb not in VERBS:
        print(f"run.py: there is no verb '{verb}'; the verbs are {', '.join(VERBS)}.", file=sys.stderr)
        return 2
    os.chdir(HOUSE)
    return VERBS[verb](rest)


def list_verbs() -> None:
    """Print the verbs with the first line of their docstrings."""
    print("python3 run.py VERB   (Windows: py run.py VERB)\n")
    for verb, action in VERBS.items():
        print(f"  {verb:<10} {str(action.__doc__).splitlines()[0]}")


# --- the verbs --------------------------------------------------------------------------------------------------------


def demo(rest: list[str]) -> int:
    """Open the demonstration laboratory in the browser: its records in ./tarn-hollow-records; Ctrl-C ends it."""
    prepare(extra="")
    return call(program("assaywright"), "serve", "--demonstration", *rest)


def files(rest: list[str]) -> int:
    """Write the demonstration laboratory as files: worksheets, results, certificates, in ./tarn-hollow."""
    prepare(extra="")
    status = call(program("assaywright"), "demo", *(rest or [DEMONSTRATION]))
    if status == 0:
        command = program("assaywright").relative_to(HOUSE)
        print(f"\nTry next:  {command} --help")
    return status


def serve(rest: list[str]) -> int:
    """Open a laboratory's own records in the browser, in ./assaywright-records or the folder that is named."""
    prepare(extra="")
    return call(program("assaywright"), "serve", *rest)


def test(rest: list[str]) -> int:
    """Run every check: style, types, floors, generated pages, then all the tests."""
    prepare(extra="test")
    return run_all([*quick_checks(), ("tests", [python(), "-m", "pytest", *(rest or IN_PARALLEL)])])


def check(_rest: list[str]) -> int:
    """Run the quick checks only: style, types, floors, generated pages."""
    prepare(extra="test")
    return run_all(quick_checks())


def bench(_rest: list[str]) -> int:
    """Measure how quickly the command line starts, as ratios, against their aims."""
    prepare(extra="")
    return call(python(), HOUSE / "benchmarks" / "startup.py")


def wheel(_rest: list[str]) -> int:
    """Build the wheel into ./dist."""
    prepare(extra="test")
    return call(python(), "-m", "build", "--wheel", "--no-isolation", "--outdir", "dist", ".")


def docs(rest: list[str]) -> int:
    """Write the generated pages anew (docs/troubles.md, docs/validation.md)."""
    prepare(extra="test")
    return call(python(), HOUSE / "scripts" / "generate_docs.py", *rest)


def platforms(rest: list[str]) -> int:
    """Ask whether ready-made wheels of every dependency exist for Windows and macOS; installs nothing."""
    prepare(extra="test")
    return call(python(), HOUSE / "scripts" / "resolve_platforms.py", *rest)


VERBS: dict[str, Callable[[list[str]], int]] = {
    "demo": demo,
    "files": files,
    "serve": serve,
    "test": test,
    "check": check,
    "bench": bench,
    "wheel": wheel,
    "docs": docs,
    "platforms": platforms,
}


def quick_checks() -> list[Check]:
    """Return the checks that take seconds, each with its name and command."""
    return [
        ("style (ruff)", [python(), "-m", "ruff", "check", "--output-format", "concise", "."]),
        ("types (mypy)", [python(), "-m", "mypy"]),
        ("floors (import-linter)", [str(program("lint-imports")), "--no-logo"]),
        ("generated pages", [python(), str(HOUSE / "scripts" / "generate_docs.py"), "--check"]),
    ]


def run_all(checks: list[Check]) -> int:
    """Run every check, whatever the earlier ones said, and return 1 if any failed."""
    failed = []
    for name, command in checks:
        print(f"--- {name}", flush=True)
        begun = time.monotonic()
        status = call(*command)
        outcome = "ok" if status == 0 else f"FAILED with status {status}"
        print(f"--- {name}: {outcome}, {time.monotonic() - begun:.0f} s\n", flush=True)
        if status != 0:
            failed.append(name)
    print("Every check is in order." if not failed else f"Not in order: {', '.join(failed)}.", flush=True)
    return 1 if failed else 0


# --- the environment --------------------------------------------------------------------------------------------------


def prepare(*, extra: str) -> None:
    """Make the environment and install what is needed, unless that was already done."""
    known = STAMP.read_text(encoding="utf-8").split() if STAMP.exists() else []
    if fingerprint("test") in known or fingerprint(extra) in known:
        return
    print("Setting up .venv (once, and again when the dependencies or constraints.txt change) ...", flush=True)
    if identity_of_python() not in known:
        make_environment()
    STAMP.unlink(missing_ok=True)
    install = [python(), "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-c", "constraints.txt"]
    require([*install, "setuptools"])
    require([*install, "--no-build-isolation", "--editable", f".[{extra}]" if extra else "."])
    STAMP.write_text(f"{identity_of_python()}\n{fingerprint(extra)}\n", encoding="utf-8")


def make_environment() -> None:
    """Make .venv anew with this Python, or say in one sentence what the machine lacks."""
    if ENVIRONMENT.exists():
        shutil.rmtree(ENVIRONMENT)
    made = subprocess.run([sys.executable, "-m", "venv", str(ENVIRONMENT)], check=False, capture_output=True, text=True)
    if made.returncode != 0:
        print(made.stdout + made.stderr, file=sys.stderr)
        print(
            "run.py: this Python cannot make an environment; on Debian and Ubuntu: apt-get install python3-venv.",
            file=sys.stderr,
        )
        raise SystemExit(2)


def identity_of_python() -> str:
    """Return which Python at which place made the environment, as a hash."""
    return hashlib.sha256(f"{sys.version} {sys.base_prefix} {HOUSE}".encode()).hexdigest()


def fingerprint(extra: str) -> str:
    """Return what the installed packages depend on, as a hash: the Python, the dependencies, the exact versions."""
    import tomllib

    project = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))
    installed = repr([identity_of_python(), extra, project["build-system"], project["project"]])
    return hashlib.sha256(installed.encode() + (HOUSE / "constraints.txt").read_bytes()).hexdigest()


def program(name: str) -> Path:
    """Return the path of a command inside the environment."""
    return ENVIRONMENT / ("Scripts" if os.name == "nt" else "bin") / (f"{name}.exe" if os.name == "nt" else name)


def python() -> str:
    """Return the Python of the environment."""
    return str(program("python"))


def call(*command: str | Path) -> int:
    """Run a command and return its exit status; the environment's own packages are the only ones it sees.

    Ctrl-C is meant for the command: it reaches it by itself, and here its end is waited for.
    """
    surroundings = {name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "PYTHONHOME")}
    surroundings["PYTHONUTF8"] = "1"
    running = subprocess.Popen([str(part) for part in command], env=surroundings)
    while True:
        try:
            return running.wait()
        except KeyboardInterrupt:
            continue


def require(command: list[str]) -> None:
    """Run a command that must succeed."""
    status = call(*command)
    if status != 0:
        print(f"run.py: setting up failed; the command was: {' '.join(command)}", file=sys.stderr)
        raise SystemExit(status)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
