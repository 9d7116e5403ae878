"""Why nothing can be read from a file that comes back filled in, in words; and how large such a file may be."""

from progdoc.core.errors import ProgdocError

__all__ = ["MOST_FORM_BYTES", "FormError"]

MOST_FORM_BYTES = 30_000_000


class FormError(ProgdocError):
    """Why nothing can be read from a file."""
