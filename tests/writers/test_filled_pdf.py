"""A PDF that comes back filled in is read however it was saved; what can't be trusted is refused in words, and soon.

How files are put together is ISO 32000-1, 7.5 (tables, streams of objects, updates at the end), 7.9.2.2 (text strings)
and 12.7 (fields); qpdf (through pikepdf) and PDFium write them.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Mapping
from functools import cache
from io import BytesIO
from typing import Any

import pikepdf
import pypdfium2
import pytest
from calls import calls_in
from examples import examples
from hypothesis import example, given
from hypothesis import strategies as st
from programs.whole import judged_whole
from writers.pdf_fillers import filled_by_qpdf

from progdoc.document.papers.forms import made_forms
from progdoc.writers.form_error import FormError
from progdoc.writers.pdf import pdf_bytes
from progdoc.writers.pdf_form.filled_pdf import filled_pdf
from progdoc.writers.pdf_form.pdf_values import pdf_bytes_of, text_of, text_string, value_at

_WORDS = "Añil ł “x” (a\\b) 山 😷 \u202e"
_TEXTS = {"session/date": "2026-11-02", "wearers/1/name": _WORDS}


@cache
def _empty() -> bytes:
    form = next(form for form in made_forms(judged_whole("restoration_2026")) if form.name == "training")
    return pdf_bytes(form.document)


@cache
def _filling() -> dict[str, str]:
    with pikepdf.open(BytesIO(_empty())) as file:
        fields = list(file.Root.AcroForm.Fields)[1:]
        kinds = {str(field.T): str(field.FT) for field in fields}
        listed = {str(field.T): [str(choice) for choice in field.get("/Opt", [])] for field in fields}
    return {
        name: _WORDS if kind == "/Tx" else listed[name][-1] if listed[name] else "yes" for name, kind in kinds.items()
    }


def _wanted() -> dict[str, tuple[str, ...]]:
    return {name.replace("/", "."): (text.strip(),) for name, text in _filling().items()}


def _read(data: bytes) -> dict[str, tuple[str, ...]]:
    found = filled_pdf(data)
    found.pop("form.mark")
    return found


# ---- however it was saved -----------------------------------------------------------------------------

_MODES = pikepdf.ObjectStreamMode
SAVINGS: dict[str, dict[str, Any]] = {
    "plain": {"object_stream_mode": _MODES.disable, "compress_streams": False},
    "objects in streams": {"object_stream_mode": _MODES.generate, "compress_streams": True},
    "for the web": {"linearize": True, "object_stream_mode": _MODES.generate},
    "for the web, in tables": {"linearize": True, "object_stream_mode": _MODES.disable},
    "laid out": {"qdf": True},
    "an older version": {"force_version": "1.4"},
}


@pytest.mark.parametrize("saving", SAVINGS)
def test_it_is_read_however_qpdf_saves_it(saving: str) -> None:
    assert _read(filled_by_qpdf(_empty(), _filling(), **SAVINGS[saving])) == _wanted()


def test_it_is_read_when_changes_are_only_added_at_the_end() -> None:
    """PDFium adds what changed behind the file (7.5.6), behind tables and behind streams."""
    for saving in ("plain", "objects in streams"):
        first = filled_by_qpdf(_empty(), _filling(), **SAVINGS[saving])
        file = pypdfium2.PdfDocument(first)
        file.new_page(200, 200)
        added = BytesIO()
        file.save(added, flags=1)  # FPDF_INCREMENTAL
        assert len(added.getvalue()) > len(first)
        assert _read(added.getvalue()) == _wanted()


def test_other_bytes_may_stand_before_its_head() -> None:
    assert _read(b"\x00\r\nmail\r\n" + filled_by_qpdf(_empty(), _filling())) == _wanted()


@examples(60)
@given(st.text(st.characters(exclude_categories=("Cs",)), max_size=60))
@example("\x1f")  # which means another sign in the encoding of old files
def test_any_text_is_read_as_it_was_written(text: str) -> None:
    data = _small({"a": text, "b": ""})
    assert filled_pdf(data) == {"a": (text.strip(),), "b": ("",)}
    written = pdf_bytes_of([text_string(text)])
    assert value_at(written, 0, len(written)) == ([text_string(text)], len(written))
    assert str(pikepdf.Object.parse(written)[0]) == text


def test_letters_of_the_old_encoding_are_read_as_qpdf_reads_them() -> None:
    for sign in range(256):
        try:
            letter = bytes([sign]).decode("pdfdoc")  # a codec of pikepdf
        except UnicodeDecodeError:
            continue  # no sign has this number
        assert text_of(bytes([sign])) == letter, sign


def test_fields_in_each_other_are_called_by_all_their_names() -> None:
    with pikepdf.new() as file:
        inner = file.make_indirect(pikepdf.Dictionary(T="name", V="Jo", Parent=None))
        line = file.make_indirect(pikepdf.Dictionary(T="1", FT=pikepdf.Name.Tx, Kids=[inner]))
        outer = file.make_indirect(pikepdf.Dictionary(T="wearers", Kids=[line]))
        file.Root.AcroForm = pikepdf.Dictionary(Fields=[outer])
        assert filled_pdf(_saved(file)) == {"wearers.1.name": ("Jo",)}


@pytest.mark.parametrize(
    ("value", "shown", "told"),
    [
        ("Yes", "Yes", ("yes",)),
        ("On", "On", ("yes",)),
        ("Off", "Off", ("",)),
        (None, "Off", ("",)),
        (None, "Yes", ("yes",)),
        ("Yes", None, ("yes",)),
        ("Off", "Yes", ("", "yes")),
        ("Yes", "Off", ("yes", "")),
    ],
)
def test_a_box_that_shows_another_thing_than_it_says_is_told_with_both(
    value: str | None, shown: str | None, told: tuple[str, ...]
) -> None:
    box = {"T": pikepdf.String("a"), "FT": pikepdf.Name.Btn}
    box |= {"V": pikepdf.Name(f"/{value}")} if value else {}
    box |= {"AS": pikepdf.Name(f"/{shown}")} if shown else {}
    assert filled_pdf(_with_fields(box)) == {"a": told}


def test_of_several_choices_the_one_that_is_meant_and_shown_is_told() -> None:
    def chosen(value: str, *shown: str) -> tuple[str, ...]:
        places = [pikepdf.Dictionary(AS=pikepdf.Name(f"/{state}")) for state in shown]
        group = {"T": pikepdf.String("a"), "FT": pikepdf.Name.Btn, "Ff": 1 << 15, "Kids": pikepdf.Array(places)}
        group |= {"Opt": pikepdf.Array(["pass", "fail"]), "V": pikepdf.Name(f"/{value}")}
        return filled_pdf(_with_fields(group))["a"]

    assert chosen("1", "Off", "1") == ("fail",)
    assert chosen("Off", "Off", "Off") == ("",)
    assert chosen("0", "Off", "1") == ("pass", "fail")
    assert chosen("1", "Off", "Off") == ("fail", "")


# ---- what is refused ----------------------------------------------------------------------------------


def _saved(file: pikepdf.Pdf, **saving: Any) -> bytes:
    saved = BytesIO()
    file.save(saved, **saving)
    return saved.getvalue()


def _with_fields(*fields: Mapping[str, Any], **form: Any) -> bytes:
    with pikepdf.new() as file:
        listed = [
            file.make_indirect(pikepdf.Dictionary({f"/{name}": one for name, one in field.items()})) for field in fields
        ]
        file.Root.AcroForm = pikepdf.Dictionary(Fields=listed, **form)
        return _saved(file)


def _small(texts: Mapping[str, str]) -> bytes:
    fields = (
        {"T": pikepdf.String(name), "FT": pikepdf.Name.Tx, "V": pikepdf.String(text)} for name, text in texts.items()
    )
    return _with_fields(*fields)


def _locked(**how: Any) -> bytes:
    with pikepdf.open(BytesIO(_empty())) as file:
        return _saved(file, encryption=pikepdf.Encryption(owner="o", **how))


def _signed(**field: Any) -> bytes:
    return _with_fields({"T": pikepdf.String("s"), "FT": pikepdf.Name.Sig, **field})


def _raw(*objects: bytes, trailer: bytes = b"/Root 1 0 R", head: bytes = b"%PDF-1.7\n") -> bytes:
    """Return a file with objects 1, 2, 3 … as they are written here, and a table of them."""
    parts, table, at = [head], [b"0000000000 65535 f \n"], len(head)
    for number, text in enumerate(objects, 1):
        parts.append(b"%d 0 obj\n%b\nendobj\n" % (number, text))
        table.append(b"%010d 00000 n \n" % at)
        at += len(parts[-1])
    parts += [
        b"xref\n0 %d\n" % len(table),
        *table,
        b"trailer\n<</Size %d%b>>\nstartxref\n%d\n%%%%EOF\n" % (len(table), trailer, at),
    ]
    return b"".join(parts)


def _stream(text: bytes, entries: bytes = b"") -> bytes:
    packed = zlib.compress(text)
    return b"<</Filter/FlateDecode/Length %d%b>>\nstream\n%b\nendstream" % (len(packed), entries, packed)


_FORM = b"<</AcroForm<</Fields[2 0 R]>>>>"
_TWICE_PACKED = _stream(zlib.compress(bytes(100_000_000)), b"/Filter[/FlateDecode/FlateDecode]").replace(
    b"/Filter/FlateDecode", b"", 1
)


def _cases() -> Iterator[tuple[str, bytes]]:
    yield "locked", _locked(user="u")
    yield "locked", _locked(user="", R=6)
    yield "locked", _locked(user="", R=4)
    yield "signed", _signed(V=pikepdf.Dictionary(Type=pikepdf.Name.Sig))
    yield "signed", _with_fields({"T": pikepdf.String("a"), "FT": pikepdf.Name.Tx}, SigFlags=3)
    yield "no PDF", b"a note"
    yield "damaged", b"%PDF-1.7\n"
    for share in (0.2, 0.5, 0.9, 0.99):
        yield "damaged", _empty()[: int(len(_empty()) * share)]
    yield "damaged", _raw(_FORM, b"[" * 100_000)
    yield "damaged", _raw(_FORM, b"<</T(a)/FT/Tx/V " + b"<</A " * 5_000)
    yield "damaged", _raw(_FORM, b"<</T(a)/Kids[3 0 R]>>", b"<</T(b)/Kids[2 0 R]>>")
    yield "damaged", _raw(_FORM, b"3 0 R", b"2 0 R")
    yield "damaged", _raw(_FORM, b"<</T(a)/FT/Tx/V 3 0 R>>", b"<</Length 3 0 R>>\nstream\nx\nendstream")
    yield "damaged", _raw(_FORM, b"<</T(a)/FT/Tx/V 3 0 R>>", b"<</Length 900>>\nstream\nx\nendstream")
    yield "damaged", _raw(_FORM, b"<</T(a)/FT/Tx/V 1e9>>")
    yield "damaged", _raw(_FORM, b"<</T<6x>/FT/Tx>>")
    yield "damaged", _raw(_FORM, b"<<7 8>>")
    yield "damaged", _raw(_FORM, b"]")
    yield "damaged", _raw(_FORM, b"(a").replace(b"%%EOF", b"")
    yield "damaged", _raw(_FORM, b"<<>>").replace(b"2 0 obj", b"7 0 obj")
    yield "damaged", _raw(_FORM, b"<<>>").replace(b" n \n", b" ? \n")
    yield "damaged", _raw(_FORM, b"<<>>", trailer=b"/Prev 99999999/Root 1 0 R")
    yield "damaged", _raw(b"<</AcroForm<</Fields[" + b"<</T(a)>>" * 30_000 + b"]>>>>")
    of_the_next = (b"<</Length %d 0 R>>\nstream\nx\nendstream" % number for number in range(3, 3_000))
    yield "damaged", _raw(_FORM, *of_the_next)
    yield "damaged", _raw(_FORM, b"[" + b"1 " * 200_000 + b"]")
    yield "damaged", _raw(_FORM, b"<</T(" + b"\\n" * 200_000 + b")/FT/Tx>>")
    yield "packed", _raw(_FORM, b"<</T(a)/FT/Tx/V 3 0 R>>", _stream(b"x").replace(b"FlateDecode", b"LZWDecode"))
    yield "more in it", _raw(_FORM, b"<</T(a)/FT/Tx/V 3 0 R>>", _stream(bytes(30_000_000)))
    yield "more in it", _raw(_FORM, b"<</T(a)/FT/Tx/V 3 0 R>>", _TWICE_PACKED)


def test_what_cannot_be_read_is_refused_in_words() -> None:
    for number, (told, data) in enumerate(_cases()):
        try:
            found: Any = filled_pdf(data)
        except FormError as error:
            found = str(error)
        assert told in found, (number, told, found)


def test_a_chain_of_tables_that_ends_in_itself_ends() -> None:
    text = _raw(_FORM, b"<</T(a)/FT/Tx/V(b)>>")
    at = text[: text.rindex(b"startxref")].rindex(b"xref\n")
    assert filled_pdf(text.replace(b"trailer\n<<", b"trailer\n<</Prev %d" % at)) == {"a": ("b",)}


def test_ever_so_many_parts_that_share_one_long_end_cost_no_more_than_a_few(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each part begins in the comment of the one before, so that each goes on to the same end: what is read has one."""
    monkeypatch.setattr("progdoc.writers.pdf_form.filled_pdf.MOST_READ", 100_000)

    def calls(count: int) -> int:
        heads = [b"%d 0 obj%%" % number for number in range(2, count + 2)]
        listed = b"".join(b"%d 0 R " % number for number in range(2, count + 2))
        form = b"1 0 obj\n<</AcroForm<</Fields[%b]>>>>\nendobj\n" % listed
        body = b"%PDF-1.7\n" + form + b"".join(heads) + b"\n[" + b"1 " * 2_000 + b"]\nendobj\n"
        places = [len(b"%PDF-1.7\n"), *(body.index(head) for head in heads)]
        table = b"".join(b"%010d 00000 n \n" % place for place in places)
        data = body + b"xref\n1 %d\n%btrailer\n<</Root 1 0 R>>\nstartxref\n%d\n" % (count + 1, table, len(body))

        def refused() -> None:
            with pytest.raises(FormError, match=r"more in it|too early"):
                filled_pdf(data)

        return calls_in(refused)

    assert calls(600) < 2 * calls(60)


@examples(240)
@given(data=st.data())
def test_a_broken_file_is_read_or_refused(data: st.DataObject) -> None:
    sound = data.draw(st.sampled_from([_in_tables(), _in_streams()]))
    broken = bytearray(sound)
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(broken) - 1))
        match data.draw(st.sampled_from(["change", "cut", "repeat"])):
            case "change":
                broken[at] = data.draw(st.integers(0, 255))
            case "cut":
                del broken[at : at + data.draw(st.integers(1, 400))]
            case "repeat":
                broken[at:at] = broken[at : at + data.draw(st.integers(1, 400))]
        if not broken:
            return
    try:
        found = filled_pdf(bytes(broken))
    except FormError as error:
        assert str(error).isprintable()
    else:
        assert all(isinstance(text, str) for said in found.values() for text in said)


@cache
def _in_tables() -> bytes:
    return _small({f"field/{n}": _WORDS for n in range(9)})


@cache
def _in_streams() -> bytes:
    with pikepdf.open(BytesIO(_in_tables())) as file:
        return _saved(file, **SAVINGS["objects in streams"])
