"""How what a message asks for is done on the page: fields for options, pages for files, their own ways for commands.

A message says what is wrong and what to do, in the words of the command line and of the files of a case. What is to be
done is of one of three kinds, and each has its place on the page: an option is the field of that name, a file is the
page that writes it, and its tables and keys are headed there as :mod:`coldpin.workbench.describing` has them; a command
is named here with what does the same, and nothing else is.
"""

from __future__ import annotations

import re

from coldpin.workbench.describing import heading

COMMANDS = {
    "(coldpin notification CASE --to seller)": "(the letter stands under 'To be taken along' on the page Report)",
    "(coldpin correct CASE ENTRY --withdraw --reason … --who …)": "('Withdraw it' on the page of the entry)",
    "(edit shelf.toml by hand)": "('Change it' beside it on the page Instruments)",
    "(coldpin correct)": "('Correct it' on the page of the entry)",
    "coldpin correct.": "'Correct it' on the page of the entry.",
    "'coldpin plan' computes it anew": "the page Plan is then made anew",
    "'coldpin new' makes one with an example in it,": "the page Instruments writes one,",
    "`coldpin sources plug` lists those known.": "the page Described lists those known.",
    ", by its word (list them: coldpin sources plug)": "",
    "coldpin vehicle-simulator.": "its levels stand with each step.",
    "(coldpin sources prior)": "(the page Sources has it, under 'prior')",
    "`coldpin sources` tells where each is from.": "the page Sources tells where each is from.",
    "by the id that coldpin sources prints.": "by the id that the page Sources has.",
}
"""What the page has, in place of each command that a message names."""

_KEY = r"(?P<key>[a-z_]+(?:\.[a-z_]+)?)"
_AT_KEY = re.compile(rf"\bcase\.toml, (?:\[\[{_KEY}\]\]|(?P<plain>[a-z_]+(?:\.[a-z_]+)?))(?![a-z_.]| [0-9])")
_UNDER_KEY = re.compile(rf"\b(?P<word>[Uu]nder) (?:\[\[|\[)?{_KEY}(?:\]\]|\])?(?P<file> in case\.toml)?")
_KEY_IN = re.compile(rf"\b{_KEY} in case\.toml")
_STATEMENTS = re.compile(r"\{ \"?(?P<what>[^\"={}]+?)\"? = \"…\" \}")
_WITHIN = r"(?P<within>\b(?:in|into|to) )?"
_INSTRUMENTS = re.compile(_WITHIN + r"(?:[^\s'\"]*/)?\bshelf\.toml\b(?!, line| by hand)")
_DESCRIBED = re.compile(_WITHIN + r"(?<!/)\bcase\.toml\b(?!, line)")
_NAME = r"[a-z]+(?:-[a-z]+)*"
_OPTION = re.compile(rf"(?<![\w-])--({_NAME})")
_VALUE = r"(?:'[^']*'|\"[^\"]*\"|[^\s,;'\"]+?)(?: \([^)]*\))?(?=[.,;:)]|\s|$)"
_ONE_OF = re.compile(
    rf"(?P<asked>: )?--(?P<option>{_NAME}) (?P<values>{_VALUE}(?:(?:,? or|,) --(?P=option) {_VALUE})+)"
)
_TOGETHER = re.compile(rf"\badd: --(?P<one>{_NAME} {_VALUE}) --(?P<other>{_NAME} {_VALUE})")
_NAMED_WITH = re.compile(r"\bwith (?=--[a-z])")


def by_page(text: str) -> str:
    """Name in a message what the page has, where it names options, files or commands of the command line.

    A file that cannot be read is named as it is, with its line: it has to be mended by hand.

    Parameters
    ----------
    text : str
        A message.

    Returns
    -------
    str
        The same, for whoever has the page before them.

    Examples
    --------
    >>> by_page("1 column with the decimal comma (--decimal comma); or say --skip-rows 3")
    "1 column with the decimal comma ('decimal' comma); or say 'skip rows' 3"
    >>> by_page("2 columns can be it: --voltage CH1, --voltage CH2. With both, add: --voltage CH1 --output CH2")
    "2 columns can be it: choose 'voltage' CH1 or CH2. With both, choose 'voltage' CH1 and 'output' CH2"
    >>> by_page("case.toml, [[estimates]] ill-used / housing-opens: write a source")
    'Described, Own estimates of steps: ill-used / housing-opens: write a source'
    >>> by_page("state it in shelf.toml and correct the entry (coldpin correct), or read again.")
    "state it on the page Instruments and correct the entry ('Correct it' on the page of the entry), or read again."
    >>> by_page('whose statements in shelf.toml say it: { resistance = "…" }')
    'whose statements on the page Instruments say it: the accuracy of resistance'
    """
    for command, way in COMMANDS.items():
        text = text.replace(command, way)
    text = _AT_KEY.sub(_at_key, text)
    text = _UNDER_KEY.sub(_under, text)
    text = _KEY_IN.sub(lambda found: _known(found["key"], "'{}' on the page Described", found[0]), text)
    text = _STATEMENTS.sub(lambda found: f"the accuracy of {found['what'].strip()}", text)
    text = _INSTRUMENTS.sub(lambda found: _page(found, "Instruments"), text)
    text = _DESCRIBED.sub(lambda found: _page(found, "Described"), text)
    text = _TOGETHER.sub(r"choose --\g<one> and --\g<other>", text)
    text = _NAMED_WITH.sub("under ", _ONE_OF.sub(_one_of, text))
    return _OPTION.sub(lambda found: f"'{found[1].replace('-', ' ')}'", text)


def _one_of(found: re.Match[str]) -> str:
    """Name a field once, with all that may be chosen in it."""
    option = f"--{found['option']} "
    values = re.split(rf"(?:,? or|,) {option}", found["values"])
    return f"{': choose ' if found['asked'] else ''}{option}{', '.join(values[:-1])} or {values[-1]}"


def _page(found: re.Match[str], name: str) -> str:
    return f"on the page {name}" if found["within"] else f"the page {name}"


def _at_key(found: re.Match[str]) -> str:
    """Name the place of a key; a word behind the file's name that heads nothing there is of the sentence."""
    if found["plain"] and not heading(found["plain"]):
        return found[0]
    return _place(found["key"] or found["plain"], bool(found["key"]))


def _place(key: str, listed: bool) -> str:
    """Name a table, or a key, where it is written down on the page."""
    table, _, _ = key.partition(".")
    headed = ", ".join(dict.fromkeys(filter(None, (heading(table), heading(key)))))
    return f"Described, {headed or key.replace('_', ' ')}{':' if listed else ''}"


def _under(found: re.Match[str]) -> str:
    own = "[" in found[0] or "_" in found["key"] or found["file"]
    return _known(found["key"], f"{found['word']} '{{}}' on the page Described", found[0]) if own else found[0]


def _known(key: str, way: str, otherwise: str) -> str:
    headed = heading(key)
    return way.format(headed) if headed else otherwise
