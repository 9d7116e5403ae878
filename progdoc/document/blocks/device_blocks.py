"""Single devices: counts alone for the program; the whole register and its records for the restricted annex."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from progdoc.core.numbers import long_date, stated_text
from progdoc.core.said import said, said_choice, said_join
from progdoc.document.blocks.record_blocks import ANSWER
from progdoc.document.tree.nodes import Block, Column, Row, Table
from progdoc.document.tree.spoken_text import text_cell
from progdoc.model.description.devices import Cylinder, SpareCylinder, Unit, Withdrawn
from progdoc.model.description.masks import Mask
from progdoc.model.description.words import as_printed, label_of
from progdoc.rules.judged.result import Judged

__all__ = ["device_blocks", "device_table", "register_tables"]

_PASSED = {True: said("passed"), False: said("not passed"), None: said("result not recorded")}


def device_blocks(judged: Judged) -> dict[str, tuple[Block, ...]]:
    """Return "devices" and "filter-stock", as the program prints them: how many, where and until when, no numbers."""
    posts = ((said("Post"), 3), (said("Masks there"), 6), (said("Worn at once"), 2))
    spares = ((said("Where"), 4), (said("Cylinders"), 2), (said("Next test"), 3))
    stock = (
        (said("Filter or cartridge"), 4),
        (said("Lot"), 2),
        (said("Pieces"), 2),
        (said("Use by"), 3),
        (said("Where"), 4),
    )
    return {
        "devices": (
            *_table("devices.posts", said("Masks at posts and vehicles"), posts, _posts(judged)),
            *_table("devices.spares", said("Air cylinders in reserve"), spares, _spares(judged)),
        ),
        "filter-stock": _table("filters.stock", said("In stock"), stock, _stock(judged)),
    }


def _table(identity: str, caption: str, columns: Iterable[tuple[str, int]], rows: Iterable[Row]) -> tuple[Block, ...]:
    filled = tuple(rows)
    return (Table(identity, caption, tuple(Column(*one) for one in columns), filled),) if filled else ()


def _row(identity: str, cells: Iterable[str]) -> Row:
    return Row(identity, tuple(text_cell(words or "–") for words in cells))


def _pieces(judged: Judged, elsewhere: frozenset[str] = frozenset()) -> Iterator[tuple[Mask, Unit]]:
    for _, mask in judged.index.masks.values():
        if f"masks.{mask.id}" not in elsewhere:
            yield from ((mask, unit) for unit in mask.units)


def _is_gone(gone: Withdrawn | None, day: date) -> bool:
    return gone is not None and gone.since <= day


def _posts(judged: Judged) -> Iterator[Row]:
    for post in judged.description.posts:
        counted: dict[str, int] = {}
        for mask, unit in _pieces(judged):
            if unit.post == post.id and not _is_gone(unit.withdrawn, judged.as_of):
                counted[label_of(mask)] = counted.get(label_of(mask), 0) + 1
        there = said_join(
            (said("%(count)s × %(name)s", count=count, name=name) for name, count in counted.items()), ", "
        )
        at_once = "" if post.at_once is None else stated_text(post.at_once)
        yield _row(f"devices.posts.{post.id}", (label_of(post), there or said("none"), at_once))


def _spares(judged: Judged) -> Iterator[Row]:
    names = {post.id: label_of(post) for post in judged.description.posts}
    found: dict[str, list[SpareCylinder]] = {}
    for spare in judged.description.cylinders:
        if not _is_gone(spare.withdrawn, judged.as_of):
            found.setdefault(names.get(spare.post or "", spare.place or said("not said")), []).append(spare)
    for n, (where, spares) in enumerate(found.items(), 1):
        days = [one.requalify_by for one in spares if one.requalify_by is not None]
        yield _row(f"devices.spares.{n}", (where, str(len(spares)), long_date(min(days)) if days else said("not said")))


def _stock(judged: Judged) -> Iterator[Row]:
    for _, part in judged.index.filters.values():
        for n, lot in enumerate(part.stock, 1):
            pieces = "" if lot.pieces is None else stated_text(lot.pieces)
            until = long_date(lot.use_by) if lot.use_by else ""
            yield _row(f"filters.stock.{part.id}.{n}", (label_of(part), lot.lot, pieces, until, lot.place or ""))


# ---- the register, restricted ---------------------------------------------------------------------------


def register_tables(judged: Judged, elsewhere: frozenset[str] = frozenset()) -> tuple[Block, ...]:
    """Return posts with people, pieces with numbers and lives, and all cylinders; none where nobody keeps it.

    `elsewhere`: people and masks, as subjects, that belong to other sites alone, and are left out.
    """
    posts = ((said("Post"), 3), (said("People"), 6), (said("Worn at once"), 2), (said("Cleaned in between"), 2))
    pieces = (
        (said("Mask"), 3),
        (said("Inventory"), 2),
        (said("Post"), 2),
        (said("Bought"), 2),
        (said("Last days"), 3),
        (said("Tests, repairs, withdrawal"), 6),
    )
    cylinders = (
        (said("Cylinder"), 2),
        (said("Inventory"), 2),
        (said("Where"), 3),
        (said("Material, pressure"), 3),
        (said("Tested"), 3),
        (said("Last day, records"), 4),
    )
    return (
        *_table("register.posts", said("Posts and vehicles"), posts, _post_rows(judged, elsewhere)),
        *_table("register.pieces", said("Register of single masks"), pieces, _piece_rows(judged, elsewhere)),
        *_table("register.cylinders", said("Register of air cylinders"), cylinders, _cylinder_rows(judged, elsewhere)),
    )


def _post_rows(judged: Judged, elsewhere: frozenset[str]) -> Iterator[Row]:
    for post in judged.description.posts:
        there = [person for person in post.people if f"people.{person}" not in elsewhere]
        if post.people and not there:
            continue
        people = said_join((label_of(judged.index.people[person][1]) for person in there), ", ")
        at_once = "" if post.at_once is None else stated_text(post.at_once)
        yield _row(f"register.posts.{post.id}", (label_of(post), people, at_once, ANSWER[post.cleaned_between]))


def _post_name(judged: Judged, post: str | None) -> str:
    return next((label_of(one) for one in judged.description.posts if one.id == post), "")


def _piece_rows(judged: Judged, elsewhere: frozenset[str]) -> Iterator[Row]:
    for mask, unit in _pieces(judged, elsewhere):
        told = (*_life(unit), *_events(unit))
        if not (told or unit.inventory or unit.post or unit.purchased):
            continue  # of such a piece the inspections stand in a table of their own
        bought = long_date(unit.purchased) if unit.purchased else ""
        cells = (
            unit.inventory or "",
            _post_name(judged, unit.post),
            bought,
            said_join(_life(unit), "; "),
            said_join(_events(unit), "; "),
        )
        yield _row(
            f"register.pieces.{mask.id}.{unit.id}",
            (said("%(mask)s %(serial)s", mask=label_of(mask), serial=unit.serial or unit.id), *cells),
        )


def _life(unit: Unit) -> Iterator[str]:
    if unit.end_of_life is not None:
        yield said("itself %(end_of_life)s", end_of_life=long_date(unit.end_of_life))
    if unit.use_by is not None:
        yield said("its cartridge %(use_by)s", use_by=long_date(unit.use_by))


def _events(unit: Unit) -> Iterator[str]:
    for test in sorted(unit.flow_tests, key=lambda one: one.date, reverse=True):
        by = said(" by %(by)s", by=test.by) if test.by else ""
        yield said(
            "flow test %(date)s%(by)s, %(passed)s", date=long_date(test.date), by=by, passed=_PASSED[test.passed]
        )
    for repair in sorted(unit.repairs, key=lambda one: one.since, reverse=True):
        done = said(", done %(done)s", done=long_date(repair.done)) if repair.done else said(", not done")
        tested = said(", tested %(tested)s", tested=long_date(repair.tested)) if repair.tested else ""
        by = said(" by %(by)s", by=repair.by) if repair.by else ""
        trained = said(", trained: %(answer)s", answer=ANSWER[repair.trained])
        yield said(
            "repair %(since)s%(by)s: %(what)s%(trained)s%(done)s%(tested)s",
            since=long_date(repair.since),
            by=by,
            what=repair.what,
            trained=trained,
            done=done,
            tested=tested,
        )
    yield from _withdrawn(unit.withdrawn)


def _withdrawn(gone: Withdrawn | None) -> Iterator[str]:
    if gone is not None:
        yield said("withdrawn %(since)s: %(because)s", since=long_date(gone.since), because=gone.because)


def _cylinder_rows(judged: Judged, elsewhere: frozenset[str]) -> Iterator[Row]:
    for mask, unit in _pieces(judged, elsewhere):
        if (held := unit.cylinder) is not None and (held.inventory or held.material or held.rated or held.end_of_life):
            where = said("on %(mask)s %(serial)s", mask=label_of(mask), serial=unit.serial or unit.id)
            yield _cylinder_row(f"register.cylinders.{mask.id}.{unit.id}", held, where, ())
    for spare in judged.description.cylinders:
        if spare.masks and all(f"masks.{one}" in elsewhere for one in spare.masks):
            continue
        fits = said_join((label_of(judged.index.masks[one][1]) for one in spare.masks), ", ")
        places = (_post_name(judged, spare.post), spare.place or "", said("for %(fits)s", fits=fits) if fits else "")
        where = said_join((said("in reserve"), *filter(None, places)), "; ")
        yield _cylinder_row(
            f"register.cylinders.{spare.id}", spare, where, (*_looks(spare), *_withdrawn(spare.withdrawn))
        )


def _looks(spare: SpareCylinder) -> Iterator[str]:
    for one in sorted(spare.inspections, key=lambda entry: entry.date, reverse=True):
        told = (
            one.by,
            as_printed(one.result) if one.result else "",
            one.pressure.printed if one.pressure else "",
            one.gauge.printed if one.gauge else "",
            one.findings,
            said("remedy: %(remedy)s", remedy=one.remedy) if one.remedy else "",
        )
        yield said(
            "%(date)s: %(told)s",
            date=long_date(one.date),
            told=said_join((part for part in told if part), ", ") or said("inspected"),
        )


def _cylinder_row(identity: str, held: Cylinder, where: str, records: Iterable[str]) -> Row:
    made = (said_choice(held.material) if held.material else "", held.rated.printed if held.rated else "")
    again = said("again by %(day)s", day=long_date(held.requalify_by)) if held.requalify_by else ""
    tested = (long_date(held.requalified) if held.requalified else "", again)
    bought = said("bought %(purchased)s", purchased=long_date(held.purchased)) if held.purchased else ""
    end = said("last day %(end_of_life)s", end_of_life=long_date(held.end_of_life)) if held.end_of_life else ""
    cells = (held.serial or held.id, held.inventory or "", where, said_join(filter(None, made), ", "))
    return _row(
        identity,
        (*cells, said_join(filter(None, tested), "; "), said_join(filter(None, (bought, end, *records)), "; ")),
    )


def device_table(judged: Judged, elsewhere: frozenset[str] = frozenset()) -> Table:
    """Return single masks with their inspections and cylinders: who looked, what was found, what had to be done.

    `elsewhere`: masks, as subjects, that are worn at other sites alone, and are left out.
    """
    rows = tuple(
        Row(
            f"devices.{mask.id}.{unit.id}.{n}",
            tuple(
                map(
                    text_cell,
                    (
                        said("%(mask)s %(serial)s", mask=label_of(mask), serial=unit.serial or unit.id),
                        unit.place or "–",
                        *told,
                    ),
                )
            ),
        )
        for mask, unit in _pieces(judged, elsewhere)
        for n, told in enumerate(_device_records(unit))
    )
    columns = (
        Column(said("Mask"), 3),
        Column(said("Place"), 3),
        Column(said("Date"), 3),
        Column(said("By"), 2),
        Column(said("Found, remedy"), 5),
    )
    return Table("devices", said("Single masks: inspections and cylinders"), columns, rows)


def _device_records(unit: Unit) -> Iterator[tuple[str, str, str]]:
    for one in sorted(unit.inspections, key=lambda entry: entry.date, reverse=True):
        result = as_printed(one.result) if one.result else ""
        charge = one.pressure and said("cylinder at %(pressure)s", pressure=one.pressure.printed)
        charge = one.gauge and said("gauge at %(gauge)s", gauge=one.gauge.printed) if charge is None else charge
        remedy = one.remedy and said("remedy: %(remedy)s", remedy=one.remedy)
        found = said_join((part for part in (result, charge, one.findings, remedy) if part), "; ")
        yield long_date(one.date), one.by or said("not recorded"), found or said("not recorded")
    if unit.cylinder is not None:
        done, due = unit.cylinder.requalified, unit.cylinder.requalify_by
        until = said("; again by %(due)s", due=long_date(due)) if due else ""
        serial = unit.cylinder.serial or unit.cylinder.id
        yield (
            long_date(done) if done else said("not recorded"),
            "–",
            said("cylinder %(serial)s requalified%(until)s", serial=serial, until=until),
        )
    if not unit.inspections and unit.cylinder is None:
        yield "–", "–", said("no inspection is on record")
