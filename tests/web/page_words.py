"""What a page may not say to whoever has no command line before them."""

from __future__ import annotations

import re
from html import unescape

ELSEWHERE = re.compile(r"coldpin [a-z]+ (?!nothing)|(?<!-)--[a-z]|\.toml|\[\[|\{ \"?[a-z ]+\"? = ")
"""Commands, options, files of a case and their tables: words of the command line and of an editor."""
TOLD = re.compile(r"<(p|li|dd|td|span)\b[^>]*>(.*?)</\1>", re.DOTALL)
TAG = re.compile(r"<[^>]+>")


def said_elsewhere(text: str) -> list[str]:
    """Return what of a message, or of the paragraphs of a page, belongs to the command line."""
    told = [unescape(TAG.sub("", one)) for _, one in TOLD.findall(text)] or [text]
    return [one for one in told if ELSEWHERE.search(one)]
