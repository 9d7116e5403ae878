"""Whatever is sent to the desk: no fault of progdoc, no broken description, nothing that a form did not ask.

Few examples on each change; many at night (`tests/nightly.sh`).
"""

from __future__ import annotations

import tempfile
from pathlib import Path
from shutil import copy
from urllib.parse import urlencode

from desk.browsing import Browser
from examples import examples
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from progdoc.app.answers_given import questions_answered
from progdoc.desk.shown import address_of

SHOP = Path("sample_config/small_shop/program.yaml")
UNASKED = "never-asked-for"
TRICKS = (
    "", " ", "yes", "no", "unknown", "-1", "1e999", "2026-02-30", "2026-03-01", "9" * 400, "x" * 40_000, "\0",
    "a\nb: c", "\ufeff", "\u202e", "\ud7ff", "]}", "{a: [", "# no", "&a *a", "!!python/object", "'\"\\", "{{ 7 * 7 }}",
    "{% x %}", "<script>alert(1)</script>", "../../etc/passwd", "nora", "Nora Quill", "half-mask", "sand-casts", "p100",
    "%00", "=1+1",
)  # fmt: skip
VALUES = st.one_of(st.sampled_from(TRICKS), st.text(max_size=30))
PLACES = (
    "people[0].name", "people[99].name", "people[0].medical[+].diagnosis", "tasks[+].id", "masks[-1].name", "format",
    "procedures", "program.title", "about", "taken-out", "seen", "again", "aside", "", "token+new",
    "hazards[0].exposure.kind",
)  # fmt: skip
KINDS = st.sampled_from(("", "samples", "unknown", "estimate", "silica-table-1", "nothing-known", "\0"))


def _begun() -> Browser:
    folder = Path(tempfile.mkdtemp())
    copy(SHOP, folder / "program.yaml")
    return Browser(folder / "program.yaml")


DESK = _begun()
SOUND = DESK.sitting.path.read_bytes()
QUESTIONS = tuple(address_of(question) for question, _ in questions_answered(DESK.sitting.checked()))


@examples(120, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_no_request_breaks_the_desk_or_the_description(data: st.DataObject) -> None:
    DESK.sitting.path.write_bytes(SOUND)
    DESK.sitting.done.clear()
    url = data.draw(st.sampled_from(QUESTIONS))
    url += data.draw(st.sampled_from(("", "&about=tasks.none", "&about=", "&" + urlencode({"kind:x": "\0"}))))
    if "level" in url:
        url += "&" + urlencode({"kind:hazards[0].exposure": data.draw(KINDS)})
    page = DESK.get(url)
    assert page.status in (200, 404)
    names = [name for name in page.names if name not in ("token", "seen")]
    sent: dict[str, object] = {**page.hidden}
    for name in data.draw(st.lists(st.sampled_from(names), max_size=6)) if names else ():
        sent[name] = data.draw(st.lists(VALUES, min_size=1, max_size=3))
    for name in data.draw(st.lists(st.sampled_from(PLACES), max_size=3)):
        if name not in names:
            sent[name] = data.draw(st.one_of(VALUES, st.just(UNASKED)))
    where = data.draw(st.sampled_from((url, url, url, url.replace("/ask/", "/try/"))))
    done = DESK.post(where, sent)
    assert done.status in (200, 403, 404, 409, 413, 422), (url, sent)
    assert "<script>alert" not in done.text and UNASKED not in DESK.sitting.path.read_text(encoding="utf-8")
    assert DESK.sitting.checked().judged is not None, (url, sent)
    if where != url or done.status != 200:
        assert DESK.sitting.path.read_bytes() == SOUND
    assert DESK.get("/").status == 200 and DESK.get(url).status in (200, 404)
