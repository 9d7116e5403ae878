"""A Word file that somebody hands in may be cut off, damaged or no Word file: that is told, and no fault of ours."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from zipfile import ZIP_BZIP2, ZIP_DEFLATED, ZIP_LZMA, ZIP_STORED, ZipFile

import pytest

from progdoc.writers.docx.filled_controls import filled_controls
from progdoc.writers.docx.own_reference import StylesError, own_reference
from progdoc.writers.form_error import FormError

READERS = [filled_controls, own_reference]


def packed(method: int) -> bytes:
    target = BytesIO()
    with ZipFile(target, "w", method) as archive:
        archive.writestr("word/document.xml", "<a>words of a form</a>" * 200)
    return target.getvalue()


def turned(data: bytes, at: int) -> bytes:
    return bytes(byte ^ 0x5A if at <= n < at + 8 else byte for n, byte in enumerate(data))


DAMAGED = [
    *(turned(packed(method), at) for method in (ZIP_STORED, ZIP_DEFLATED) for at in (0, 8, 30, 50, 60)),
    *(packed(method) for method in (ZIP_BZIP2, ZIP_LZMA)),
    packed(ZIP_DEFLATED)[:60],
    b"PK\x03\x04",
    b"",
]


@pytest.mark.parametrize("read", READERS, ids=["form", "styles"])
@pytest.mark.parametrize("data", DAMAGED, ids=range(len(DAMAGED)))
def test_whatever_is_wrong_with_a_word_file_is_told(data: bytes, read: Callable[[bytes], object]) -> None:
    with pytest.raises((FormError, StylesError)):
        read(data)
