"""Whatever people and machines write stays text: no markup, no lost word, no page that does not print."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from coldpin.records.assessment import Assessment, Basis, Problem, Sentence
from coldpin.records.entry import EntryKind
from coldpin.records.finding import Finding
from coldpin.report import build_document, render_html, render_pdf
from coldpin.report.lettering import for_print, for_screen, printed_characters
from tests.conftest import PROVING
from tests.pdf_reading import page_texts
from tests.report.page_structure import read_page
from tests.report.sample import FINDINGS, FUNCTIONS, METHODS, PILOT, SAMPLE, _entry

HOSTILE = (
    "<script>alert(1)</script>",
    "</style><img src=x onerror=alert(1)>",
    '" onmouseover="alert(1)',
    "&lt;b&gt; &amp; &#x41;",
    "]]></svg><a href='https://example.org'>x</a>",
    '#import "@preview/x:1.0.0": *',
    '#read("/etc/passwd") #sys.version',
    "*bold* _it_ `code` $x^2$ = head <label> @ref // comment /* open",
    "\\u{41} \\ ~ -- --- ... ''",
    "$\\frac{1}{2}$ and $unclosed",
    "额定电压 ２５０Ｖ",
    "定格 一六アンペア",
    "정격 전류",
    "مقبس آمن 16 A",
    "שקע 16 A",
    "e\u0301 a\u0308\u0323 \u0301alone",
    "👩\u200d🔧 ⚡\ufe0f 🇳🇴",
    "\u202egnp.exe\u202c \u2066x\u2069",
    "\x00\x07\x1b[31m\x7f\x85",
    "\ud800 alone, \udfff",
    "\ufeff\ufffe\uffff\U0001ffff",
    "ﬃ ½ ㎜ ℃ Ω Ω µ μ",
    "क्षि ழ் ไทย",
    "w" * 300,
    "a.b_c/" * 40,
    " lead and trail \n line\ttab ",
    "",
    " ",
)

texts = st.text(max_size=40) | st.sampled_from(HOSTILE)


def with_texts(a: str, b: str, c: str) -> Assessment:
    """Put three texts wherever a person or a file can put one, and leave the rest out for speed."""
    finding: Finding = replace(
        FINDINGS[1],
        id=a,
        title=b,
        statement=c,
        remarks=(a,),
        evidence=(a, b),
        functions=(c,),
        budget=(replace(FINDINGS[1].budget[0], label=a, shape=b),),
    )
    entry = _entry("20260314-1000-a", EntryKind.OBSERVATION, "remark")
    entry = replace(entry, id=a, shows=b, note=c, who=a, instrument=b, readings=(c, a), conditions={a: b}, made=c)
    specimen = replace(SAMPLE.case.specimen, make=a, model=b, description=c)
    return replace(
        SAMPLE,
        title=b,
        program_version=a,
        case=replace(SAMPLE.case, specimen=specimen, claims=replace(SAMPLE.case.claims, words=(a, b, c))),
        conclusion=replace(
            SAMPLE.conclusion,
            headline=Sentence(text=a, basis=Basis.OBSERVED, findings=(b,)),
            may_say=(),
            decisive=(a,),
            may_not_say=(c,),
        ),
        functions=(replace(FUNCTIONS[0], id=c, title=a, because=b),),
        findings=(finding,),
        pilot=(),
        entries=(entry,),
        methods=(replace(METHODS[0], title=c, steps=(a,), cautions=(b,)),),
        problems=(Problem(where=a, what=b),),
        cautions=(c,),
    )


def bare(text: str) -> str:
    """Text without spaces and without the places where a word may break."""
    return re.sub(r"[\s\u200b]+", "", text)


@given(texts, texts, texts)
@settings(max_examples=400 if PROVING else 20)
@example("<script>alert(1)</script>", "</style><img src=x>", '" onmouseover="x')
def test_a_page_holds_every_text_and_no_markup_of_it(a: str, b: str, c: str) -> None:
    """The page hangs together, runs nothing, and shows each text as it was written."""
    html = render_html(build_document(with_texts(a, b, c)))
    page = read_page(html)
    html.encode("utf-8")

    assert page.faults == []
    assert page.of("script", "img", "b", "i") == []
    assert [key for _, attributes in page.elements for key in attributes if key.startswith("on")] == []
    assert {reference[1:] for reference in page.references()} <= set(page.ids())
    assert len(page.ids()) == len(set(page.ids()))
    for text in (a, b, c):
        assert bare(for_screen(text)) in bare(page.text)


@given(texts, texts, texts)
@settings(max_examples=400 if PROVING else 20)
@example(HOSTILE[13], HOSTILE[5], HOSTILE[7])
@example(HOSTILE[15], HOSTILE[16], HOSTILE[17])
@example(HOSTILE[18], HOSTILE[19], HOSTILE[20])
@example(HOSTILE[21], HOSTILE[22], HOSTILE[23])
@example(HOSTILE[24], HOSTILE[26], HOSTILE[27])
def test_a_pdf_is_made_of_any_text(a: str, b: str, c: str) -> None:
    """The strict form of PDF refuses a letter that its font lacks: it is always made, so none is left."""
    assert render_pdf(build_document(with_texts(a, b, c))).startswith(b"%PDF-1.7")


@pytest.mark.parametrize("text", [text for text in HOSTILE if text.isascii() and text.isprintable() and text.strip()])
def test_what_looks_like_markup_is_printed_as_it_is(text: str) -> None:
    """The PDF shows the very characters: nothing was read as an instruction."""
    words = bare("".join(page_texts(render_pdf(build_document(with_texts(text, "b", "c"))))))

    assert re.sub("-", "", bare(text)) in re.sub(r"[-\u2010\ufffe\x02]", "", words)


@given(st.text(max_size=200))
def test_what_is_printed_is_in_the_font(text: str) -> None:
    """After the replacement every character is one that all faces hold, and nothing was dropped."""
    printed = for_print(text)

    assert {ord(character) for character in printed} <= printed_characters()
    assert len(printed) >= len(text)


@given(st.text(max_size=200))
def test_what_is_shown_can_be_written_and_hides_nothing(text: str) -> None:
    """What goes to a screen is valid UTF-8 without controls or signs that turn the direction of text."""
    shown = for_screen(text)
    shown.encode("utf-8")

    assert re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ufeff]", shown) is None


def test_a_strange_title_or_file_name_in_a_figure() -> None:
    """Dollar signs, markup and letters that the font lacks come through a drawing as text."""
    finding = replace(FINDINGS[2], title="$x_1$ <tspan> & 额 #[]")
    capture = replace(PILOT, file="$a$<b>&额.csv")
    html = render_html(build_document(replace(SAMPLE, findings=(finding,), pilot=(capture,))))
    drawings = unescape("".join(re.findall(r'<svg role="img".*?</svg>', html, flags=re.DOTALL)))

    assert read_page(html).faults == []
    assert "$x_1$ <tspan> & [U+989D] #[]" in drawings
