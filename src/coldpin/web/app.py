"""The routes: each page a plain address, each with its JSON twin at the same address plus ``.json``."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from http import HTTPStatus
from pathlib import Path

from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse
from fastapi.staticfiles import StaticFiles
from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.middleware.trustedhost import TrustedHostMiddleware

from coldpin import __version__
from coldpin.conclusion.statement import basis_of
from coldpin.errors import ColdpinError, UnknownName
from coldpin.quantity import Quantity, format_quantity
from coldpin.records.plain import to_json
from coldpin.report.anchors import Anchors
from coldpin.report.figures.ribbon import ribbon
from coldpin.report.figures.session import session_timeline
from coldpin.report.numbers import bounds, cited, likelihood, probability
from coldpin.report.words import placed
from coldpin.web import contexts
from coldpin.workbench.shelving import open_shelf

POLICY = (
    "default-src 'none'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; form-action 'none'; base-uri 'none'"
)
"""No script at all; inline styles are those of the figures' own SVG."""

HOSTS = ["127.0.0.1", "localhost", "[::1]", "testserver"]

HERE = Path(__file__).parent


def _said(quantity: Quantity | None) -> str:
    return "" if quantity is None else format_quantity(quantity)


def _templates() -> Environment:
    environment = Environment(loader=PackageLoader("coldpin.web"), autoescape=True, undefined=StrictUndefined)
    environment.filters |= {
        "said": _said,
        "placed": placed,
        "basis": basis_of,
        "bounds": bounds,
        "cited": cited,
        "likelihood": likelihood,
        "probability": probability,
    }
    environment.filters["words"] = lambda text: str(text).replace("_", " ")
    environment.globals["version"] = __version__
    return environment


def create_app(shelf: Path | str) -> FastAPI:
    """Return the application that shows one shelf, read-only.

    Parameters
    ----------
    shelf : Path or str
        The shelf's folder.

    Returns
    -------
    FastAPI
        The application.

    Raises
    ------
    CaseError
        The folder is not a shelf.
    """
    folder = open_shelf(shelf).folder
    app = FastAPI(title="coldpin", version=__version__, docs_url=None, redoc_url=None)
    app.add_middleware(TrustedHostMiddleware, allowed_hosts=HOSTS)
    app.mount("/static", StaticFiles(directory=HERE / "static"), name="static")
    templates = _templates()
    _guard(app)
    _explain(app, templates)
    _tell(app, folder)
    _show(app, folder, templates)
    return app


def _guard(app: FastAPI) -> None:
    @app.middleware("http")
    async def guard(request: Request, call: Callable[[Request], Awaitable[Response]]) -> Response:
        response = await call(request)
        response.headers["Content-Security-Policy"] = POLICY
        response.headers["X-Content-Type-Options"] = "nosniff"
        response.headers["Referrer-Policy"] = "no-referrer"
        return response


def _explain(app: FastAPI, templates: Environment) -> None:
    @app.exception_handler(ColdpinError)
    async def explain(request: Request, error: ColdpinError) -> Response:
        unknown = isinstance(error, UnknownName)
        status = HTTPStatus.NOT_FOUND if unknown else HTTPStatus.UNPROCESSABLE_ENTITY
        if request.url.path.endswith(".json"):
            return Response(to_json({"error": str(error)}, dict[str, str]), status, media_type="application/json")
        return HTMLResponse(templates.get_template("error.html").render(message=str(error)), status)


def _tell(app: FastAPI, folder: Path) -> None:
    """Add the JSON twins, which come first: a case's address must not take the ending for part of a name."""

    def twin(record: object) -> Response:
        return Response(to_json(record), media_type="application/json")

    @app.get("/shelf.json")
    def tell_shelf() -> Response:
        return twin(contexts.shelf_page(folder))

    @app.get("/case/{name}.json")
    def tell_case(name: str) -> Response:
        return twin(contexts.case_page(folder, name))

    @app.get("/case/{name}/finding/{finding}.json")
    def tell_finding(name: str, finding: str) -> Response:
        return twin(contexts.finding_page(folder, name, finding))

    @app.get("/case/{name}/wave/{entry}.json")
    def tell_wave(name: str, entry: str) -> Response:
        return twin(contexts.wave_page(folder, name, entry))

    @app.get("/case/{name}/charge/{entry}.json")
    def tell_charge(name: str, entry: str) -> Response:
        return twin(contexts.charge_page(folder, name, entry))


def _show(app: FastAPI, folder: Path, templates: Environment) -> None:
    def page(template: str, record: object, **more: str) -> HTMLResponse:
        return HTMLResponse(templates.get_template(template).render(page=record, **more))

    @app.get("/", response_class=HTMLResponse)
    def show_shelf() -> HTMLResponse:
        return page("shelf.html", contexts.shelf_page(folder))

    @app.get("/case/{name}", response_class=HTMLResponse)
    def show_case(name: str) -> HTMLResponse:
        return page("case.html", contexts.case_page(folder, name))

    @app.get("/case/{name}/finding/{finding}", response_class=HTMLResponse)
    def show_finding(name: str, finding: str) -> HTMLResponse:
        return page("finding.html", contexts.finding_page(folder, name, finding))

    @app.get("/case/{name}/wave/{entry}", response_class=HTMLResponse)
    def show_wave(name: str, entry: str) -> HTMLResponse:
        record = contexts.wave_page(folder, name, entry)
        figure = ribbon(record.capture, Anchors())
        return page("wave.html", record, svg=figure.svg, alt=figure.alt)

    @app.get("/case/{name}/charge/{entry}", response_class=HTMLResponse)
    def show_charge(name: str, entry: str) -> HTMLResponse:
        record = contexts.charge_page(folder, name, entry)
        charge = record.charge
        figure = session_timeline(charge.reading, charge.trace, Anchors(), name=charge.file)
        return page("charge.html", record, svg=figure.svg, alt=figure.alt)
