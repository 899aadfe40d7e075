"""The wheel alone is enough: installed elsewhere, without the checkout, it makes the demo down to the PDFs."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest

from tests.pdf_reading import page_texts

PROJECT = Path(__file__).resolve().parent.parent.parent
LAUNCHER = """
import sys
from importlib.metadata import distribution
(command,) = distribution("coldpin").entry_points.select(group="console_scripts", name="coldpin")
sys.argv[0] = "coldpin"
sys.exit(command.load()())
"""
"""What an installer writes as the command ``coldpin``."""


@pytest.fixture(scope="module")
def elsewhere(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A fresh environment that holds the wheel; the libraries come from the present one, the project does not."""
    folder = tmp_path_factory.mktemp("elsewhere")
    build = [sys.executable, "-m", "flit_core.wheel", "--outdir", str(folder), str(PROJECT)]
    subprocess.run(build, check=True, capture_output=True)
    (wheel,) = folder.glob("coldpin-*.whl")
    environment = folder / "environment"
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(environment)], check=True)
    paths = sysconfig.get_paths(vars={"base": str(environment), "platbase": str(environment)}, scheme="venv")
    packages = Path(paths["purelib"])
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(packages)
    # A plain path line is added behind the environment's own folder, and .pth files found there (such as the one of an
    # editable install of this checkout) are not followed.
    (packages / "libraries.pth").write_text(sysconfig.get_paths()["purelib"] + "\n", encoding="utf-8")
    return folder


def run(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run the environment's Python without anything of the present one but the libraries."""
    environment = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "COLDPIN"))}
    command = [str(folder / "environment" / "bin" / "python"), "-I", *arguments]
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)


def test_the_installed_package_is_not_the_checkout(elsewhere: Path) -> None:
    """Otherwise the next test would show nothing."""
    done = run(elsewhere, "-c", "import coldpin, sys; print(coldpin.__file__); print(*sys.path, sep='\\n')")

    assert done.returncode == 0, done.stderr
    place, *searched = done.stdout.splitlines()
    assert Path(place).is_relative_to(elsewhere)
    assert not [path for path in searched if Path(path) == PROJECT / "src"]


def test_the_wheel_makes_the_demo_down_to_the_reports(elsewhere: Path) -> None:
    """Three cases, each with a PDF of several pages, one HTML file and the assessment as JSON."""
    done = run(elsewhere, "-c", LAUNCHER, "demo", "shelf")

    assert done.returncode == 0, done.stderr
    for make in ("Skerrow", "Pellwick", "Dunmarr"):
        assert make in done.stdout
    pdfs = sorted((elsewhere / "shelf").glob("*/report/report.pdf"))
    assert len(pdfs) == 3
    for pdf in pdfs:
        assert len([text for text in page_texts(pdf) if text.strip()]) >= 2
        assert (pdf.parent / "report.html").stat().st_size > 0
        assert (pdf.parent / "assessment.json").stat().st_size > 0
