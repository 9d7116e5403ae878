"""Who enforces, and in which state: the closed list of the plans that OSHA has approved."""

from __future__ import annotations

from collections import Counter

import pytest
from document.said_fields import judged_values
from programs.patching import catalogue_of, checked_by, patched
from published_value import published

from progdoc.rules.lookup.states import states_in
from progdoc.rules.lookup.table_files import table_rows

CATALOGUE = catalogue_of(("PRG-074",))
ROWS = table_rows("state_plans")
# The seven that the list names as covering public employees alone.
PUBLIC = {"Connecticut", "Illinois", "Maine", "Massachusetts", "New Jersey", "New York", "Virgin Islands"}


def told(authority: str, state: str, because: str = "") -> str:
    place = {"authority": authority, "state": state, **({"because": because} if because else {})}
    checked = checked_by(CATALOGUE, patched({"set": {"program.jurisdiction": place}}))
    return " ".join(d.what for d in checked.report.findings if d.code == "PRG-074")


@published("OSHA, list of state plans: 22 that cover private firms, 7 for public employees alone")
def test_the_list_has_as_many_plans_as_the_agency_counts() -> None:
    assert Counter(row["covers"] for row in ROWS) == {"everybody": 22, "public-employees": 7, "none": 27}
    assert {row["name"] for row in ROWS if row["covers"] == "public-employees"} == PUBLIC


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["code"])
def test_every_state_is_found_by_its_name_and_its_letters_alone(row: dict[str, str]) -> None:
    assert states_in(row["name"]) == states_in(row["code"].lower()) == {row["name"]: row["covers"]}
    assert states_in(f"State of {row['name'].upper()}, our yard") == {row["name"]: row["covers"]}


@published(
    "29 CFR part 1952, as OSHA lists it: no plan in Texas, New Jersey's for public employees, California's for all"
)
@pytest.mark.parametrize(
    ("authority", "state", "says"),
    [
        ("state-plan", "Texas", "Texas has none"),
        ("state-plan", "New Jersey", "New Jersey has one for public employees alone"),
        ("state-plan", "Atlantis", "no state or territory"),
        ("state-plan", "Vermont and Ohio", "Ohio has none"),
        ("federal", "California", "California has an approved plan of its own"),
        ("federal", "WA", "Washington has"),
    ],
)
def test_an_authority_that_does_not_enforce_there_is_asked_for(authority: str, state: str, says: str) -> None:
    assert says in told(authority, state)
    assert told(authority, state, "All of it inside the naval base, a federal enclave") == ""
    assert told(authority, state, "TBD") == told(authority, state)


@pytest.mark.parametrize(
    ("authority", "state"),
    [("federal", "Texas"), ("federal", "New Jersey"), ("federal", "West Virginia"), ("state-plan", "Virginia"),
     ("state-plan", "Vermont"), ("state-plan", "Oregon and Washington")],
)  # fmt: skip
def test_the_authority_of_the_state_is_believed(authority: str, state: str) -> None:
    assert told(authority, state) == ""


@published("8 CCR 5155(d); WAC 296-842-14005; OAR 437-002-1081(1); R 325.51461: read in copies of the codes")
@pytest.mark.parametrize(
    ("state", "read", "unread"),
    [
        ("California", "protective clothing is worn as needed", "N95 masks are offered"),
        ("Washington", "gets a copy of the chapter", "a stricter rule on lead was in preparation"),
        ("Oregon", "35.5 µg/m³", "worn from 200.9 on"),
        ("Michigan", "changed after 3 hours", "general industry has limits of its own"),
        ("Minnesota", "", "the federal limits of 1989"),
        ("Kentucky", "", ""),
    ],
)
def test_who_has_not_compared_is_told_what_was_read_and_what_was_not(state: str, read: str, unread: str) -> None:
    place = {"authority": "state-plan", "state": state}
    checked = checked_by(catalogue_of(("PRG-060",)), patched({"set": {"program.jurisdiction": place}}))
    [fix] = [d.fix for d in checked.report.findings if d.code == "PRG-060"]
    as_read, _, rest = fix.partition("not read and to be looked up")
    assert read in as_read and (not unread or unread in rest)
    assert (state in fix) is bool(read or unread)


def test_every_state_of_the_differences_is_on_the_list() -> None:
    assert {row["state"] for row in table_rows("state_differences")} <= {row["name"] for row in ROWS}
    assert {row["support"] for row in table_rows("state_differences")} == {"read", "unread"}


def at_a_site(place: dict[str, str], state: str) -> str:
    entry = {"set": {"program.jurisdiction": place, "organisation.sites[0].state": state}}
    return " ".join(d.what for d in checked_by(CATALOGUE, patched(entry)).report.findings if d.code == "PRG-074")


def test_a_site_is_asked_about_where_the_firm_names_no_state() -> None:
    def of_site(state: str, authority: str = "federal") -> str:
        return at_a_site({"authority": authority}, state)

    assert "Washington has an approved plan" in of_site("Washington")
    assert "no state or territory" in of_site("Atlantis")
    assert "Texas has none" in of_site("Texas", "state-plan")
    assert of_site("Ohio") == of_site("Washington", "state-plan") == ""


def test_the_state_of_every_site_is_among_the_places_that_were_read() -> None:
    """A change of any of them may change the verdict, also where the site lies in the firm's own state."""
    place = ("program.jurisdiction.authority", "program.jurisdiction.state")
    sites = {
        "organisation.sites[0].state": "Ohio",
        "organisation.sites[1]": {"id": "nave", "name": "Nave", "state": "Texas"},
    }
    read = ("organisation.sites[0].state", "organisation.sites[1].state")
    for named in ({}, {"state": "Ohio"}):
        ours: dict[str, str] = {"authority": "federal", **named}
        (verdict,) = judged_values(patched({"set": {"program.jurisdiction": ours, **sites}}), CATALOGUE).verdicts
        assert verdict.status == "met"
        assert {path for path in verdict.paths if not path.startswith("tasks")} == {*place, *read}


def test_where_the_authority_is_at_fault_and_what_shows_it() -> None:
    place = "program.jurisdiction"
    of_the_navy = {"authority": "federal", "state": "Washington", "because": "All of it inside the naval base"}
    for ours, at_the_site, status, shown, faults in (
        ({"state": "Texas"}, "", "not-applicable", [], []),
        ({"authority": "federal"}, "", "not-applicable", [], []),
        (of_the_navy, "", "met", [f"{place}.because"], []),
        ({"authority": "state-plan", "state": "Texas"}, "Texas", "gap", [], [f"{place}.state"]),  # told once
        ({"authority": "state-plan"}, "Texas", "gap", [], ["organisation.sites[0].state"]),
    ):
        site = {"organisation.sites[0].state": at_the_site} if at_the_site else {}
        (verdict,) = judged_values(patched({"set": {place: ours, **site}}), CATALOGUE).verdicts
        assert (verdict.status, list(verdict.evidence), list(verdict.faults)) == (status, shown, faults), ours


@published("29 CFR part 1952, as OSHA lists it: plans in Washington and California, none in Texas")
def test_a_site_under_another_plan_than_the_one_that_is_named_is_asked_about() -> None:
    ours = {"authority": "state-plan", "state": "Washington"}
    assert "California, where another plan enforces than that of “Washington”" in at_a_site(ours, "CA")
    assert "Texas has none" in at_a_site(ours, "Texas")
    assert "no state or territory" in at_a_site(ours, "Califronia")
    assert at_a_site(ours, "WA") == at_a_site(ours | {"state": "Washington and California"}, "California") == ""
    assert at_a_site(ours | {"because": "The work in California is done on tribal land"}, "California") == ""
    assert at_a_site({"authority": "federal", "state": "Texas"}, "Ohio") == ""


@published("29 CFR part 1952, as OSHA lists it: plans for everybody, and states without one")
def test_an_address_in_a_state_with_a_plan_of_its_own_tells_where_the_work_is() -> None:
    """Over every state of the list, as addresses are written: a plan that covers private firms is to be named."""

    def told_at(address: str, place: dict[str, str]) -> bool:
        changed = {"program.jurisdiction": place, "organisation.sites[0].address": address}
        checked = checked_by(CATALOGUE, patched({"set": changed}))
        return any("names that state" in d.what for d in checked.report.findings if d.code == "PRG-074")

    federal = {"authority": "federal"}
    for row in ROWS:
        for end in (row["name"], f"{row['code']} 93650", f"{row['name']} 93650-0001"):
            told_it = told_at(f"12 Elm Street, Fairview, {end}", federal)
            assert told_it == (row["covers"] == "everybody"), (row["name"], end)
    assert not told_at("12 Elm, Fresno, CA 93650", {"authority": "state-plan", "state": "California"})
    assert not told_at(
        "12 Elm, Fresno, CA 93650", federal | {"because": "All of it inside the naval base, a federal enclave"}
    )
    for elsewhere in (
        "3 Washington Street, Northbridge",
        "Oregon Lane 4",
        "Church Hill, Northbridge",
        "12 Quarry Lane",
    ):
        assert not told_at(elsewhere, federal), elsewhere
