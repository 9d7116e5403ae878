"""What `check` finds `build` writes, whatever is described: the same findings, the same exit status, no crash."""

from __future__ import annotations

import json
import re
import tempfile
from datetime import date
from pathlib import Path
from typing import Any

from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from programs.generated import Generated, checked_values, programs
from programs.patching import AS_OF, checked_by, patched, written

import progdoc
from progdoc.app.build import built_files
from progdoc.cli import main
from progdoc.rules.reading.catalogue import built_in_catalogue

DAYS = st.one_of(st.just(AS_OF), st.sampled_from([date(2019, 9, 26), date(2024, 2, 29), date(2100, 12, 31)]))


def found_in(report: bytes) -> list[tuple[str, str, str]]:
    findings: list[dict[str, Any]] = json.loads(report)["findings"]
    return sorted((finding["code"], finding["where"]["path"], finding["what"]) for finding in findings)


@examples(4)
@given(programs(), DAYS)
def test_what_is_checked_in_memory_is_built_with_the_same_findings(program: Generated, day: date) -> None:
    checked = checked_values(program.values(), day)
    if not checked.is_understood:
        assert {str(finding.severity) for finding in checked.report.findings} == {"invalid"}
        return
    files = progdoc.build(checked, ("md",))
    told = [(finding.code, finding.location.path, finding.what) for finding in checked.report.findings]
    assert found_in(files["restricted/gaps.json"]) == sorted(told)


@examples(2)
@given(programs())
def test_the_commands_agree_on_findings_and_status(program: Generated) -> None:
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        source = folder / "shop"
        source.mkdir()
        (source / "program.yaml").write_text(written(program.values()), encoding="utf-8")
        (source / "appendix-d.pdf").write_bytes(b"%PDF-1.7")
        on = ("--on", AS_OF.isoformat())
        report, out = folder / "report.json", folder / "out"
        checked = main(["check", str(source), *on, "--format", "json", "-o", str(report)])
        built = main(["build", str(source), *on, "-o", str(out), "--only", "md"])
        assert built == checked
        assert checked in (0, 1, 2)
        if checked != 2:
            assert found_in((out / "gaps.json").read_bytes()) == found_in(report.read_bytes())
        else:
            assert not out.exists()


def test_a_language_more_makes_each_paper_once_more_and_changes_none() -> None:
    """What leads from one paper to another leads to the one in its own language, and whoever is named stays apart."""
    one, more = (
        built_files(checked_by(built_in_catalogue(), patched({"set": {"program.languages": languages}})), ("html",))
        for languages in (["en"], ["en", "es"])
    )
    assert {name: one[name] for name in one} == {name: more[name] for name in one}
    new = set(more) - set(one)
    assert {"es/program.html", "es/annex.html", "es/gaps.html", "es/gaps.md", "restricted/es/gaps.html"} <= new
    assert {name for name in new if name.startswith("restricted/")} >= {"restricted/es/people.html"}
    for name in ("es/program.html", "es/annex.html"):
        page = more[name].decode()
        leads = re.findall(r'href="([^"#:]+)#([^"]+)"', page)
        assert leads and '<html lang="es-US">' in page
        for file, anchor in leads:
            assert f'id="{anchor}"'.encode() in more[f"es/{file}"], (name, file, anchor)
