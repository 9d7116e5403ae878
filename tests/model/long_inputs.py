"""Descriptions of any length, for the tests that count the work and the benchmarks that time it."""

from __future__ import annotations

__all__ = ["people_table", "roster"]


def people_table(count: int) -> str:
    """Return a table of people as a spreadsheet saves it."""
    row = "half-mask,M,2026-02-03,cleared,2026-02-17,saccharin,yes,pass,2026-02-17,all,yes"
    head = (
        "id,name,mask,size,medical_date,medical_recommendation,fit_date,fit_protocol,fit_screened,fit_result,"
        "training_date,training_topics,training_knowledge_shown\n"
    )
    return head + "".join(f"p{n},Person {n},{row}\n" for n in range(count))


def roster(count: int) -> str:
    """Return a list of people in YAML."""
    return "people:\n" + "".join(
        f"- id: p-{n}\n  name: Person {n}\n  fit_tests:\n  - date: 2026-01-05\n    factor: 120\n" for n in range(count)
    )
