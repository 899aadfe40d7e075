"""The wheel alone is enough: installed elsewhere, without the checkout, it makes the demo down to the PDFs."""

from __future__ import annotations

from pathlib import Path

from tests.installed import PROJECT, Elsewhere, run
from tests.pdf_reading import page_texts


def test_the_installed_package_is_not_the_checkout(elsewhere: Elsewhere) -> None:
    """Otherwise the next test would show nothing."""
    told = "import coldpin, sys; print(coldpin.__file__); print(*sys.path, sep='\\n')"
    done = run(elsewhere.environment, elsewhere.folder, "python", "-I", "-c", told)

    assert done.returncode == 0, done.stderr
    place, *searched = done.stdout.splitlines()
    assert Path(place).is_relative_to(elsewhere.environment)
    assert not [path for path in searched if Path(path) == PROJECT / "src"]


def test_the_wheel_makes_the_demo_down_to_the_reports(elsewhere: Elsewhere) -> None:
    """Three cases, each with a PDF of several pages, one HTML file and the assessment as JSON."""
    assert elsewhere.code == 0, elsewhere.err
    for make in ("Skerrow", "Pellwick", "Dunmarr"):
        assert make in elsewhere.out
    pdfs = sorted(elsewhere.shelf.glob("*/report/report.pdf"))
    assert len(pdfs) == 3
    for pdf in pdfs:
        assert len([text for text in page_texts(pdf) if text.strip()]) >= 2
        assert (pdf.parent / "report.html").stat().st_size > 0
        assert (pdf.parent / "assessment.json").stat().st_size > 0
