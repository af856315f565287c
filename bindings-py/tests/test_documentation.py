"""The examples in docstrings, of sources and stubs, say what really happens."""

from __future__ import annotations

import ast
import doctest
from pathlib import Path

import pytest

import upstand

SOURCES = sorted(path for path in Path(upstand.__file__).parent.iterdir() if path.suffix in (".py", ".pyi"))
STUB = next(path for path in SOURCES if path.suffix == ".pyi")


def documented(path: Path) -> list[tuple[str, str]]:
    """Name and docstring of everything in a file."""
    nodes = ast.walk(ast.parse(path.read_text()))
    found = [node for node in nodes if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)]
    return [(getattr(node, "name", path.name), ast.get_docstring(node) or "") for node in found]


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.name)
def test_examples(path: Path) -> None:
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS)
    for name, text in documented(path):
        runner.run(doctest.DocTestParser().get_doctest(text, {}, name, str(path), None))
    assert runner.summarize(verbose=False).failed == 0


def test_there_are_examples() -> None:
    assert sum(">>>" in text for path in SOURCES for _, text in documented(path)) >= 6


def test_every_public_name_is_documented_in_the_stub_and_at_run_time() -> None:
    for node in ast.parse(STUB.read_text()).body:
        if isinstance(node, ast.ClassDef | ast.FunctionDef) and not node.name.startswith("_"):
            parts = [node] if isinstance(node, ast.FunctionDef) else [node, *node.body]
            for part in parts:
                if isinstance(part, ast.ClassDef | ast.FunctionDef) and not part.name.startswith("_"):
                    assert ast.get_docstring(part), part.name
                    owner = getattr(upstand, node.name)
                    thing = owner if part is node else getattr(owner, part.name)
                    assert thing.__doc__, part.name
