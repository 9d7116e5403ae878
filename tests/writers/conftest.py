"""What is started once for all tests of the writers."""

from __future__ import annotations

import pytest
from writers.libreoffice import LibreOffice


@pytest.fixture(scope="session")
def office(tmp_path_factory: pytest.TempPathFactory) -> LibreOffice:
    return LibreOffice(tmp_path_factory.mktemp("office"))
