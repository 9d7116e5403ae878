"""A browser without a window: sends requests to a desk in this process, and reads its forms as they are sent back."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Coroutine, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import date
from html import unescape
from pathlib import Path
from typing import Any

import httpx

from progdoc.desk.guard import Door
from progdoc.desk.pages import desk_application
from progdoc.desk.phone import Code
from progdoc.desk.session import Sitting

ADDRESS = "127.0.0.1:8431"
DAY = date(2026, 6, 1)

_FIELD = re.compile(r"<(?:input|button|textarea|select)\b[^>]*>")
_PART = re.compile(r'([a-z]+)="([^"]*)"')


@dataclass
class Page:
    """What came back: where from, its status, its text."""

    url: str
    status: int
    text: str
    headers: Mapping[str, str] = field(default_factory=dict)
    content: bytes = b""

    @property
    def fields(self) -> list[dict[str, str]]:
        """The fields of its main form, in order."""
        main = self.text.partition("<main")[2].partition("</main>")[0]
        tags = _FIELD.findall(main)
        marks = [{"checked": ""} if tag.endswith((" checked>", ' checked="">')) else {} for tag in tags]
        parts = [{name: unescape(value) for name, value in _PART.findall(tag)} for tag in tags]
        return [part | mark for part, mark in zip(parts, marks, strict=True)]

    @property
    def hidden(self) -> dict[str, list[str]]:
        """What its form sends when nobody touches it: the blanks of ticks, what is ticked and what is typed."""
        found: dict[str, list[str]] = {}
        for one in self.fields:
            is_sent = one.get("type") in ("hidden", "text", "date") or "checked" in one
            if is_sent and "name" in one:
                found.setdefault(one["name"], []).append(one.get("value", ""))
        return found

    @property
    def names(self) -> list[str]:
        return list(dict.fromkeys(one["name"] for one in self.fields if "name" in one))

    @property
    def links(self) -> list[str]:
        return [unescape(link) for link in re.findall(r'href="([^"]+)"', self.text)]


class Browser:
    """Somebody at the desk of a description."""

    code: Code  # of a phone
    codes: list[str]  # that were shown for one

    def __init__(self, path: Path, into: Path | None = None) -> None:
        self.door = Door(ADDRESS)
        self.sitting = Sitting(path, lambda: DAY, into or path.with_name(f"{path.stem}-issued"))
        self.app = desk_application(self.sitting, self.door)
        self.cookies: dict[str, str] = {}
        self.get(self.door.first_address)

    def get(self, url: str, **headers: str) -> Page:
        return self.send("GET", url, headers=headers)

    def post(self, url: str, data: Mapping[str, object], **headers: str) -> Page:
        return self.send("POST", url, data, {"origin": self.door.origin, **headers})

    def fill(self, url: str, data: Mapping[str, object]) -> Page:
        """Fill in the form at an address and send it."""
        return self.post(url, {**self.get(url).hidden, **data})

    def send(
        self,
        method: str,
        url: str,
        data: Mapping[str, object] | None = None,
        headers: Mapping[str, str] | None = None,
        files: Mapping[str, tuple[str, bytes]] | None = None,
    ) -> Page:
        async def sent(
            method: str, url: str, data: Mapping[str, object] | None, files: object = None
        ) -> httpx.Response:
            transport = httpx.ASGITransport(app=self.app)
            held = {"cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
            async with httpx.AsyncClient(transport=transport, base_url=self.door.origin) as client:
                return await client.request(method, url, data=data, files=files, headers={**held, **(headers or {})})

        answer = _awaited(sent(method, url, data, files))
        while answer.has_redirect_location:
            self.cookies |= dict(answer.cookies)
            answer = _awaited(sent("GET", answer.headers["location"], None))
        return Page(
            str(answer.url).removeprefix(self.door.origin),
            answer.status_code,
            answer.text,
            answer.headers,
            answer.content,
        )


def _awaited(coming: Coroutine[Any, Any, httpx.Response]) -> httpx.Response:
    """Wait in a thread of its own: the one of the tests may have a real browser waiting in it."""
    with ThreadPoolExecutor(1) as beside:
        return beside.submit(asyncio.run, coming).result()
