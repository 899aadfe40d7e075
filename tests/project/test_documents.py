"""The documents are true: generated pages are as their records, links lead somewhere, what is shown to run runs."""

from __future__ import annotations

import json
import re
import shlex
from dataclasses import dataclass
from pathlib import Path

import pytest

from coldpin.checks import CHECKS
from tests.installed import DEMO, Elsewhere, copy_of_demo, run
from tools.make_docs import DOCS, generated, leftovers

PROJECT = Path(__file__).resolve().parent.parent.parent
PAGES = sorted([*PROJECT.glob("*.md"), *DOCS.rglob("*.md")])
EXECUTED = ("README.md", "docs/tutorial.md", "docs/bad-input.md")
LINK = re.compile(r"!?\[[^\]]*\]\((?P<target>[^)\s]+)\)")
CONSOLE = re.compile(r"^```console\n(?P<body>.*?)^```$", flags=re.MULTILINE | re.DOTALL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One command of a document and what the document says it prints."""

    command: str
    printed: str


def steps(text: str) -> list[Step]:
    """Return the commands of a document's console blocks, in reading order."""
    found = []
    for block in CONSOLE.finditer(text):
        for piece in re.split(r"^\$ ", block["body"], flags=re.MULTILINE)[1:]:
            lines = piece.split("\n")
            count = next(n for n, line in enumerate(lines) if not line.endswith("\\"))
            command = " ".join(line.removesuffix("\\").strip() for line in lines[: count + 1])
            found.append(Step(command=command, printed="\n".join(lines[count + 1 :]).strip()))
    return found


def agrees(printed: str, shown: str) -> bool:
    """Whether what was printed is what is shown, where ``...`` in the document stands for any text."""
    pieces = [re.escape(piece) for piece in shown.split("...")]
    return re.fullmatch(r".*?".join(pieces), printed, flags=re.DOTALL) is not None


def as_seen(printed: str) -> str:
    """Return what was printed without blanks where nobody sees them."""
    return "\n".join(line.rstrip() for line in printed.strip().splitlines())


def done(command: str, folder: Path, elsewhere: Elsewhere) -> str:
    """Do what a document says, with the installed wheel, and return what a reader would see; the demo is made once."""
    if command == DEMO:
        copy_of_demo(elsewhere, folder)
        return as_seen(elsewhere.out + elsewhere.err)
    return as_seen(run(elsewhere.environment, folder, "sh", "-c", command, merged=True).stdout)


@pytest.mark.parametrize("name", [name for name in EXECUTED if (PROJECT / name).exists()])
def test_what_a_document_shows_is_what_happens(name: str, tmp_path: Path, elsewhere: Elsewhere) -> None:
    """Every command of the document is run in one folder, in order, and prints what stands below it."""
    found = steps((PROJECT / name).read_text(encoding="utf-8"))
    assert found or name == "docs/bad-input.md"
    wrong = []
    for step in found:
        printed = done(step.command, tmp_path, elsewhere)
        if not agrees(printed, step.printed):
            wrong.append(f"$ {step.command}\nthe document shows:\n{step.printed}\nit prints:\n{printed}\n")

    assert "\n".join(wrong) == ""


def test_generated_pages_are_as_their_records_say() -> None:
    """`make docs` would change nothing."""
    differing = [
        name
        for name, text in generated().items()
        if not (DOCS / name).exists() or (DOCS / name).read_text(encoding="utf-8") != text
    ]

    assert differing == [], "run `make docs` and commit what it writes"
    assert leftovers() == []


def test_there_is_a_page_for_each_check() -> None:
    """A check that is not documented cannot be added, and cautions stand before its steps."""
    for check in CHECKS:
        page = (DOCS / "checks" / f"{check.id}.md").read_text(encoding="utf-8")
        assert check.bench.cautions, check.id
        assert page.index("## Cautions") < page.index("## Steps"), check.id
        assert all(step in page for step in check.bench.steps), check.id


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(PROJECT).as_posix())
def test_links_lead_somewhere(page: Path) -> None:
    """A link within the project names a file that exists."""
    targets = [match["target"] for match in LINK.finditer(page.read_text(encoding="utf-8"))]
    inside = [target.split("#")[0] for target in targets if "://" not in target and not target.startswith("#")]

    assert [target for target in inside if not (page.parent / target).exists()] == []


def test_schemas_are_json_schemas_of_named_documents() -> None:
    """Each names its draft, and the documents that carry a name of their own say which."""
    for path in (DOCS / "schema").glob("*.json"):
        schema = json.loads(path.read_text(encoding="utf-8"))
        assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
        assert schema["type"] == "object"
    pilot = json.loads((DOCS / "schema" / "pilot.json").read_text(encoding="utf-8"))
    assert pilot["properties"]["schema"]["const"] == "coldpin.pilot/1"


def test_the_readers_two_commands_exist() -> None:
    """README names `make demo` and `make test`; so does the Makefile."""
    makefile = (PROJECT / "Makefile").read_text(encoding="utf-8")
    readme = (PROJECT / "README.md").read_text(encoding="utf-8")
    named = set(re.findall(r"\bmake ([a-z-]+)", readme))

    assert {"demo", "test"} <= named
    assert {name for name in named if not re.search(rf"^{name}:", makefile, flags=re.MULTILINE)} == set()


def test_the_console_blocks_are_read_as_a_reader_reads_them() -> None:
    """A continued line is one command, and an ellipsis stands for anything."""
    text = "```console\n$ one \\\n    --two\nprinted\nmore\n$ three\n```\n"

    assert steps(text) == [Step(command="one --two", printed="printed\nmore"), Step(command="three", printed="")]
    assert shlex.split(steps(text)[0].command) == ["one", "--two"]
    assert agrees("a 12.3 b\nc", "a ... b\nc")
    assert not agrees("a 12.3 b\nd", "a ... b\nc")
