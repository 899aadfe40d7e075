"""The project's texts speak of the project alone: no place of one machine, no host, no name of a real maker."""

from __future__ import annotations

import ast
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parent.parent.parent

# Each pattern sets one letter in brackets, so that this file does not hold what it looks for.
FORBIDDEN = {
    "a path of one machine": r"(?<![\w.~<])/(?:[w]ork|[r]oot|[t]mp)/|[C]:\\Users",
    "the host of a package index": r"py[p]i\.(?:org|io)|python[h]osted|npm[j]s|deb\.[d]ebian|crates\.[i]o",
    "a word about who wrote it": r"\b(?:[a]ssistant|[s]ubagent|[c]hatbot|[t]ranscript(?:ion)?|[s]eed document)s?\b",
    "the number of an issue": r"\b(?:[s]ee|[c]loses|[f]ixes|[r]esolves) issues? #?\d|\b[i]ssues? #\d",
    "work put off": r"\b(?:T[O]DO|F[I]XME|X[X]X)\b",
}
OWN_TERM = r"\b[s]essions?\b"
OWN_TERM_ALLOWED = (
    r"scope=\"[s]ession\"",
    r"pytest\.[S]ession",
    r"charging [s]essions?",
    r"coldpin[./ ][s]ession",
    # modules, the command and the checks of that part
    r"(?:records|standards|tests|figures|tables|schema)[./][s]ession",
    r"\"[s]ession[/\"]",
    r"def [s]ession\(|import [s]ession, standby|^ +[s]ession,$",
    r"copper \| [s]ession",
    r"[s]ession-(?:current|stop|interruption)",
)
SILENCED = re.compile(r"#\s*(?:noqa(?:: [A-Z0-9, ]+)?|type:\s*ignore(?:\[[\w, -]+\])?)(?P<reason>.*)$")
VAGUE = ("utils", "util", "helpers", "helper", "common", "misc", "tools")

INVENTED = {"Skerrow", "Pellwick", "Dunmarr"}
"""The only makes there are here: the three leads of Brackwater Boatyard, all invented."""
MAKE = re.compile(r"\b(?:make|maker|manufacturer)[\"']?\s*[=:]\s*[\"'](?P<name>[A-Z][^\"' ]*(?: [^\"' ]+)?)[\"']")


def project_files() -> list[Path]:
    """Return the files that belong to the project, committed or about to be."""
    command = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    names = subprocess.run(command, cwd=PROJECT, check=True, capture_output=True, text=True).stdout.split("\0")
    return [path for name in names if name and (path := PROJECT / name).is_file() and "vendor" not in path.parts]


def text_lines() -> Iterator[tuple[str, str]]:
    """Yield place and text of every line of every text file of the project."""
    for path in project_files():
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        name = str(path.relative_to(PROJECT))
        for number, line in enumerate(text.splitlines(), start=1):
            yield f"{name}:{number}", line


@pytest.mark.parametrize("what", FORBIDDEN)
def test_no_text_holds(what: str) -> None:
    """Code, comments, tests, docs and locks hold none of it."""
    pattern = re.compile(FORBIDDEN[what], flags=re.IGNORECASE if "word" in what else 0)

    assert [f"{place}: {line.strip()[:120]}" for place, line in text_lines() if pattern.search(line)] == []


def test_the_word_for_one_charge_is_used_for_nothing_else() -> None:
    """It belongs to charging; pytest's own argument of that name is the only other use."""
    allowed = re.compile("|".join(OWN_TERM_ALLOWED), flags=re.IGNORECASE)
    term = re.compile(OWN_TERM, flags=re.IGNORECASE)

    assert [
        f"{place}: {line.strip()[:120]}" for place, line in text_lines() if term.search(allowed.sub("", line))
    ] == []


def test_a_silenced_rule_has_its_reason_beside_it() -> None:
    """Whoever silences a tool says why, on the same line or in a comment right above."""
    bare, before = [], ""
    for place, line in text_lines():
        match = SILENCED.search(line) if place.split(":")[0].endswith(".py") else None
        if match and len(match["reason"].strip(" #:-")) < len("because") and not before.strip().startswith("#"):
            bare.append(f"{place}: {line.strip()[:120]}")
        before = line

    assert bare == []


def test_only_invented_makes_are_named() -> None:
    """A make in code, test, example or demo is one of the invented three (or a field left to the user)."""
    named = {(match["name"], place) for place, line in text_lines() for match in MAKE.finditer(line) if match["name"]}

    assert sorted((name, place) for name, place in named if name not in INVENTED) == []


def test_files_are_named_by_the_nouns_of_the_field() -> None:
    """A module whose name says nothing wants a better home."""
    assert [str(path) for path in project_files() if path.suffix == ".py" and path.stem in VAGUE] == []


@pytest.mark.parametrize(
    ("what", "line"),
    [
        ("a path of one machine", "see " + "/".join(("", "root", "notes.md"))),
        ("the host of a package index", "from https://py" + "pi.org/simple"),
        ("a word about who wrote it", "as the Assist" + "ant said"),
        ("the number of an issue", "see issue" + " 12"),
        ("work put off", "# TO" + "DO later"),
    ],
)
def test_each_pattern_finds_what_it_is_for(what: str, line: str) -> None:
    """A pattern that finds nothing would keep nothing out."""
    assert re.search(FORBIDDEN[what], line, flags=re.IGNORECASE)


SHOWN = ("checks", "cli", "conclusion", "records", "report", "standards", "web", "workbench")
NEVER_OURS = re.compile(
    r"\b(?:un)?safe(?:ly|ty)?\b|\bdeadly\b|\bdangerous\b|\billegal\b|\bfakes?\b|\bcertified\b|\bcompliant\b"
)
AGAINST_A_STANDARD = re.compile(r"\bfails?\b|\bfailed\b|\bnon-conforming\b")
NOT_PROSE = re.compile(r"https?://\S+|'unsafe-inline'|\bunsafe-none\b|\|\s*safe\b")
"""Addresses of sources, a term of web pages' own rules, and the templates' word for text that is escaped already."""


def shown_texts() -> Iterator[tuple[str, str]]:
    """Yield place and text of everything the program may say: literal texts of the code, templates, tables."""
    for package in SHOWN:
        for path in sorted((PROJECT / "src" / "coldpin" / package).rglob("*")):
            if path.suffix == ".py":
                tree = ast.parse(path.read_text(encoding="utf-8"))
                comments = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
                for node in ast.walk(tree):
                    if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in comments:
                        yield f"{path.relative_to(PROJECT)}:{node.lineno}", node.value
            elif path.suffix in (".html", ".jinja", ".typ", ".toml"):
                for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
                    yield f"{path.relative_to(PROJECT)}:{number}", line


@pytest.mark.parametrize("pattern", [NEVER_OURS, AGAINST_A_STANDARD], ids=["judging words", "words of a standard"])
def test_nothing_shown_judges_in_our_own_voice(pattern: re.Pattern[str]) -> None:
    """What is printed reports; words of judgement stand only where they are quoted or denied."""
    said = ((place, NOT_PROSE.sub("", text)) for place, text in shown_texts())

    assert [f"{place}: {text.strip()[:160]}" for place, text in said if pattern.search(text)] == []
