"""The document tree as a Word document, on the styles of `templates/reference.docx`.

The text is built as strings of XML, and so is the package around it. Nothing in the file asks to be updated, runs or
fetches anything, and the same tree gives the same bytes.
"""

from __future__ import annotations

from progdoc.document.tree.nodes import Document
from progdoc.writers.docx.package import parts_of
from progdoc.writers.zip_bytes import stored_zip

__all__ = ["docx_bytes"]


def docx_bytes(document: Document) -> bytes:
    """Return the document as a .docx file.

    Parameters
    ----------
    document
        A tree that `references.resolved` has numbered.
    """
    return stored_zip(parts_of(document))
