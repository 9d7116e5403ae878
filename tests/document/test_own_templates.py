"""A firm's own templates: laid over ours by name, held to a closed list, with an end in sight, claiming no more than
they print."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from datetime import date
from functools import cache
from pathlib import Path

import pytest
from examples import TIMES
from programs.patching import AS_OF, BASE, PROGRAMS, written
from programs.whole import judged_whole, written_whole

from progdoc.app.build import build
from progdoc.app.check import Checked, check, gaps_of_program, with_look
from progdoc.app.disk.description_files import check_path
from progdoc.cli.question_view import questions_text
from progdoc.core.diagnostics import Diagnostic
from progdoc.core.report_summary import summary_line, unasked
from progdoc.core.resources import templates_root
from progdoc.document.blocks.answers import answered_in
from progdoc.document.papers.task_page import task_pages
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.own_templates import MOST_TEMPLATE_BYTES
from progdoc.document.templating.section_renderer import SectionRenderer
from progdoc.document.templating.templates import TemplateSet, own_templates, shipped_templates
from progdoc.model.load import load
from progdoc.writers import WRITERS
from progdoc.writers.own_stylesheet import hiding_rules, printed_words

TRAINING = "templates/program/sections/training.md.j2"
OURS = Path(str(templates_root())) / "program" / "sections" / "training.md.j2"
SMALL, SMALL_DAY = PROGRAMS.parents[1] / "sample_config" / "small_shop", date(2026, 6, 1)
HEAD = "# Training {#training}\n\n"


@cache
def _base() -> Checked:
    return check(load({"program.yaml": written(BASE).encode()}), AS_OF)


@cache
def _small() -> Checked:
    """A firm with half masks by choice: what a template may not do is told whatever is printed."""
    return check(load({"program.yaml": (PROGRAMS / "half-masks-by-choice.yaml").read_bytes()}), AS_OF)


def _faults(template: str, name: str = TRAINING, of: Callable[[], Checked] = _small) -> list[Diagnostic]:
    worn = with_look(of(), {name: template.encode()})
    return [found for found in worn.report.findings if worn.judged is None and found.code.startswith("LOOK")]


def _answered_in(template: str) -> dict[str, str]:
    files = build(_base(), ("md",), look={TRAINING: template.encode()})
    assert isinstance(files, dict), files
    rows = csv.DictReader(io.StringIO(files["matrix.csv"].decode("utf-8-sig")))
    return {row["code"]: row["answered in"] for row in rows if row["status"] == "met"}


def _own(template: str) -> TemplateSet:
    return own_templates({TRAINING.removeprefix("templates/program/"): template})


def _answering(template: str, code: str) -> tuple[str, ...]:
    """Return the sections that answer a code, of the one that a template makes."""
    sections = SectionRenderer(judged_whole("base"), _own(template)).sections("sections/training")
    return answered_in(sections).get(code, ())


def _words(template: str) -> str:
    return WRITERS["md"](written_program(judged_whole("base"), _own(template)).program).decode()


# ---- laid over ours -----------------------------------------------------------------------------------


def test_a_template_of_the_firm_stands_in_the_place_of_ours() -> None:
    own = (
        HEAD
        + 'Our house teaches it. {% call passage("who") %}{% call say("TRN-001") %}All learn.{% endcall %}{% endcall %}'
    )
    words = _words(own)
    assert "Our house teaches it." in words
    assert "All learn." in words
    assert "## 6" in words or "# 6" in words  # the other sections are ours, numbered as ever


def test_ours_laid_over_ours_prints_the_same() -> None:
    """And claims no more; what ours answer by words beside `points` alone, nobody can tell of a firm's template."""
    folders = [folder for folder in OURS.parents[1].iterdir() if folder.is_dir()]
    shipped = {f"{folder.name}/{file.name}": file.read_text("utf-8") for folder in folders for file in folder.iterdir()}
    judged = judged_whole("base")
    own = own_templates(shipped)
    assert list(own.faults()) == []
    one, other = written_program(judged, own), written_whole("base")
    assert one.faults == ()
    assert WRITERS["md"](one.program) == WRITERS["md"](other.program)
    assert task_pages(judged, own)[0] == task_pages(judged, shipped_templates())[0]
    differing = {code for code, places in other.answers.items() if one.answers.get(code) != places}
    assert differing == {"CLN-026", "CLN-030", "TSK-005", "VOL-013", "VOL-014"}
    assert all(set(places) <= set(other.answers[code]) for code, places in one.answers.items())


def test_the_task_page_may_be_the_firms_too() -> None:
    name = "templates/program/pages/task.md.j2"
    page = "# {{ task.label }} {#page}\n\nAsk {{ officer.name }} first."
    files = build(_base(), ("md",), look={name: page.encode()})
    assert isinstance(files, dict)
    assert all("first." in files[file].decode() for file in files if file.startswith("tasks/"))


# ---- what is not printed is not claimed ---------------------------------------------------------------


def test_a_duty_that_a_template_no_longer_answers_is_answered_nowhere() -> None:
    before, after = written_whole("base").answers, _answered_in(HEAD + "We train when we must.")
    codes = {code for code, places in before.items() if "training" in places and code in after}
    assert len(codes) > 5
    assert all(after[code] == "" for code in codes if before[code] == ("training",))
    others = {code: "; ".join(places) for code, places in before.items() if code in after and code not in codes}
    assert len(others) > 100
    assert others.items() <= after.items()


def test_what_the_law_wants_in_the_program_is_not_left_out_of_one_that_is_issued() -> None:
    """29 CFR 1910.134(c)(1) lists it: a program without it is a draft, however complete the description is."""
    small = check_path(SMALL, SMALL_DAY)
    assert gaps_of_program(small) == []
    heads = {"training": HEAD, "cleaning": "# Cleaning {#cleaning}\n\nWash it.", "storage": "# Storage {#storage}\n"}
    own = {TRAINING.replace("training", name): head.encode() for name, head in heads.items()}
    worn = with_look(small, own)
    ours = {name: (OURS.parent / Path(name).name).read_bytes() for name in own}
    assert with_look(small, ours).report.findings == small.report.findings
    told = {Path(found.location.file).name[:-6]: found.what for found in gaps_of_program(worn)}
    assert told.keys() == heads.keys()
    assert "TRN-002" in told["training"]
    assert "CLN-002" in told["cleaning"]
    assert worn.judged is not None
    assert written_program(worn.judged, shipped_templates()).program.draft


def test_words_of_a_template_are_held_against_the_program_like_those_of_own_sections() -> None:
    ours = OURS.read_text(encoding="utf-8")
    told = [
        [found.code for found in with_look(_small(), {TRAINING: f"{ours}\n{line}\n".encode()}).report.findings]
        for line in ("Masks are optional here.", "OSHA has approved this.", "Bring your own mask.")
    ]
    assert [codes.count("LOOK-011") for codes in told] == [1, 1, 0]


def test_what_stands_at_head_and_foot_of_the_sheets_claims_no_approval() -> None:
    for line in ("header: OSHA-approved program", "footer: DRAFT"):
        (found,) = [
            one for one in with_look(_small(), {"look.yaml": line.encode()}).report.findings if "LOOK" in one.code
        ]
        assert (found.code, found.severity.value) == ("LOOK-011", "caution")


def test_a_stylesheet_neither_hides_nor_says_anything_unseen() -> None:
    hides = ".banner, .open-point { display: none !important } nav { display: none }"
    css = f"{hides} body::after {{ content: 'All is well' }}".encode()
    worn = with_look(_small(), {"style.css": css})
    told = {found.code: found.what for found in worn.report.findings if found.code.startswith("LOOK")}
    assert told.keys() == {"LOOK-011", "LOOK-012"}
    assert "`.banner, .open-point { display: none !important }`" in told["LOOK-012"]
    page = next(content for name, content in build(worn, ("html",)).items() if name == "program.html").decode()
    kept = page.index("@layer kept-in-sight { .banner, .open-point")
    assert kept < page.index("display: none !important")  # the first layer's “important” goes before any other


@pytest.mark.parametrize(
    "empty",
    [
        '{% call answer("TRN-001") %}{% endcall %}',
        '{% call answer("TRN-001") %} \n {% endcall %}',
        '{% call passage("p") %}{% call say("TRN-001") %}{% endcall %}{% endcall %}',
        '{% call passage("p") %}{% call say("TRN-001") %}**{% endcall %}Something else.{% endcall %}',
        '{% call passage("p") %}{% call item("TRN-001") %} - {% endcall %}{% endcall %}',
        '{% call passage("p") %}{{ points("TRN-001") }}{% endcall %}',
        '{% call passage("p") %}{{ points("TRN-001") }}Words of another matter.{% endcall %}',
        '{% call passage("p") %}{{ points_of("TRN-") }}Words of another matter.{% endcall %}',
        '{% if met("TRN-001") %}{% endif %}{% call passage("p") %}{{ points("TRN-001") }}{% endcall %}',
    ],
)
def test_an_answer_without_words_answers_nothing(empty: str) -> None:
    assert _answering(f"{HEAD}Words.\n\n{empty}", "TRN-001") == ()


@pytest.mark.parametrize(
    "said",
    [
        '{% call answer("TRN-001") %}All learn.{% endcall %}',
        '{% call passage("p") %}{% call say("TRN-001") %}All learn.{% endcall %}{% endcall %}',
        '{% call passage("p") %}{{ points("TRN-001") }}{% if met("TRN-001") %}All learn.{% endif %}{% endcall %}',
    ],
)
def test_an_answer_with_words_answers(said: str) -> None:
    assert _answering(f"{HEAD}{said}", "TRN-001") == ("training",)


# ---- closed -------------------------------------------------------------------------------------------

_MACROS = "".join(f"{{% macro m{n + 1}() %}}{{{{ m{n}() }}}}{{{{ m{n}() }}}}{{% endmacro %}}" for n in range(40))


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("{{ ''.__class__ }}", "`__class__` leads out"),
        ("{{ ''['__class__'] }}", "`__class__` leads out"),
        ("{{ say.__globals__ }}", "`__globals__` leads out"),
        ("{% set a = '__cla' ~ 'ss__' %}{{ officer[a] }}", "unsafe"),
        ("{{ officer | attr('__class__') }}", "the filter `attr` is not known"),
        ("{{ officer.items() }}", "calls the functions of"),
        ("{% include '../../../../etc/passwd' %}", "leads out of them"),
        ("{% include '/etc/passwd' %}", "leads out of them"),
        ("{% include 'sections\\\\x.md.j2' %}", "leads out of them"),
        ("{% include officer.name %}", "one name in quotes"),
        ("{% include 'sections/nothing.md.j2' %}", "There is no template sections/nothing.md.j2"),
        ("{% import 'sections/use.md.j2' as use %}", "no import"),
        ("{% extends 'sections/use.md.j2' %}", "no import"),
        ("{{ 'x' * 1000000000 }}", "no arithmetic"),
        ("{{ 9 ** 99999999 }}", "no arithmetic"),
        ("{% for n in range(1000000) %}x{% endfor %}", "'range' is undefined"),
        ("{% for task in tasks recursive %}x{% endfor %}", "`recursive`"),
        ("{{ lipsum() }}", "'lipsum' is undefined"),
        ("{{ nobody.there }}", "'nobody' is undefined"),
        ("{{ tasks }}", "Prints a list"),
        ("{{ phrase('x') }}", "can't be worked out"),
        ("{% if %}", "Expected an expression"),
        ("\ue002" + "0\ue007", "no keyboard types"),
        ("{{ '\\ue0020\\ue007' }}", "no keyboard types"),
        ("[x]: https://example.org", "right behind its words"),
        ("{% call passage('p') %}{% call say('TRN-999') %}x{% endcall %}{% endcall %}", "TRN-999"),
    ],
)
def test_what_a_template_may_not_do_is_told_with_its_line(line: str, told: str) -> None:
    (fault,) = _faults(f"{HEAD}{line}")
    assert told.lower() in fault.what.lower()
    assert (fault.code, str(fault.location)) == ("LOOK-009", f"look/{TRAINING}:3:1")


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("{% macro m() %}{{ m() }}{% endmacro %}{{ m() }}", "without end"),
        ("{% include 'sections/training.md.j2' %}", "without end"),
        (f"{{% macro m0() %}}xx{{% endmacro %}}{_MACROS}{{{{ m40() }}}}", "It writes more than"),
        ("{% set a = 'x' %}" + "{% set a = a ~ a %}" * 40 + "{{ a }}", "It writes more than"),
        ("{% set a = 'x' %}" + "{% set a = words([a, a]) %}" * 40, "a list holds single values"),
        ("[" * 5000, "brackets"),
        ("> " * 3000, "It makes no section"),
        ("{{ " + "(" * 3000 + "1" + ")" * 3000 + " }}", "too deep"),
    ],
)
def test_what_has_no_end_ends_with_a_fault(line: str, told: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What a template may print is a twentieth of it on each change: it ends the same."""
    if TIMES == 1:
        monkeypatch.setattr("progdoc.document.templating.own_templates._MOST_LETTERS", 50_000)
    (fault,) = _faults(f"{HEAD}{line}")
    assert told.lower() in fault.what.lower()


def test_loops_within_loops_end_by_count(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twenty loops within one another run for ever with two tasks already; they run on to the real end at night."""
    if TIMES == 1:
        monkeypatch.setattr("progdoc.document.templating.own_templates._MOST_STEPS", 100_000)
    tasks = "{% set many = tasks %}"
    loops = "{% for task in many %}" * 20 + "{% endfor %}" * 20
    (fault,) = _faults(f"{HEAD}{tasks}{loops}", of=_base)
    assert "without end" in fault.what


@pytest.mark.parametrize(
    ("template", "told"),
    [
        ("# Training\n\nWords", "needs an id"),
        (HEAD + "Words\n\n## Medical {#medical}\n\nWords", "id used 2 times: 'medical'"),
        ("x" * (MOST_TEMPLATE_BYTES + 1), "are the most"),
    ],
)
def test_what_makes_no_section_is_told(template: str, told: str) -> None:
    assert any(told in fault.what for fault in _faults(template))


def test_faults_of_several_templates_are_told_in_one_run() -> None:
    names = [f"templates/program/sections/{name}.md.j2" for name in ("training", "storage", "cleaning")]
    worn = with_look(_base(), {name: f"# X {{#{name[27:-6]}}}\n\n{{{{ nobody }}}}".encode() for name in names})
    assert sorted(str(d.location) for d in worn.report.findings) == sorted(f"look/{name}:3:1" for name in names)


@pytest.mark.parametrize(
    "name",
    [
        "templates/program/sections/trainin.md.j2",
        "templates/program/program.yaml",
        "templates/program/../../secret.md.j2",
        "templates/forms/training.yaml",
    ],
)
def test_only_templates_that_ship_can_be_laid_over(name: str) -> None:
    (fault,) = _faults("# X {#x}", name)
    assert fault.code == "LOOK-003"


def test_templates_reach_the_comparison_and_the_description_in_memory() -> None:
    values = {**BASE, "program": {**BASE["program"], "look": "house"}}
    files = {"program.yaml": written(values).encode(), f"house/{TRAINING}": f"{HEAD}In our words.".encode()}
    checked = check(load(files), AS_OF)
    assert checked.judged is not None, checked.report.findings
    assert "In our words." in build(checked, ("md",))["program.md"].decode()


# ---- looks alone --------------------------------------------------------------------------------------

# Each would hide, cover, shrink or add something; a closed list of looks tells all, those of tomorrow too.
_MORE_THAN_LOOKS = """
    .banner { position: absolute; left: -9999px } | .open-point { color: #fff } | .open-point { color: transparent }
    .notice { text-indent: -9999px } | .notice { transform: scale(0) } | .notice { clip-path: inset(50%) }
    .notice { clip: rect(0,0,0,0) } | .notice { filter: opacity(0) } | p { opacity: 0.01 } | p { opacity: .0 }
    #use p { font-size: 0.1px } | #use p { font: 0/0 a } | * { font-size: 0.7em }
    #use p { max-height: 1px; overflow: hidden }
    #use p { line-height: 0 } | #use p { mask: linear-gradient(transparent, transparent) } | #use p { zoom: 0.001 }
    #use p { letter-spacing: -1em } | :root { --ink: #fff } | #use p { -webkit-text-fill-color: transparent }
    #use p { color: rgb(0 0 0 / 0) } | #use p { background: #1c2328 } | #use { margin-left: -200vw } | #use { width: 0 }
    #use p { display: var(--x, none) } | nav ~ main { display: none } | nav:not(x) + main { display: none }
    img ~ p { display: none } | nav-x { display: none } | body::before { content: '–'; position: fixed; inset: 0 }
    #use p { text-decoration: line-through } | #use p { direction: rtl; unicode-bidi: bidi-override }
    #use p { font-family: Arial, Wingdings } | @keyframes a { to { color: #333 } } | * { animation: a 1s }
    @counter-style ok { system: fixed; symbols: 'APPROVED' } | li { list-style-type: 'All is well' }
    li { list-style: 'APPROVED ' } | h1 { quotes: 'APPROVED' 'x' } | h1::after { content: var(--t) }
    h1::after { content: 'O' 'K' } | li::marker { content: attr(id) } | h1::after { content: open-quote }
    tr::after { content: '✓' } | h1::after { content: counter(x) } | @page { @top-right { content: '·' } }
    ins::before { content: '' } | del::before { content: none } | p { hyphenate-character: 'NOT' }
    p { background: url(data:image/png;base64,AAAA) } | p { display: none ! important } | p { displa\\79: none }
    } p { display: none } | p { display: none | p { color } | @layer a { p { color: #333 } } | p { white-space: nowrap }
    td::before { content: "–" } | li::before { content: "👍" } | td { display: inline }
    @font-face { font-family: x } | @property --x { inherits: true } | p::first-line { color: #fff } | p { all: unset }
"""


def test_a_stylesheet_changes_looks_alone() -> None:
    attempts = [one.strip() for one in _MORE_THAN_LOOKS.replace("\n", "|").split("|") if one.strip()]
    assert len(attempts) > 60
    for css in attempts:
        assert [*hiding_rules(css), *printed_words(css)], css
    told = [
        one
        for one in with_look(_small(), {"style.css": attempts[0].encode()}).report.findings
        if one.code == "LOOK-012"
    ]
    assert {one.severity.value for one in told} == {"required"}  # such a program is a draft, and is not issued


@pytest.mark.parametrize(
    "css",
    [
        "h1 { color: #7a2e1f; font-family: 'Gill Sans', sans-serif; margin: 1rem 0; border-bottom: 2px solid #ddd }",
        "@media print { h1 { break-before: page } } @page { size: A4; margin: 20mm } th { background: #eee }",
        "body { max-width: 60rem; line-height: 1.4; color: rgb(20, 20, 20) } li::before { content: '– ' }",
        "nav, .skip { display: none } .logo img { height: 20px; float: right } p { margin: 0 auto 16px !important }",
    ],
)
def test_a_stylesheet_of_looks_is_not_told(css: str) -> None:
    assert [*hiding_rules(css), *printed_words(css)] == []


def test_a_firms_colours_are_for_light_paper_at_all_hours() -> None:
    worn = with_look(_small(), {"style.css": b"p { color: #222222 }"})
    page = build(worn, ("html",))["program.html"].decode()
    assert "prefers-color-scheme: dark" not in page
    assert "prefers-color-scheme: dark" in build(_small(), ("html",))["program.html"].decode()


# ---- what was worked out stays ------------------------------------------------------------------------


@cache
def _draft() -> Checked:
    """What a beginner typed in one evening: dangers, masks that do not protect, open points everywhere."""
    return check_path(PROGRAMS.parents[1] / "sample_config" / "first_draft", date(2026, 11, 24))


def _told_of(template: str, name: str, of: Callable[[], Checked] = _draft) -> list[Diagnostic]:
    found = with_look(of(), {name: template.encode()}).report.findings
    return [one for one in found if one.code == "LOOK-010"]


def test_no_template_leaves_out_what_was_worked_out() -> None:
    """Each of ours emptied in its turn: whatever danger, open point or table it had is asked for."""
    folders = OURS.parents[1]
    heads = {
        f"{file.parent.name}/{file.name}": head[0]
        for file in sorted(folders.rglob("*.md.j2"))
        if (head := re.search(r"^# .*\{#[\w.-]+.*\}$", file.read_text("utf-8"), re.MULTILINE))
    }
    # What our sample has nothing of, or where all is the firm's own words or its law's.
    nothing = {"appendix_d_summary", "breathing_air", "evaluation_findings", "local_differences", "local_rules"}
    nothing |= {"attachments", "calendar", "selection"}  # the last is refused: others refer to its headings
    for name, head in list(heads.items())[:: 1 if TIMES > 1 else 7]:
        if Path(name).name.partition(".")[0] not in nothing:
            assert _told_of(f"{head}\n\nAll is done as it should be.", f"templates/program/{name}"), name


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('{{ block("danger." ~ task.id) }}', "", "no longer prints what was worked out: “"),
        (
            '{{ block("danger." ~ task.id) }}',
            'Read on.\n\n{{ block("danger." ~ task.id) }}',
            "as the first there",
        ),
        (
            '{% set good = task.worn | selectattr("protects") | list %}',
            "{% set good = task.worn %}",
            "does not protect",
        ),
        ('masks=masks_of(good, "**")', 'masks="a mask"', "half mask"),
    ],
)
def test_the_page_of_a_task_names_the_masks_that_protect_and_no_other(old: str, new: str, told: str) -> None:
    page = (OURS.parents[1] / "pages" / "task.md.j2").read_text("utf-8")
    assert old in page
    of = _draft if "a mask" not in new else _base
    found = _told_of(page.replace(old, new), "templates/program/pages/task.md.j2", of)
    assert {one.severity.value for one in found} == {"required"}
    assert any(told in one.what for one in found), found


def test_our_page_laid_over_ours_is_not_told() -> None:
    page = (OURS.parents[1] / "pages" / "task.md.j2").read_text("utf-8")
    assert _told_of(page, "templates/program/pages/task.md.j2") == []


def test_a_page_without_any_warning_is_told() -> None:
    page = re.sub(r"call warn\(\)", "call about()", (OURS.parents[1] / "pages" / "task.md.j2").read_text("utf-8"))
    found = _told_of(page, "templates/program/pages/task.md.j2", _base)
    assert [(one.severity.value, "warnings" in one.what) for one in found] == [("caution", True)]


def test_what_is_required_of_a_look_is_told_where_no_question_asks_for_it() -> None:
    """A report whose program is a draft never says that nothing is missing, and shows what is."""
    small = check_path(SMALL, SMALL_DAY)
    assert summary_line(small.report).startswith("No required gap")
    assert unasked(small.report) == []
    for name, content in {"style.css": b".notice { color: #fff }", TRAINING: HEAD.encode()}.items():
        worn = with_look(small, {name: content})
        assert {one.code for one in unasked(worn.report)} <= {"LOOK-010", "LOOK-012"}
        assert summary_line(worn.report).startswith("Not ready: ")
        assert all(one.what[:60] in questions_text(worn.report, 10_000) for one in unasked(worn.report))
