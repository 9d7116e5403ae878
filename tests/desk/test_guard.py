"""Nobody gets at the desk but who started it: a page elsewhere, another name of this machine, a stale address.

What is asked for follows RFC 6265bis (cookies), RFC 6454 (the origin of a request), Content Security Policy level 3.
"""

from __future__ import annotations

from pathlib import Path
from shutil import copy

import pytest
from desk.browsing import ADDRESS, Browser

SHOP = Path(__file__).resolve().parents[2] / "sample_config" / "small_shop" / "program.yaml"


@pytest.fixture
def visitor(tmp_path: Path) -> Browser:
    copy(SHOP, tmp_path / "program.yaml")
    return Browser(tmp_path / "program.yaml")


def test_who_begins_gets_in_and_nobody_does_so_twice(visitor: Browser) -> None:
    assert visitor.get("/").status == 200
    held, visitor.cookies = visitor.cookies, {}
    assert visitor.get(visitor.door.first_address).status == 403
    visitor.cookies = held
    assert visitor.get(visitor.door.first_address).status == 200, "the same visitor may open it again"


def test_no_page_opens_without_the_cookie(visitor: Browser) -> None:
    visitor.cookies = {}
    for path in ("/", "/next", "/answers", "/work", "/due", "/papers", "/papers/program.html", "/look/desk.css", "/x"):
        assert visitor.get(path).status == 403, path
    assert visitor.get("/begin?key=guess").status == 403
    visitor.cookies = {"progdoc-desk": "guess"}
    assert visitor.get("/").status == 403


@pytest.mark.parametrize(
    "host",
    ["127.evil.test", "127.0.0.1.evil.test:8431", "localhost:8431", "127.0.0.1", "127.0.0.1:84310", "[::1]:8431", ""],
)
def test_the_address_is_compared_whole(visitor: Browser, host: str) -> None:
    assert visitor.get("/", host=host).status == 421
    assert visitor.get(visitor.door.first_address, host=host).status == 421


def test_a_change_comes_from_a_page_of_the_desk(visitor: Browser) -> None:
    url = "/ask/employer"
    filled = {**visitor.get(url).hidden, "organisation.name": "Another"}
    before = visitor.sitting.path.read_bytes()
    for origin in ("http://evil.test", "null", f"https://{ADDRESS}", f"http://{ADDRESS}.evil.test"):
        assert visitor.send("POST", url, filled, {"origin": origin}).status == 403, origin
    assert visitor.send("POST", url, filled).status == 403, "a request that hides where it comes from"
    assert visitor.post(url, {**filled, "token": "guess"}).status == 403
    assert visitor.post(url, {name: value for name, value in filled.items() if name != "token"}).status == 403
    assert visitor.post("/undo", {}).status == 403
    assert visitor.post("/issue", {}).status == 403
    assert visitor.send("PUT", url, filled, {"origin": visitor.door.origin}).status == 405
    assert visitor.sitting.path.read_bytes() == before
    assert visitor.post(url, filled).status == 200
    assert b"Another" in visitor.sitting.path.read_bytes()


def test_what_is_sent_is_bounded(visitor: Browser) -> None:
    url = "/ask/employer"
    hidden = visitor.get(url).hidden
    assert visitor.post(url, {**hidden, "organisation.name": "x" * 1_000_001}).status == 413
    assert visitor.post(url, hidden, **{"content-length": "9" * 5_000}).status == 413


def test_every_answer_forbids_what_is_not_needed(visitor: Browser) -> None:
    for path in ("/", "/ask/employer", "/papers", "/look/desk.css", "/nothing-here"):
        headers = visitor.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy and "unsafe" not in policy, path
        assert (headers["x-content-type-options"], headers["cache-control"]) == ("nosniff", "no-store")
    shown = visitor.get("/papers/program.html").headers["content-security-policy"]
    assert shown.startswith("sandbox;") and "script-src" not in shown


def test_no_path_leads_to_other_files(visitor: Browser) -> None:
    names = ("../program.yaml", "%2e%2e%2fprogram.yaml", "..%2f..%2fetc%2fpasswd", "base.html.j2", "desk.css%00")
    for name in names:
        assert visitor.get(f"/look/{name}").status in (403, 404), name
        assert visitor.get(f"/papers/{name}").status in (403, 404), name


def test_a_form_takes_only_what_it_asks(visitor: Browser) -> None:
    """Whatever else is sent, such as an answer about somebody's health, is not taken."""
    url = "/ask/employer"
    sent = {
        "organisation.name": "Ours",
        "people[0].name": "X",
        "people[0].medical[+].diagnosis": "asthma",
        "format": "2",
    }
    assert visitor.fill(url, sent).status == 200
    text = visitor.sitting.path.read_text(encoding="utf-8")
    assert "Ours" in text and "asthma" not in text and "format: 1" in text and "name: X" not in text
