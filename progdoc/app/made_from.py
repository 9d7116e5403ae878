"""What a set of documents follows from, in one digest: as long as that stays, nothing has to be made again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from progdoc.app.check import Checked
from progdoc.app.manifest import sha256
from progdoc.core.resources import made_by

__all__ = ["made_from"]


def made_from(
    checked: Checked,
    formats: Iterable[str],
    packs: Iterable[str],
    binder: bool = False,
    site: str | None = None,
    pdf_forms: bool = False,
) -> str:
    """Return the digest of description, look, day, formats, packs of rules, site and program.

    Parameters
    ----------
    checked
        What the documents are made of; it must have been understood.
    formats
        Of the program: md, html, docx, pdf.
    packs
        The SHA-256 of each file of the user's own rules: a pack counts by its words, not by its version.
    binder
        Whether everything comes bound, too.
    pdf_forms
        Whether the forms come as PDF, too.
    """
    beside = [repr(site)] if site is not None else []
    parts = [*_parts(checked, formats, packs, binder), *beside, *(["forms as PDF"] if pdf_forms else [])]
    return sha256("\n".join(parts).encode(errors="surrogatepass"))


def _parts(checked: Checked, formats: Iterable[str], packs: Iterable[str], binder: bool) -> Iterator[str]:
    yield made_by()
    yield repr(tuple(packs))
    yield checked.report.on.isoformat()
    yield repr((tuple(formats), binder))
    yield repr(checked.loaded.description.name)
    for name, data in sorted(checked.loaded.files.items()):
        yield f"{name!r} {sha256(data) if isinstance(data, bytes) else data!r}"
    yield repr((checked.worn.folder, sorted(checked.worn.checksums.items())))
