"""Where a message names a command, the page names what it has itself."""

from __future__ import annotations

import ast
import inspect
import re
from types import ModuleType

import pytest

from coldpin.conclusion import next_test
from coldpin.web.entry_words import BY_PAGE, by_page
from coldpin.workbench import bench_plan, observing, replies, same_recording

COMMAND = re.compile(r"coldpin [a-z]+")
MODULES = (next_test, bench_plan, observing, replies, same_recording)


@pytest.mark.parametrize("command", BY_PAGE)
def test_every_command_that_is_replaced_stands_in_a_message(command: str) -> None:
    """A message that is worded anew takes its line here along."""
    texts = [text for module in MODULES for text in constants(module)]
    assert any(command in text for text in texts)
    assert not COMMAND.search(by_page(command))


def test_a_message_without_command_stays() -> None:
    """What the page has no button for is told as it is."""
    assert by_page("fetch it again: 'coldpin demo'") == "fetch it again: 'coldpin demo'"


def constants(module: ModuleType) -> list[str]:
    """Return all texts in the source of a module."""
    tree = ast.parse(inspect.getsource(module))
    return [one.value for one in ast.walk(tree) if isinstance(one, ast.Constant) and isinstance(one.value, str)]
