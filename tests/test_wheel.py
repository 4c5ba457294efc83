"""The wheel works away from the checkout: data, methods, templates and fonts travel in it."""

import os
import shutil
import subprocess
import sys
import sysconfig
import venv
import zipfile
from pathlib import Path, PurePath

import pytest

from tests.house.sources import HOUSE

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("wheel")]

DEPENDENCIES = ("numpy", "scipy", "GTC", "typst")


def run(*command: str | Path, where: Path) -> subprocess.CompletedProcess[str]:
    """Run a command as a stranger's shell would: no PYTHONPATH, another working directory, no standard input."""
    surroundings = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    return subprocess.run(
        [str(part) for part in command], cwd=where, env=surroundings | {"PYTHONUTF8": "1"}, check=False,
        capture_output=True, text=True, encoding="utf-8", stdin=subprocess.DEVNULL, timeout=300,
    )


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel from a copy of the files that make it, so that nothing built earlier can slip in."""
    copy = tmp_path_factory.mktemp("copy")
    for name in ("pyproject.toml", "README.md", "LICENSE", "THIRD_PARTY_NOTICES.md"):
        shutil.copy(HOUSE / name, copy)
    shutil.copytree(HOUSE / "src", copy / "src", ignore=shutil.ignore_patterns("*.egg-info", "__pycache__"))
    built = run(sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", copy / "dist", copy, where=copy)
    assert built.returncode == 0, built.stdout + built.stderr
    (made,) = (copy / "dist").glob("*.whl")
    return made


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Install the wheel alone into a new environment, with the dependencies, and only these, lent from this one.

    Lending by links saves a minute of downloading; this checkout itself isn't lent.
    """
    place = tmp_path_factory.mktemp("elsewhere") / "environment"
    venv.create(place, with_pip=False, symlinks=os.name != "nt")
    inside = sysconfig.get_paths("venv", vars={"base": str(place), "platbase": str(place)})
    lend(DEPENDENCIES, Path(inside["purelib"]))
    pip = run(sys.executable, "-m", "pip", "--python", python_of(inside), "install", "--no-deps", "--no-index", wheel,
              where=place)
    assert pip.returncode == 0, pip.stdout + pip.stderr
    return Path(inside["scripts"])


def python_of(inside: dict[str, str]) -> Path:
    return Path(inside["scripts"]) / ("python.exe" if os.name == "nt" else "python")


def lend(names: tuple[str, ...], purelib: Path) -> None:
    """Make packages of this environment visible in another, by links to their folders."""
    own = Path(sysconfig.get_path("purelib"))
    for name in names:
        found = [path for path in own.iterdir() if path.name == name or path.name.startswith((f"{name}.", f"{name}-"))]
        assert found, f"{name} is not installed here"
        for path in found:
            if os.name == "nt":  # links need a privilege there
                (shutil.copytree if path.is_dir() else shutil.copy)(path, purelib / path.name)
            else:
                (purelib / path.name).symlink_to(path, target_is_directory=path.is_dir())


def program(installed: Path) -> Path:
    return installed / ("assaywright.exe" if os.name == "nt" else "assaywright")


def test_every_file_of_the_source_tree_travels_in_the_wheel_and_nothing_else_does(wheel):
    source = HOUSE / "src"
    package = {path.relative_to(source).as_posix() for path in (source / "assaywright").rglob("*") if path.is_file()}
    wanted = {name for name in package if "__pycache__" not in name}
    assert {PurePath(name).suffix for name in wanted} >= {".py", ".csv", ".toml", ".typ"}
    packed = set(zipfile.ZipFile(wheel).namelist())
    assert not wanted - packed
    about = f"{wheel.name.rsplit('-', 3)[0]}.dist-info"
    assert {name.split("/")[0] for name in packed} == {"assaywright", about}


def test_the_installed_program_is_not_this_checkout(installed, tmp_path):
    asked = run(installed / "python", "-c", "import assaywright; print(assaywright.__file__)", where=tmp_path)
    assert asked.returncode == 0, asked.stderr
    assert Path(asked.stdout.strip()).is_relative_to(installed.parent)


def test_the_installed_program_tells_its_verbs(installed, tmp_path):
    told = run(program(installed), "--help", where=tmp_path)
    assert told.returncode == 0, told.stderr
    assert "demo" in told.stdout
    assert not told.stderr


def test_the_installed_program_runs_the_demonstration_in_another_directory(installed, tmp_path):
    shown = run(program(installed), "demo", "tarn-hollow", where=tmp_path)
    assert shown.returncode == 0, shown.stdout + shown.stderr
    written = [path for path in (tmp_path / "tarn-hollow").rglob("*") if path.is_file()]
    assert any(path.suffix == ".toml" for path in written)
    certificates = [path for path in written if path.suffix == ".pdf"]
    assert certificates
    assert all(path.read_bytes().startswith(b"%PDF-") for path in certificates)
