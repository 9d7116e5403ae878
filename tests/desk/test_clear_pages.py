"""What newcomers stumbled over: asked though it doesn't apply, faults without a name, ways that end, ids for names."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from shutil import copy, copytree

import pytest
from desk.browsing import Browser, Page
from desk.test_spanish import Unmarked

from progdoc.app.adopted_duties import duties_adopted
from progdoc.core.paper_language import language_of
from progdoc.core.report import Status
from progdoc.core.said import Said
from progdoc.desk.phone import Code, phone_application
from progdoc.model.description.fields import field_at
from progdoc.model.description.input_fields import suggested_at
from progdoc.rules.adoption import _adoptable
from progdoc.rules.lookup.asked_when import ANY, asked_when
from progdoc.rules.lookup.fit_protocols import fit_protocols

SAMPLES = Path(__file__).resolve().parents[2] / "sample_config"
FITS = "/ask/fit-test-of-person?about=people.nora"
TOPICS = "/ask/training-of-person?about=people.nora"
MORE = "people[0].fit_tests[+]"
AWAY = ("/read/", "/papers/", "/look/", "/compared/paper")  # papers as they are, and files


def at_desk(tmp_path: Path, sample: str) -> Browser:
    source = SAMPLES / sample
    there = tmp_path / source.name
    if source.is_dir():
        copytree(source, there)
    else:
        copy(source, there)
    return Browser(there)


@pytest.fixture
def shop(tmp_path: Path) -> Browser:
    return at_desk(tmp_path, "small_shop/program.yaml")


def on_phone(desk: Browser) -> Browser:
    desk.code = Code(lambda code: None)
    desk.app = phone_application(desk.sitting, desk.door, desk.code)
    desk.cookies = {}
    desk.post("/enter", {"code": desk.code.valid})
    return desk


def questions(desk: Browser) -> list[str]:
    """One address of each question that is open, answered or due."""
    links = (link for url in ("/", "/answers", "/due") for link in desk.get(url).links)
    return list({link.partition("?")[0]: link for link in links if link.startswith("/ask/")}.values())


# ---- forms ask what their choices need ------------------------------------------------------------------


def test_the_table_of_what_waits_for_a_choice_names_fields_and_choices_there_are() -> None:
    odd = []
    for rule in asked_when():
        by = f"{rule.of}.{rule.by}"
        known = field_at(f"masks[].{rule.its}").values if rule.its else suggested_at(by)  # type: ignore[union-attr]
        is_any = rule.one_of == ANY
        if field_at(by) is None or not (is_any or set(rule.one_of) <= set(known)):
            odd.append((by, rule.one_of))
        places = [f"{rule.of}.{name}" for name in rule.fields]
        odd += [(place, ()) for place in places if field_at(place) is None or place == by]
    assert odd == []
    named = [f"{rule.of}.{name}" for rule in asked_when() for name in rule.fields]
    assert len(named) == len(set(named)), "a field waits for one choice"


def test_what_a_fit_test_is_asked_is_what_its_protocol_needs() -> None:
    """Against the protocols of Appendix A, as `fit_protocols.yaml` has them: screening, taste, a number or none."""
    waits = {name: set(rule.one_of) for rule in asked_when() if rule.by == "protocol" for name in rule.fields}
    known = fit_protocols()
    numbered = {name for name, one in known.items() if one["kind"] == "quantitative"}
    assert waits["screened"] == set(known) - numbered == {name for name, one in known.items() if "screened_at" in one}
    assert waits["fit_factor"] == waits["readings"] == waits["recording"] == numbered
    assert waits["nothing_before"] == {name for name, one in known.items() if "nothing_before_at" in one}
    assert waits["enclosure"] == waits["reacted_after"] == {"irritant-smoke"}
    assert waits["filters"] >= {name for name, one in known.items() if "fitted_classes" in one}


def test_without_script_fields_of_other_choices_are_folded_and_what_stands_is_open(shop: Browser) -> None:
    page = shop.get(f"{FITS}&more=yes")
    folded = re.findall(r'<details class="only" [^>]*?data-for="([^"]*)"[^>]*?( open)?>', page.text)
    groups = {(chosen, bool(is_open)) for chosen, is_open in folded}
    assert ("irritant-smoke", False) in groups and ("saccharin denatonium", True) in groups
    assert any("ambient-cnc" in chosen and not is_open for chosen, is_open in groups)
    assert "people[0].fit_tests[0].unpowered" not in page.names, "no mask of the shop has air of its own"
    shop.sitting.path.write_text(
        shop.sitting.path.read_text(encoding="utf-8").replace("screened: yes", "fit_factor: 120, screened: yes", 1),
        encoding="utf-8",
    )
    text = shop.get(FITS).text
    at = text.index('name="people[0].fit_tests[0].fit_factor"')
    opened = text.rindex('<details class="only"', 0, at)
    assert " open>" in text[opened : text.index(">", opened) + 1], "what is typed stays in sight"


def test_adopting_lists_no_duty_that_does_not_apply_and_none_of_another_procedure(shop: Browser) -> None:
    """Over every paragraph that can be adopted."""
    checked = shop.sitting.checked()
    assert checked.judged is not None
    applies = {
        one.verdict.requirement.duty
        for one in checked.judged.verdicts.alike()
        if one.verdict.status is not Status.NOT_APPLICABLE
    }
    listed: list[str] = []
    for group, paragraphs in _adoptable().items():
        for paragraph in paragraphs:
            duties = duties_adopted(checked, paragraph, f"{group}.adopt")
            listed += duties.asked
            assert set(duties.asked) <= applies and not set(duties.asked) & set(duties.besides), (group, paragraph)
            away = [place for place in duties.places if place.startswith("procedures.")]
            assert all(place.startswith(f"{group}.") for place in away), (group, paragraph)
    assert len(listed) > 60
    of_use = duties_adopted(checked, "(g)", "procedures.use.adopt")
    assert not any("structural fire" in duty for duty in (*of_use.asked, *of_use.besides))


def test_what_adopting_answers_of_a_thing_is_not_asked_beside_it(tmp_path: Path) -> None:
    desk = at_desk(tmp_path, "first_draft/description.yaml")
    text = desk.get("/ask/label-of-mask?about=masks.dust-mask").text
    at = text.index('name="masks[0].label_kept"')
    assert "Or say it one by one" in text[:at], "as every field that adopting fills"


# ---- the only thing there is, and all of a list -----------------------------------------------------------


def test_the_only_thing_there_is_stands_ticked_and_makes_no_entry_by_itself(shop: Browser) -> None:
    assert f"{MORE}.mask" not in {name for name, said in shop.get(FITS).hidden.items() if any(said)}
    page = shop.get(f"{FITS}&more=yes")
    assert page.hidden[f"{MORE}.mask"] == ["", "half-mask"] and page.hidden[f"{MORE}.protocol"] == ["", "saccharin"]
    assert "Ticked already" in page.text
    sent = {**page.hidden, "people[0].fit_tests[0].size": "M"}
    assert shop.post(FITS, sent).status == 200
    program = shop.sitting.checked().loaded.program
    assert program is not None and [test.size for test in program.people[0].fit_tests] == ["M"]
    added = shop.fill(f"{FITS}&more=yes", {f"{MORE}.date": "2026-05-02"})
    program = shop.sitting.checked().loaded.program
    assert added.status == 200 and program is not None
    assert [(test.mask, test.protocol) for test in program.people[0].fit_tests] == [("half-mask", "saccharin")] * 2


def test_one_tick_says_all_of_a_list_that_the_law_wants_whole(shop: Browser) -> None:
    whole = {
        name.removesuffix("+all")
        for url in (TOPICS, "/ask/training", "/ask/storage", "/ask/medical-clearance", "/ask/evaluation")
        for name in shop.get(url).names
        if name.endswith("+all")
    }
    assert {
        "procedures.training.topics",
        "procedures.storage.protects_from",
        "procedures.medical.professional_gets",
        "procedures.medical.reevaluated_when",
        "procedures.evaluation.consults",
        "people[0].training[0].topics",
    } <= whole
    assert not whole & {"procedures.training.by", f"{MORE}.gear"}
    entry = "people[0].training[+]"
    done = shop.fill(f"{TOPICS}&more=yes", {f"{entry}.date": "2026-05-02", f"{entry}.topics+all": "yes"})
    program = shop.sitting.checked().loaded.program
    assert done.status == 200 and program is not None and len(program.people[0].training[-1].topics) == 7


# ---- ways, faults, names ----------------------------------------------------------------------------------


def reached(desk: Browser) -> Iterator[tuple[str, Page]]:
    """Walk every link from the home page; of each question one."""
    left, seen = ["/"], set()
    while left:
        url = left.pop()
        kind = url.partition("?")[0] if url.startswith("/ask/") else url
        if kind in seen or "language=" in url:
            continue
        seen.add(kind)
        page = desk.get(url)
        yield url, page
        if not url.startswith("/read/"):
            links = [link.partition("#")[0] for link in page.links if link.startswith("/")]
            left += [link for link in links if not link.startswith(AWAY) or link.startswith("/read/")]


def test_every_page_has_its_way_back(shop: Browser) -> None:
    (shop.sitting.into).mkdir(exist_ok=True)
    shop.post("/issue", {"token": shop.get("/papers").hidden["token"][0]})
    found = dict(reached(shop))
    assert {"/compared", "/read/program.html", "/papers", "/due"} <= set(found) and len(found) > 25
    back = ("/papers",) if found["/compared"] else ()
    for url, page in found.items():
        assert page.status == 200, url
        links = set(page.links)
        assert "/" in links or (url.startswith(("/read/", "/compared")) and set(back) <= links), url
    for url in ("/nothing-here", "/read/nothing.html", "/papers/nothing.html"):
        assert "/" in shop.get(url).links, url
    for url in ("/compared/paper", "/papers/program.html"):
        assert shop.get(url).headers["content-security-policy"].startswith("sandbox;"), url


def test_a_desk_that_issued_nothing_leads_back_from_what_it_can_not_compare(shop: Browser) -> None:
    page = shop.get("/compared")
    assert page.status == 404 and "/" in page.links


def test_forms_that_are_sent_empty_name_each_fault_by_its_field_at_the_top_and_beside_it(tmp_path: Path) -> None:
    desk = at_desk(tmp_path, "first_draft/description.yaml")
    refused = 0
    for url in questions(desk):
        page = desk.get(url)
        kept = {name: said for name, said in page.hidden.items() if name in ("token", "seen", "about")}
        done = desk.post(url, {**dict.fromkeys(page.hidden, ""), **kept})
        top = re.search(r'<section class="faults".*?</section>', done.text, re.DOTALL)
        if done.status == 422:
            refused += 1
            assert top is not None, url
            for place, words in re.findall(r'<a href="#([^"]+)">(.*?)</a>', top[0], re.DOTALL):
                if place != "main":
                    title, _, told = " ".join(unescape(words).split()).partition(": ")
                    assert title and told, (url, words)
                    assert f'id="{place}"' in done.text and f'id="{place}.fault"' in done.text, (url, place)
        while desk.sitting.done:
            desk.sitting.take_back()
    assert refused > 10
    phone = on_phone(desk)
    for kind in ("face-change", "filter-change"):
        text = phone.fill(f"/record/{kind}", {"who": "", "filter": ""}).text
        told = re.findall(r'<a href="#(\w+)">([^<]+: This is needed\.)</a>', text)
        assert told and all(f'id="{place}"' in text and f'id="{place}.fault"' in text for place, _ in told), kind


def test_an_empty_attachment_is_refused_by_name(shop: Browser) -> None:
    sent = {"token": shop.get("/papers").hidden["token"][0], "title": " "}
    page = shop.send("POST", "/attach", sent, {"origin": shop.door.origin}, {"file": ("", b"")})
    assert page.status == 422
    for place in ("title", "file"):
        assert f'href="#{place}"' in page.text and f'id="{place}.fault"' in page.text, place


@pytest.mark.parametrize("sample", ["restoration_2026", "small_shop/program.yaml"])
def test_no_page_calls_a_thing_by_its_id(tmp_path: Path, sample: str) -> None:
    desk = at_desk(tmp_path, sample)
    program = desk.sitting.checked().loaded.program
    assert program is not None
    told = program.procedures.filter_changes.schedules
    things = (program.tasks, program.masks, program.filters, program.people, program.organisation.sites, told)
    ids = {one.id for kind in (*things, program.hazards, program.attachments) for one in kind if "-" in one.id}
    known = re.compile(rf"(?<![\w./-])(?:{'|'.join(map(re.escape, sorted(ids)))})(?![\w-])")
    found = []
    for url in ("/", "/answers", "/work", "/due", "/papers", *questions(desk)):
        body = re.sub(r"<[^>]*>", "\n", desk.get(url).text.partition("<body")[2])
        found += [(url, line.strip()) for line in unescape(body).splitlines() if known.search(line)]
    assert found == []


def test_no_form_offers_a_choice_of_nothing(tmp_path: Path, shop: Browser) -> None:
    empty = tmp_path / "new" / "program.yaml"
    empty.parent.mkdir()
    empty.write_text("format: 1\n", encoding="utf-8")
    fieldset = re.compile(r"<fieldset[^>]*>(.*?)</fieldset>", re.DOTALL)
    something = re.compile(r'<input type="(?:radio|checkbox|text|date)"|<textarea|<a href|<details')
    for desk in (shop, Browser(empty), at_desk(tmp_path, "first_draft/description.yaml")):
        for url in questions(desk):
            for inner in fieldset.findall(desk.get(url).text):
                assert something.search(inner), (url, inner)
    phone = on_phone(shop)
    offered = {link for link in phone.get("/").links if link.startswith("/record/")}
    assert offered == {"/record/face-change", "/record/filter-change"}, "the shop keeps no list of single masks"
    for url in offered:
        assert all(something.search(inner) for inner in fieldset.findall(phone.get(url).text)), url
    page = phone.get("/record/inspection")
    assert "<form" not in page.text and "/" in page.links


def test_the_crew_reads_its_task_page_in_the_language_it_chooses(shop: Browser) -> None:
    """The translation is always there; `program.languages` says which papers are printed."""
    phone = on_phone(shop)
    english = phone.get("/tasks/sand-casts")
    (link,) = [link for link in english.links if "language=es" in link]
    assert "/" in english.links and '<html lang="en-US"' in phone.get("/tasks/sand-casts/page").text
    spanish = phone.get(link)
    assert '<html lang="es">' in spanish.text and "/tasks/sand-casts/page" in spanish.text
    phone.cookies["progdoc-desk-language"] = "es"
    paper = phone.get("/tasks/sand-casts/page")
    assert '<html lang="es' in paper.text and "respirador" in paper.text
    assert paper.headers["content-security-policy"].startswith("sandbox;")


# ---- faults of tables in Spanish --------------------------------------------------------------------------

TABLES = {
    "no id": "name,job\nAda,sander\n",
    "a row without id": "id,name\n,Ada\n",
    "two orders": "id,name,fit_test_date\na,Ada,1/12/2026\n",
    "said twice": "id,name\na,Ada\na,Bo\n",
    "misspelt": "id,nane\na,Ada\n",
    "of health": "id,name,Do you have asthma?\na,Ada,no\n",
    "to confirm": "Emp #,Employee\na,Ada\n",
    "headed twice": "id,name,name\na,Ada,Ada\n",
    "not closed": 'id,name\na,"Ada\nb,Bo\n',
    "of nobody": "id,name\na,Ada\n,,,x\n",
    "repeated": "id,name\na,Ada\na,Ada\n",
    "empty": "",
}


def test_what_is_wrong_with_a_table_is_told_in_spanish(tmp_path: Path) -> None:
    spanish = language_of("es").on("desk")
    codes, unsaid = set(), []
    for name, table in TABLES.items():
        folder = tmp_path / name.replace(" ", "-")
        folder.mkdir()
        (folder / "program.yaml").write_text("format: 1\npeople: {csv: people.csv}\n", encoding="utf-8")
        (folder / "people.csv").write_text(table, encoding="utf-8")
        desk = Browser(folder / "program.yaml")
        for fault in desk.sitting.checked().report.findings:
            if fault.code.startswith("CSV-"):
                codes.add(fault.code)
                for words in (fault.what, fault.fix):
                    try:
                        assert isinstance(words, Said) and words.said_or_fail(spanish)
                    except (AssertionError, LookupError):
                        unsaid.append((name, fault.code, words))
        desk.cookies["progdoc-desk-language"] = "es"
        page = Unmarked(desk.get("/").text)
        assert not re.search(r"\b(?:the|Write|is not)\b", "".join(page.found)), name
    assert unsaid == []
    assert len(codes) >= 8, codes


def test_a_duty_that_hangs_on_a_mask_not_told_yet_is_not_of_work_not_done_here(tmp_path: Path) -> None:
    """29 CFR 1910.134(g)(1)(i)(A): somebody adopted, as for others' work, that nobody has hair under the seal."""
    told = "format: 1\norganisation: {name: Kestrel}\ntasks: [{id: a, name: Scraping, use: required}]\nhazards: []\n"
    (tmp_path / "program.yaml").write_text(told, encoding="utf-8")
    desk = Browser(tmp_path / "program.yaml")
    duties = duties_adopted(desk.sitting.checked(), "(g)", "procedures.use.adopt")
    hair = [one for one in (*duties.asked, *duties.once) if "hair" in one]
    assert hair and not [one for one in duties.besides if "hair" in one]
