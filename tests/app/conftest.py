"""What is issued once for all tests of the use cases."""

from __future__ import annotations

import pytest
from comparison.trial import AS_OF, base, written

from progdoc.app.disk.issued_folder import Issued, issue


@pytest.fixture(scope="session")
def base_issued(tmp_path_factory: pytest.TempPathFactory) -> Issued:
    """The base program, issued into `issued/` beside its `program.yaml`. Who goes on from it copies that folder."""
    home = tmp_path_factory.mktemp("base-issued")
    result = issue(written(base(), home / "program.yaml"), home / "issued", AS_OF)
    assert isinstance(result, Issued), result
    return result
