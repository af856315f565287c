"""The notebooks run, from their first cell to their last, and are kept without outputs."""

from __future__ import annotations

from pathlib import Path

import pytest

nbformat = pytest.importorskip("nbformat")
nbclient = pytest.importorskip("nbclient")

NOTEBOOKS = sorted((Path(__file__).resolve().parents[1] / "examples").glob("*.ipynb"))


def test_there_are_notebooks() -> None:
    assert NOTEBOOKS


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_notebook(path: Path) -> None:
    notebook = nbformat.read(path, as_version=4)
    nbformat.validate(notebook)
    assert not any(cell.get("outputs") for cell in notebook.cells), "clear the outputs before committing"
    nbclient.NotebookClient(notebook, timeout=120, kernel_name="python3").execute()
    drawn = notebook.cells[-1].outputs[0].data
    assert "image/svg+xml" in drawn
