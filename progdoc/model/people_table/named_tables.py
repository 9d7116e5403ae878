"""Which tables a description names for its people. They are read by `people_tables`, which only then is loaded."""

from __future__ import annotations

from pathlib import PurePath

from progdoc.model.yaml.yaml_reader import Description

__all__ = ["is_beside", "is_workbook", "settings_of", "tables_named_in"]

_WORKBOOKS = (".xlsx", ".xlsm")


def tables_named_in(description: Description) -> tuple[str, ...]:
    """Return the names of the tables beside the description that hold its people and their records."""
    settings = settings_of(description)
    if settings is None:
        return ()
    also = settings.get("also")
    named = [settings.get("csv"), settings.get("xlsx"), *(also if isinstance(also, list) else [also])]
    names = (name.strip() for name in named if isinstance(name, str))
    return tuple(dict.fromkeys(name for name in names if is_beside(name)))


def settings_of(description: Description) -> dict[str, object] | None:
    """Return what stands in place of a list of people; the name of a file alone says where the table is."""
    mapped = description.values.get("people")
    if isinstance(mapped, str) and PurePath(mapped).suffix.lower() in (".csv", *_WORKBOOKS):
        return {"xlsx" if is_workbook(mapped) else "csv": mapped}
    return dict(mapped) if isinstance(mapped, dict) else None


def is_beside(name: str) -> bool:
    """Whether a table lies beside the description, in no other folder."""
    return PurePath(name).name == name


def is_workbook(name: str) -> bool:
    return PurePath(name).suffix.lower() in _WORKBOOKS
