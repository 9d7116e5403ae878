"""The desk in Spanish: every word of ours on every page, questions and findings too; what is English is marked.

WCAG 2.2, 3.1.1 and 3.1.2 (the language of a page, and of its parts); RFC 9110, 12.5.4 (Accept-Language); RFC 6265bis
(cookies).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from shutil import copy

import pytest
from desk.browsing import Browser

from progdoc.core.paper_language import Language, language_of
from progdoc.core.resources import templates_root
from progdoc.desk import shown, spoken
from progdoc.desk.phone import Code, phone_application
from progdoc.desk.shown import fixed_words
from progdoc.model.description.fields import every_place, field_at

SHOP = Path(__file__).resolve().parents[2] / "sample_config" / "small_shop" / "program.yaml"
WORD = re.compile(r"[^\W\d_]{2,}")
HELD = "progdoc-desk-language"
NOT_CLOSED = ("br", "hr", "img", "input", "link", "meta")
DIGEST = re.compile(r"[0-9a-f]{64}|[0-9a-f]{4}(?: [0-9a-f]{4}){3}")  # whole, or as it is written beside signatures
NAMES = re.compile(r"Quill & Daughter Plasterwork|Another|program\.yaml|progdoc")  # the same in every language
CITED = re.compile(r"\d+ CFR [\d.]+(?:\(\w+\))*|Appendix [A-D]")
QUOTED = re.compile("[“`][^“”`]*[”`]|[a-z]+[.]yaml(?::[0-9]+)*")  # what was typed, or is to be typed; where
HEARD = ("aria-label", "title", "alt", "placeholder")  # attributes that somebody reads


class Unmarked(HTMLParser):
    """Gathers what a page says in its own language: text and attributes under no other `lang`."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[str] = []  # one after another, so that a sentence is whole around a name of the firm's in it
        self.heard: list[str] = []
        self.marked: list[str] = []  # what stands under another language
        self.tag = ""
        self._open: list[tuple[str, bool]] = [("", False)]  # and whether it is in the language of the page
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        is_own = tag not in ("style", "script") and self._open[-1][1]
        if "lang" in given:
            is_own = tag == "html"
            self.tag = given["lang"] if is_own else self.tag
        if is_own:
            self.heard += [given[name] for name in HEARD if name in given]
        if tag not in NOT_CLOSED:
            self._open.append((tag, is_own))

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop()[0] == tag, tag

    def handle_data(self, data: str) -> None:
        is_shown = self._open[-1][0] not in ("style", "script")
        if is_shown:
            (self.found if self._open[-1][1] else self.marked).append(data)


@pytest.fixture
def desk(tmp_path: Path) -> Browser:
    copy(SHOP, tmp_path / "program.yaml")
    return Browser(tmp_path / "program.yaml")


def between_signs(message: str) -> str:
    """Return a message with each sentence between signs: what a refusal says is told apart from what is to be typed."""
    return ". ".join(f"⟦{sentence}⟧" for sentence in message.split(". "))


@pytest.fixture
def marking(monkeypatch: pytest.MonkeyPatch) -> Language:
    """Spanish that puts each sentence of the catalogue between signs, and has no words of its own."""
    real = language_of("es")
    known = real._known | {"Word", "PDF"}
    language = replace(
        real,
        _one=lambda message: between_signs(message) if message in known else message,
        _apart=lambda _paper, _message: "",
        _many=lambda one, more, n: f"⟦{one if n == 1 else more}⟧",
        _dated=lambda day: f"⟦{day}⟧",
        _of_data=lambda: {text: f"⟦{said}⟧" for text, said in real._of_data().items()},
        _agents={name: f"⟦{said}⟧" for name, said in real._agents.items()},
    )
    for module in (spoken, shown):
        monkeypatch.setattr(module, "language_of", lambda _code: language)
    return language


def pages_of_the_desk(desk: Browser) -> Iterator[tuple[str, str]]:
    about = "about=hazards.white-dust"
    for url in (
        "/", "/ask/employer", "/ask/conditions?about=tasks.sand-casts", f"/ask/level?{about}",
        f"/ask/level?{about}&kind:hazards[0].exposure=samples", "/ask/fit-test-of-person?about=people.nora",
        "/ask/masks", "/ask/work", "/answers", "/work", "/due", "/papers", "/compared", "/nothing-here",
    ):  # fmt: skip
        yield url, desk.get(url).text
    for one in [link for link in desk.get("/").links if link.startswith("/ask/")][:30]:
        yield one, desk.get(one).text
    url = "/ask/conditions?about=tasks.sand-casts"
    filled = {**desk.get(url).hidden, "tasks[0].duration": "three hours"}
    yield "what can't be taken", desk.post(url, filled).text
    yield (
        "what it would mean, at fault",
        f'<html lang="es">{desk.post(url.replace("/ask/", "/try/"), filled).text}</html>',
    )
    yield "typed in the meantime", desk.post(url, {**filled, "seen": "0"}).text
    url = "/ask/employer"
    filled = {**desk.get(url).hidden, "organisation.name": "Another"}
    yield "what it would mean", f'<html lang="es">{desk.post(url.replace("/ask/", "/try/"), filled).text}</html>'
    yield "what was written", desk.post(url, filled).text
    token = {"token": desk.get("/papers").hidden["token"][0]}
    yield "what was issued", desk.post("/issue", token).text
    yield "no form of the sitting", desk.post("/undo", {}).text
    yield "taken back", desk.post("/undo", token).text
    yield "nothing to take back", desk.post("/undo", token).text
    for host in ("elsewhere.test", desk.door.address):
        held = {name: value for name, value in desk.cookies.items() if name == HELD}
        cookies, desk.cookies = desk.cookies, held
        yield f"a stranger at {host}", desk.get("/", host=host).text
        desk.cookies = cookies
    desk.sitting.path.write_text("format: [", encoding="utf-8")
    yield "broken", desk.get("/").text


def pages_of_the_phone(desk: Browser) -> Iterator[tuple[str, str]]:
    desk.code = Code(lambda code: None)
    desk.app = phone_application(desk.sitting, desk.door, desk.code)
    desk.cookies = {HELD: "es"}
    yield "code", desk.get("/enter").text
    yield "wrong code", desk.post("/enter", {"code": "wrong"}).text
    yield "on site", desk.post("/enter", {"code": desk.code.valid}).text
    for kind in ("inspection", "face-change", "filter-change"):
        yield kind, desk.get(f"/record/{kind}").text
    yield "a record at fault", desk.fill("/record/inspection", {}).text
    yield "recorded", desk.fill("/record/face-change", {"who": "nora"}).text
    for _ in range(5):
        last = desk.post("/enter", {"code": "wrong"}).text
    yield "shut", last


def test_no_page_in_spanish_has_an_unmarked_english_word(desk: Browser, marking: Language) -> None:
    """What stands neither in the catalogue nor in a part that is marked as English has no word in it."""
    desk.cookies[HELD] = "es"
    stray, seen = [], 0
    phone = Browser(Path(copy(SHOP, desk.sitting.path.with_name("phone.yaml"))))
    for name, text in (*pages_of_the_desk(desk), *pages_of_the_phone(phone)):
        page = Unmarked(text)
        seen += 1
        if page.tag != "es":
            stray.append((name, f"is in {page.tag!r}"))
        for words in ("".join(page.found), *page.heard):
            left = words
            while (less := re.sub(r"⟦[^⟦⟧]*⟧", "", left)) != left:
                left = less
            if WORD.search(NAMES.sub("", DIGEST.sub("", left))):
                stray.append((name, " ".join(left.split())))
    assert seen > 30
    assert stray == []


def test_what_is_english_on_a_spanish_page_is_the_firms_own_or_to_be_typed(desk: Browser) -> None:
    """Nothing of ours: no question, no help, no duty, no finding and no figure is left in English, marked or not."""
    desk.cookies[HELD] = "es"
    typed = " ".join(desk.sitting.path.read_text(encoding="utf-8").split())
    known = [field_at(place) for place in every_place()]
    written = [typed, "Another", *(example for field in known if field for example in field.examples)]
    stray = set()
    phone = Browser(Path(copy(SHOP, desk.sitting.path.with_name("phone.yaml"))))
    for _, text in (*pages_of_the_desk(desk), *pages_of_the_phone(phone)):
        for marked in Unmarked(text).marked:
            words = CITED.sub("", QUOTED.sub("", " ".join(marked.split()))).strip(" ,·")
            if WORD.search(words) and not any(words in one for one in written):
                stray.add(words)
    assert {one for one in stray if not all(part in typed for part in re.split("[,;] ", one))} == {
        "This page in English"
    }


def test_every_word_of_a_template_can_be_said_in_another_language() -> None:
    """Of branches too that no page above comes to: no word stands outside of `_()`."""
    stray = []
    for file in sorted((Path(str(templates_root())) / "desk").glob("*.j2")):
        source = re.sub(r"\{#.*?#\}", "", file.read_text(encoding="utf-8"), flags=re.DOTALL)
        signs = re.findall(r"\{\{.*?\}\}|\{%.*?%\}", source)
        text = re.sub(r"<[^<>]*>", " ", re.sub(r"\{\{.*?\}\}|\{%.*?%\}", "", source))
        stray += [(file.name, word) for word in WORD.findall(text) if word != "progdoc"]
        for sign in signs:
            unsaid = re.sub(r'_(?:in|many)?\((?:\w+, )?"[^"]*"(?:, "[^"]*")?', "", sign)
            told = re.findall(r'"([^"]*)"', unsaid)
            stray += [(file.name, one) for one in told if re.match(r"[A-Z][a-z]+|.*[a-z] [a-z]", one)]
    assert stray == []
    assert len(list(fixed_words())) > 150


def test_the_language_is_chosen_on_a_page_and_held(desk: Browser) -> None:
    english = desk.get("/ask/level?about=hazards.white-dust")
    (link,) = [link for link in english.links if "language=" in link]
    assert '<html lang="en">' in english.text and link.endswith("?about=hazards.white-dust&language=es")
    spanish = desk.get(link)
    assert (
        '<html lang="es">' in spanish.text
        and "Anotar" in spanish.text
        and "ninguna regla lee todavía otro idioma" in spanish.text
    )
    cookie = spanish.headers["set-cookie"]
    assert cookie == f"{HELD}=es; HttpOnly; Path=/; SameSite=strict"
    desk.cookies[HELD] = "es"
    assert "Cómo va" in desk.get("/").text and "Where you stand" in desk.get("/?language=en").text
    assert desk.get("/", **{"accept-language": "en"}).text.count('<html lang="es">') == 1, "what was chosen stands"


def test_what_the_browser_asks_for_is_the_first_guess(desk: Browser) -> None:
    for asked, code in (
        ("es-MX,es;q=0.9,en;q=0.8", "es"), ("en-US,en;q=0.9,es;q=0.8", "en"), ("fr, es;q=0.5", "es"), ("xx", "en"),
        ("../es", "en"), (";;,,", "en"), ("x," * 5_000 + "es", "en"),
    ):  # fmt: skip
        page = desk.get("/", **{"accept-language": asked})
        assert f'<html lang="{code}">' in page.text and "set-cookie" not in page.headers, asked


def test_a_choice_lets_nobody_in_and_leads_nowhere_else(desk: Browser) -> None:
    held, desk.cookies = desk.cookies, {}
    refused = desk.get("/?language=es")
    assert refused.status == 403 and "set-cookie" not in refused.headers and "no le conoce" in refused.text
    desk.cookies = held
    assert "set-cookie" not in desk.get("/?language=xx").headers
    for url in ("//evil.test/", "/%2F%2Fevil.test", '/x"><b>', "/?a=%0d%0aset-cookie:x"):
        page = desk.get(desk.door.origin + url)
        assert all(re.fullmatch(r"/(?!/)[^\s\"<>]*", link) for link in page.links if "language=" in link), url
        assert "<b>" not in page.text


def test_what_is_ticked_is_said_in_spanish_and_so_is_what_to_tick(desk: Browser) -> None:
    """A finding names a choice as it is typed; on the desk it is told as it stands beside its tick."""
    desk.cookies[HELD] = "es"
    copy(SHOP.parents[1] / "first_draft" / "description.yaml", desk.sitting.path)
    ticked = set()
    for link in dict.fromkeys(link for link in desk.get("/").links if link.startswith("/ask/")):
        text = desk.get(link).text
        labels = re.findall(r'<label class="tick"><input type="radio"[^>]*> (.*?)</label>', text)
        ticked.update(label.partition("<span")[0] or "?" for label in labels)
        page = Unmarked(text)
        seen = re.sub(r"“\w+: [^”]*”", "", "".join((*page.found, *page.marked)))
        assert not re.search(r"\byes\b", seen), link
    assert {"sí", "no"} <= ticked
