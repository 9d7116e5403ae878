"""The accepted fit test protocols of Appendix A, as `catalogue/tables/fit_protocols.yaml` lists them."""

from __future__ import annotations

from functools import cache
from typing import Any

import yaml

from progdoc.core.resources import catalogue_root

__all__ = ["Protocols", "fit_protocols", "is_quantitative"]

Protocols = dict[str, dict[str, Any]]


@cache
def fit_protocols() -> Protocols:
    """Return the protocols by id."""
    text = (catalogue_root() / "tables" / "fit_protocols.yaml").read_text(encoding="utf-8")
    return {entry["id"]: entry for entry in yaml.safe_load(text)["protocols"]}


def is_quantitative(protocol: str) -> bool:
    """Return whether a protocol gives a fit factor; False for a name that is no protocol."""
    found = fit_protocols().get(protocol)
    return found is not None and found["kind"] == "quantitative"
