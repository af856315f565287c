"""The example program cut_list on files of all sorts: one JSON line for each, and an exit code. For tests/readme.sh."""

import json
import pathlib
import subprocess
import sys
import tempfile

program = sys.argv[1]
PROBLEM = b'{"schema": "upstand/cutting/1", "bars": [{"length": 3000}], "runs": [{"length": %s}]}'

# What a file holds, and what is said of it: bars, or the code of the first error.
FILES: dict[str, tuple[bytes | None, int | str]] = {
    "pairs": (b"2\n3000\n1500 3\n1000 3\n", 3),
    "items": (b"4\n3000\n1500\n1500\n2000\n1000\n", 2),
    "crlf": (b"2\r\n3000\r\n1500 3\r\n1000 3\r\n", 3),
    "mark": (b"\xef\xbb\xbf2 3000 1500 3 1000 3", 3),
    "none_wanted": (b"1 3000 1500 0", 0),
    "million": (b"1 3000 1000 3000000", 1_000_000),
    "json": (PROBLEM % b"4200", 2),
    "too_few": (b"3 3000 1500 3 1000 2", "bad_value"),
    "empty": (b"", "bad_value"),
    "word": (b"1 3000 long 2", "bad_value"),
    "half": (b"1 3000 1500 1.5", "bad_value"),
    "negative": (b"1 3000 -1500 2", "bad_run"),
    "overlong": (b"1 3000 3001 1", "uncuttable"),
    "huge": (b"1 3000 1e300 1", "out_of_range"),
    "latin": (b"\xff\xfe", "bad_utf8"),
    "broken_json": (PROBLEM % b"4200" + b"}", "bad_json"),
    "typing": (PROBLEM % b'"long"', "bad_value"),
    "missing": (None, "bad_argument"),
}


def run(*arguments: str) -> tuple[int, list[str]]:
    done = subprocess.run([program, *arguments], capture_output=True, text=True, timeout=60, check=False)
    return done.returncode, done.stdout.splitlines()


passed = 0
with tempfile.TemporaryDirectory() as folder:
    paths = {name: str(pathlib.Path(folder, name)) for name in FILES}
    for name, (content, _) in FILES.items():
        if content is not None:
            pathlib.Path(paths[name]).write_bytes(content)
    for name, (_, wanted) in FILES.items():
        code, lines = run(paths[name])
        assert len(lines) == 1, (name, lines)
        said = json.loads(lines[0])
        got = said["bars"] if "bars" in said else said["errors"][0]["code"]
        assert (got, code) == (wanted, int("errors" in said)), (name, code, said)
        assert "errors" in said or said["bound"] <= said["bars"], said
        passed += 1
    # One broken file among others spoils none of them.
    code, lines = run(paths["pairs"], paths["word"], paths["json"])
    assert code == 1, code
    assert ["errors" in json.loads(line) for line in lines] == [False, True, False], lines
    # A limit of nothing is an honest answer.
    code, lines = run("--seconds", "0", "--nodes", "0", paths["pairs"])
    assert (code, json.loads(lines[0])["bound"]) == (0, 3), lines
    for wrong in (["--seconds", "soon"], ["--fast"], ["--nodes"], ["--seconds", "-1"]):
        assert run(*wrong) == (2, []), wrong
    passed += 3
print(f"cut_list: {passed} passed, 0 failed")
