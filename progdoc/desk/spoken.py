"""The language of the pages: chosen on each of them, held by the browser, guessed at first from what it asks for."""

from __future__ import annotations

from contextvars import ContextVar
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qsl, quote, urlencode

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import ENGLISH, Language, known_languages, language_of

__all__ = ["Spoken", "in_its_language", "spoken"]

_CHOICE = "language"  # in an address
_COOKIE = "progdoc-desk-language"
_MOST_ASKED = 20  # languages that a browser names
_OWN_FORMS = ("/ask/", "/record/", "/enter")  # addresses whose form is sent to themselves


@dataclass(frozen=True, slots=True)
class Spoken:
    """What a request is answered in, and where the same page stands in another language."""

    language: Language
    address: str  # without a choice of language, to be gone on with

    @property
    def others(self) -> list[tuple[str, str]]:
        """The code of each other language, and the page in it."""
        codes = (code for code in known_languages() if code != self.language.code)
        return [(code, f"{self.address}{'&' if '?' in self.address else '?'}{_CHOICE}={code}") for code in codes]


_SPOKEN: ContextVar[Spoken] = ContextVar("spoken")  # of the request that is answered


def spoken() -> Spoken:
    """Return what the request at hand is answered in."""
    return _SPOKEN.get(Spoken(ENGLISH, "/"))


def in_its_language(app: ASGIApp) -> ASGIApp:
    """Return the application answering each request in the language of its reader.

    A language that is chosen is held by a cookie no script reads and no other site sends; it lets nobody in, and
    a page that is refused sets none.
    """

    async def answered(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await app(scope, receive, send)
            return
        query = parse_qsl(scope["query_string"].decode("ascii", "replace"), keep_blank_values=True)
        chosen = next((code for name, code in query if name == _CHOICE and code in known_languages()), "")
        code = chosen or _asked_for(Headers(scope=scope))

        async def sent(message: Message) -> None:
            if chosen and message["type"] == "http.response.start" and message["status"] < 400:
                held = f"{_COOKIE}={chosen}; HttpOnly; Path=/; SameSite=strict"
                MutableHeaders(scope=message).append("set-cookie", held)
            await send(message)

        before = _SPOKEN.set(Spoken(language_of(code).on("desk"), _address(scope, query)))
        try:
            await app(scope, receive, sent)
        finally:
            _SPOKEN.reset(before)

    return answered


def _address(scope: Scope, query: list[tuple[str, str]]) -> str:
    """Return where the page can be had again; one that came of a form sent elsewhere can't."""
    path = scope["path"]
    if scope["method"] != "GET" and not path.startswith(_OWN_FORMS):
        return "/"
    # From the root of this very desk: two slashes at the start would name another one.
    path = f"/{quote(path.lstrip('/'))}"
    rest = urlencode([(name, value) for name, value in query if name != _CHOICE])
    return f"{path}?{rest}" if rest else path


def _asked_for(headers: Headers) -> str:
    """Return what was chosen before, or the first that the browser names and we have: they name the best first."""
    try:
        cookies: SimpleCookie = SimpleCookie("; ".join(headers.getlist("cookie")))
    except CookieError:
        cookies = SimpleCookie()
    wanted = [cookies[_COOKIE].value] if _COOKIE in cookies else []
    asked = headers.get("accept-language", "").lower().split(",")[:_MOST_ASKED]
    wanted += [tag.strip().partition(";")[0].partition("-")[0] for tag in asked]
    return next((code for code in wanted if code in known_languages()), ENGLISH.code)
