"""Check that the README's three programs are the files that are run, and that each prints what the README says.

Usage: python3 readme.py LANGUAGE PROGRAM_FILE OUTPUT_FILE
"""

import re
import sys
from pathlib import Path

README = Path(__file__).resolve().parent.parent / "README.md"


def blocks(language: str) -> list[str]:
    """The fenced blocks of one language, in order."""
    return re.findall(rf"^```{language}\n(.*?)^```$", README.read_text(encoding="utf-8"), re.S | re.M)


def main() -> int:
    language, program, output = sys.argv[1:]
    listed = blocks(language)
    if not listed:
        print(f"the README has no {language} block")
        return 1
    if listed[0] != Path(program).read_text(encoding="utf-8"):
        print(f"the README's first {language} block is not {program}")
        return 1
    promised = blocks("text")[0]
    printed = Path(output).read_text(encoding="utf-8")
    if printed != promised:
        print(f"{program} printed\n{printed}but the README promises\n{promised}")
        return 1
    print(f"{language}: 1 passed, 0 failed")
    return 0


if __name__ == "__main__":
    sys.exit(main())
