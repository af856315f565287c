"""The vectors that Rust, Python and C share: the same documents give the same bytes, and all keep to the schemas."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

import upstand

ROOT = Path(__file__).resolve().parents[2]
VECTORS = ROOT / "tests" / "vectors"
SCHEMAS = ROOT / "core" / "schema"
CASES = [
    *(("plan", "job", "plan", path) for path in sorted(VECTORS.glob("plan/*.job.json"))),
    *(("adjust", "network", "adjusted", path) for path in sorted(VECTORS.glob("adjust/*.network.json"))),
    *(("record", "record", "report", path) for path in sorted(VECTORS.glob("record/*.record.json"))),
    *(("cutting", "cutting", "cut_list", path) for path in sorted(VECTORS.glob("cutting/*.cutting.json"))),
]


def validator(kind: str) -> jsonschema.Draft202012Validator:
    schema = json.loads((SCHEMAS / f"{kind}.schema.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


SOLVE: dict[str, Any] = {
    "plan": upstand.plan,
    "adjust": upstand.adjust,
    "record": upstand.check_record,
    "cutting": upstand.solve_cutting,
}


def answer(folder: str, document: object) -> str:
    text: str = SOLVE[folder](document).to_json()
    return text


def test_there_are_vectors() -> None:
    assert len(CASES) > 80


@pytest.mark.parametrize(("folder", "kind", "result", "path"), CASES, ids=[case[3].name for case in CASES])
def test_vector(folder: str, kind: str, result: str, path: Path) -> None:
    name = path.name.removesuffix(f".{kind}.json")
    expected = path.with_name(f"{name}.{result}.json")
    text = path.read_bytes()
    if expected.exists():
        assert answer(folder, text) == expected.read_text()
        # From objects as well as from text.
        document = json.loads(text)
        assert answer(folder, document) == expected.read_text()
        validator(kind).validate(document)
        validator(result).validate(json.loads(expected.read_text()))
    else:
        problems = json.loads(path.with_name(f"{name}.errors.json").read_text())
        with pytest.raises(upstand.Error) as caught:
            answer(folder, text)
        found = [{"code": e.code, "number": e.number, "path": e.path} for e in caught.value.problems]
        assert found == problems


def reads(kind: str, path: Path) -> bool:
    """Whether a job reads: what is wrong with it then is its meaning, which no schema sees."""
    try:
        upstand.Job.from_json(path.read_text())
    except upstand.Error:
        return False
    return kind == "job"


def test_documents_that_cannot_be_read_do_not_keep_to_the_schema() -> None:
    shapes = {"missing_field", "unknown_field", "bad_value", "wrong_schema"}
    checked = 0
    for _, kind, _, path in CASES:
        errors = path.with_name(path.name.replace(f".{kind}.json", ".errors.json"))
        if errors.exists() and json.loads(errors.read_text())[0]["code"] in shapes and not reads(kind, path):
            assert not validator(kind).is_valid(json.loads(path.read_text())), path.name
            checked += 1
    assert checked >= 8


def test_codes() -> None:
    listed = json.loads((VECTORS / "codes.json").read_text())
    assert [{"code": code, "number": number} for code, number, _ in upstand.error_codes()] == listed
