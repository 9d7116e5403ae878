"""Prints cards to cut out on a page: each with its words and a QR code (ISO/IEC 18004) of the same as plain text.

No address stands in a code, so that reading one opens nothing and asks nobody.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from html import escape

from progdoc.document.papers.labels import Label, LabelKind

__all__ = ["label_sheet"]

_POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"
_QUIET = 4  # light modules around a code, which its standard asks for
_MOST_LETTERS = 400  # in a code of this size, to be read with a telephone; what is more stands on the card alone


def label_sheet(labels: Iterable[Label], organisation: str, paper: str, is_draft: bool) -> bytes:
    """Return a page with the cards, by kind.

    Parameters
    ----------
    paper
        "Letter" or "A4".
    is_draft
        Whether the program they were made from is open.
    """
    of_kind: dict[LabelKind, list[Label]] = {kind: [] for kind in LabelKind}
    for label in labels:
        of_kind[label.kind].append(label)
    size = "A4" if paper == "A4" else "letter"
    parts = [
        "<!DOCTYPE html>",
        '<html lang="en-US">',
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f'<meta http-equiv="Content-Security-Policy" content="{escape(_POLICY)}">',
        f"<title>{escape(f'Cards and labels – {organisation}', quote=False)}</title>",
        f"<style>\n@page {{ size: {size}; }}\n{_stylesheet()}</style>",
        "</head>",
        "<body>",
        "<main>",
        "<h1>Cards and labels</h1>",
        "<p>Print at full size on stiff paper or labels and cut along the lines. The code beside each holds the same"
        " words. A card permits nothing: the officer’s list says who may do what.</p>",
        *(["<p><strong>DRAFT: the program they were made from has open points.</strong></p>"] if is_draft else []),
        *(_part(kind, cards, organisation) for kind, cards in of_kind.items() if cards),
        "</main>",
        "</body>",
        "</html>",
    ]
    return ("\n".join(parts) + "\n").encode()


def _part(kind: LabelKind, labels: list[Label], organisation: str) -> str:
    cards = "\n".join(_card(label, organisation) for label in labels)
    return f'<h2>{kind.value}</h2>\n<div class="cards">\n{cards}\n</div>'


def _card(label: Label, organisation: str) -> str:
    told = "".join(f"<p>{escape(line, quote=False)}</p>" for line in label.lines)
    hand = "".join(f'<p class="hand">{escape(line, quote=False)}</p>' for line in label.by_hand)
    title = escape(label.title, quote=False)
    return (
        f'<article id="{escape(label.id)}"><div class="told"><p class="firm">{escape(organisation, quote=False)}</p>'
        f"<h3>{title}</h3>{told}{hand}</div>{_code(label.plain_text)}</article>"
    )


def _code(text: str) -> str:
    """Return a code as a drawing of squares."""
    import segno

    code = segno.make_qr(text[:_MOST_LETTERS], error="m", encoding="utf-8" if not text.isascii() else None)
    rows = [bytes(row) for row in code.matrix]
    side = len(rows) + 2 * _QUIET
    squares = "".join(
        f"M{x + _QUIET} {y + _QUIET}h1v1h-1z" for y, row in enumerate(rows) for x, dark in enumerate(row) if dark
    )
    return (
        f'<svg viewBox="0 0 {side} {side}" role="img" aria-label="The same words as a QR code">'
        f'<path fill="#fff" d="M0 0h{side}v{side}h-{side}z"/><path d="{squares}"/></svg>'
    )


@cache
def _stylesheet() -> str:
    from progdoc.core.resources import templates_root

    return (templates_root() / "labels.css").read_text(encoding="utf-8")
