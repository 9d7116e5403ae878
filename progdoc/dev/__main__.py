"""`python -m progdoc.dev`: lays down what an addition needs, all but its words; prepares data for the start."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from progdoc.dev.data_messages import data_catalogues
from progdoc.dev.messages import catalogues
from progdoc.dev.new_requirement import FILL_IN, Asked, NotLaidDownError, texts_with
from progdoc.dev.prepared import prepared

ROOT = Path(__file__).resolve().parents[2]
_TEXTS = (
    "progdoc/catalogue/us_federal/*.yaml",
    "progdoc/catalogue/questions.yaml",
    "templates/program/sections/*.md.j2",
    "tests/programs/patches/*.yaml",
    "tests/catalogue/codes.csv",
    "CHANGELOG.md",
)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status."""
    asked = _parsed(sys.argv[1:] if arguments is None else arguments)
    if isinstance(asked, str):
        said = catalogues(ROOT, asked)
        for place, content in said.items():
            place.parent.mkdir(exist_ok=True)
            place.write_bytes(content)
        for place, text in data_catalogues(ROOT, dict.fromkeys(file.parent.name for file in said)).items():
            if text is None:
                place.unlink()
            else:
                place.write_text(text, encoding="utf-8", newline="\n")
        return 0
    if asked is None:
        for file, text in prepared(ROOT).items():
            file.write_text(text, encoding="utf-8", newline="\n")
        return 0
    files = {file.relative_to(ROOT).as_posix(): file for pattern in _TEXTS for file in sorted(ROOT.glob(pattern))}
    texts = {name: file.read_text(encoding="utf-8") for name, file in files.items()}
    try:
        code, changed = texts_with(asked, texts)
    except NotLaidDownError as fault:
        print(f"progdoc.dev: {fault}", file=sys.stderr)
        return 2
    print(f"{code}:")
    for name, text in changed.items():
        files[name].write_text(text, encoding="utf-8", newline="\n")
        print(f"  {name}")
    print(f"\nWrite what is marked {FILL_IN}, and let the tests name what is missing:")
    chosen = f'-k "{code} or complete or answered or seen_met"'
    print(f"  python -m pytest tests/catalogue tests/document/test_assemble.py {chosen}")
    print("Then, so that nothing of it is read anew at each start:")
    print("  python -m progdoc.dev prepare")
    return 0


def _parsed(arguments: Sequence[str]) -> Asked | str | None:
    """Return the requirement that is to be laid down; a language, or ""; None where data is to be prepared."""
    parser = argparse.ArgumentParser(prog="python -m progdoc.dev", description=__doc__)
    commands = parser.add_subparsers(metavar="COMMAND", required=True)
    new = commands.add_parser(
        "new-requirement",
        help="lay down a requirement beside a known one, with its passage, patches and lines",
        epilog='example: new-requirement "(h)(1)" --beside CLN-003 --name disinfectant-not-named'
        " --path procedures.cleaning.disinfectant",
    )
    new.add_argument("paragraph", metavar="PARAGRAPH", help='as the catalogue writes it: "(f)(2)"')
    new.add_argument("--beside", metavar="CODE", required=True, help="a requirement of the same kind")
    new.add_argument("--name", required=True, help="names the trouble: disinfectant-not-named")
    new.add_argument("--path", required=True, help="the field of the description that satisfies it")
    commands.add_parser(
        "prepare", help="after a change of the catalogue or the templates: write anew what is read of them"
    )
    said = commands.add_parser("messages", help="bring the message catalogues up to date, or begin one")
    said.add_argument("language", nargs="?", default="", metavar="LANGUAGE", help="of a catalogue to begin: fr")
    given = parser.parse_args(arguments)
    if hasattr(given, "language"):
        return str(given.language)
    if not hasattr(given, "beside"):
        return None
    return Asked(given.paragraph, given.beside.upper(), given.name, given.path)


if __name__ == "__main__":
    sys.exit(main())
