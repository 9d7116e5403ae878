"""Agents, names and limits against the tables of the law, row by row, and against published physical data."""

from __future__ import annotations

import re

import chemicals
import pytest
from examples import examples, some
from hypothesis import given
from hypothesis import strategies as st
from published.law_tables import Entry, entries, table
from published_value import published

from progdoc.model.description.hazards import Hazard
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.published import Limit, LimitKind, Substance
from progdoc.rules.lookup.limits import binding_limits
from progdoc.rules.lookup.substances import (
    commonly_held,
    conditional_limits,
    find_substance,
    limits_for,
    listing_notes,
    mistaken_for,
    near_names,
)
from progdoc.rules.lookup.table_files import table_rows

INDUSTRIES = ("general", "construction", "shipyard")
TABLES = {
    "general": ("29cfr1910.1000-table-z1", "29 CFR 1910.1000, Table Z-1"),
    "construction": ("29cfr1926.55-table-1", "29 CFR 1926.55, Table 1"),
    "shipyard": ("29cfr1915.1000-table-z", "29 CFR 1915.1000, Table Z"),
}
PARTS = {
    "": ({"", "respirable"}, {"", "fume", "waste processing"}),
    "Total dust": ({"total"}, {"dust", ""}),
    "Total particulate": ({"total"}, {""}),
    "Respirable": ({"respirable"}, {"dust", ""}),
    "Respirable fraction": ({"respirable"}, {"dust", ""}),
    "Respirable dust": ({"respirable"}, {"dust", ""}),
    "Respirable dust (as V2O5 )": ({"respirable"}, {"dust"}),
    "Fume (as Cu)": ({""}, {"fume"}),
    "Fume (as V2O5 )": ({""}, {"fume"}),
    "Dusts and mists (as Cu)": ({""}, {"dust;mist"}),
    "Soluble compounds": ({""}, {"soluble"}),
    "Soluble salts": ({""}, {"soluble"}),
    "Insoluble compounds": ({"", "total"}, {"insoluble"}),
    "Insoluble compounds.": ({"total"}, {"insoluble"}),
}


def substance(name: str) -> Substance:
    found = find_substance(name)
    assert found is not None, name
    return found


def every_limit(name: str, industry: str) -> tuple[Limit, ...]:
    agent = substance(name)
    return limits_for(agent, industry) + conditional_limits(agent, industry)


def one(name: str, industry: str, kind: str = "TWA", form: str = "") -> tuple[float | None, str]:
    found = [limit for limit in limits_for(substance(name), industry, form) if limit.kind == kind]
    assert len(found) == 1, found
    return found[0].value, found[0].unit


def kinds(name: str, industry: str) -> dict[str, float | None]:
    return {limit.kind.value: limit.value for limit in limits_for(substance(name), industry)}


# ---- the three big tables, row by row -----------------------------------------------------------------


def printed_numbers(entry: Entry, industry: str) -> tuple[str, str]:
    """Return the ppm and mg/m³ of a row; a dust printed under ppm is a mass (see the source notes)."""
    cells = [cell for cell in entry.cells if cell != "X"]
    numbers = [cell.removeprefix("(C)") for cell in cells if cell != "—"]
    is_dust = entry.part.startswith(("Total", "Respirable"))
    if industry == "general":
        return ("", numbers[0]) if len(numbers) == 1 else (numbers[0], numbers[1])
    if is_dust:
        return "", numbers[0]
    if cells[0] == "—" or (len(cells) == 1 and "X" in entry.cells) or "Beryllium" in entry.name:
        return "", numbers[0]
    return numbers[0], numbers[1] if len(cells) > 1 and cells[1] != "—" else ""


@published("29 CFR 1910.1000 Table Z-1; 29 CFR 1926.55 Table 1; 29 CFR 1915.1000 Table Z")
@pytest.mark.parametrize("industry", INDUSTRIES)
def test_every_row_of_the_table_is_in_the_catalogue_and_nothing_else(industry: str) -> None:
    printed, citation = TABLES[industry]
    seen: set[tuple[str, ...]] = set()
    for entry in entries(printed):
        ppm, mg_m3 = printed_numbers(entry, industry)
        fractions, forms = PARTS[entry.part]
        wanted_kind = LimitKind.CEILING if any(cell.startswith("(C)") for cell in entry.cells) else LimitKind.TWA
        hits = [
            limit
            for limit in every_limit(entry.name, industry)
            if limit.citation == citation
            and limit.fraction in fractions
            and limit.form in forms
            and limit.kind is wanted_kind
            and (limit.unit, limit.value) == (("ppm", float(ppm)) if ppm else ("mg/m3", float(mg_m3)))
            and (not ppm or float(limit.mg_m3_as_printed or 0) == float(mg_m3 or 0))
            and limit.is_skin == ("X" in entry.cells)
        ]
        if "fume" in entry.name.lower() and len(hits) > 1:
            hits = [limit for limit in hits if limit.form == "fume"]
        elif len(hits) > 1:
            hits = [limit for limit in hits if limit.form != "fume"]
        assert len(hits) == 1, (entry, hits)
        hit = hits[0]
        seen.add((hit.agent, hit.fraction, hit.form, hit.kind))
    in_catalogue = {
        (row["agent"], row["fraction"], row["form"], row["kind"])
        for row in table_rows("limits")
        if row["citation"] == citation and row["industry"] == industry and row["kind"] != "listed"
    }
    assert seen == in_catalogue


@published("29 CFR 1910.1000 Table Z-1; 29 CFR 1926.55 Table 1; 29 CFR 1915.1000 Table Z")
@pytest.mark.parametrize("industry", INDUSTRIES)
def test_an_agent_that_a_table_sends_to_a_standard_is_governed_by_it(industry: str) -> None:
    misprints = {"1926.1124": "1910.1024"} if industry == "general" else {}
    sent = [row for row in table(TABLES[industry][0]) if row["standard"] and not row["name"].startswith("Cotton")]
    assert len(sent) == {"general": 34, "construction": 34, "shipyard": 32}[industry]
    for row in sent:
        name = re.sub(r"Silica, .* dust ", "", row["name"]).replace("CrO 3 ", "CrO3")
        standard = substance(name.replace("CBCP", "DBCP").replace("dust fume ", "")).standard_in(industry)
        named = misprints.get(row["standard"], row["standard"])
        if named == "1910.1052":  # 1926.1152 and 1915.1052 stand for it
            named = {"construction": "1926.1152", "shipyard": "1915.1052"}[industry]
        assert standard == f"29 CFR {named}", row


@published("29 CFR 1910.1000 Table Z-2")
def test_every_row_of_table_z_2_is_in_the_catalogue() -> None:
    names = {"Cadmium fume": "cadmium", "Cadmium dust": "cadmium", "Organo (alkyl) mercury": "mercury-alkyl"}
    names |= {"Fluoride as dust": "fluorides", "Chromic acid and chromates": "chromic acid"}
    rows = table("29cfr1910.1000-table-z2")
    for row in rows:
        name = names.get(row["agent"], row["agent"])
        form = next((form for form in ("fume", "dust") if form in row["agent"]), "")
        here = [limit for limit in every_limit(name, "general") if limit.form in ("", form)]
        found = [limit for limit in here if "Table Z-2" in limit.citation] or here
        found.sort(key=lambda limit: ("TWA", "ceiling", "peak").index(limit.kind.value))
        printed = [(float(value), row["unit"]) for value in row["values"].split()]
        assert [(limit.value, limit.unit) for limit in found] == printed, row
        if row["peak_minutes"]:
            peak = found[-1]
            assert (peak.kind.value, peak.minutes) == ("peak", float(row["peak_minutes"]))
            assert peak.per_hours == float(row["within_hours"] or 8)
    assert len(rows) == 19


@published("29 CFR 1910.1000 Table Z-3; 29 CFR 1926.55 Table 2; 29 CFR 1915.1000, mineral dusts")
@pytest.mark.parametrize(
    ("industry", "citation"),
    [
        ("general", "29 CFR 1910.1000, Table Z-3"),
        ("construction", "29 CFR 1926.55, Table 2"),
        ("shipyard", "29 CFR 1915.1000, mineral dusts"),
    ],
)
def test_the_mineral_dusts_are_in_the_catalogue(industry: str, citation: str) -> None:
    rows = [row for row in table("29cfr-mineral-dusts") if row["table"] == citation]
    assert len(rows) == (11 if industry == "general" else 8)
    for row in rows:
        name, _, fraction = row["dust"].partition(", ")
        limits = every_limit(name if fraction in ("respirable", "total") else row["dust"], industry)
        found = {(limit.unit, limit.formula or f"{limit.value:g}") for limit in limits}
        assert {
            (unit, row[column]) for unit, column in (("mppcf", "mppcf"), ("mg/m3", "mg_m3")) if row[column]
        } <= found


# ---- differences between the industries, and the substance standards ----------------------------------


@published("29 CFR 1910.1000 Table Z-1 against 29 CFR 1926.55 Table 1, both eCFR of February 2026")
@pytest.mark.parametrize(
    ("name", "general", "construction"),
    [
        ("butyl mercaptan", ("TWA", 10, "ppm"), ("TWA", 0.5, "ppm")),
        ("chlorine", ("ceiling", 1, "ppm"), ("TWA", 1, "ppm")),
        ("ethyl mercaptan", ("ceiling", 10, "ppm"), ("TWA", 0.5, "ppm")),
        ("methyl mercaptan", ("ceiling", 10, "ppm"), ("TWA", 0.5, "ppm")),
        ("octane", ("TWA", 500, "ppm"), ("TWA", 400, "ppm")),
        ("pentane", ("TWA", 1000, "ppm"), ("TWA", 500, "ppm")),
        ("white spirit", ("TWA", 500, "ppm"), ("TWA", 200, "ppm")),
        ("ronnel", ("TWA", 15, "mg/m3"), ("TWA", 10, "mg/m3")),
        ("tetraethyl lead", ("TWA", 0.075, "mg/m3"), ("TWA", 0.1, "mg/m3")),
        ("tetramethyl lead", ("TWA", 0.075, "mg/m3"), ("TWA", 0.15, "mg/m3")),
        ("hydrogen selenide", ("TWA", 0.05, "ppm"), ("TWA", 0.05, "ppm")),
        ("maleic anhydride", ("TWA", 0.25, "ppm"), ("TWA", 0.25, "ppm")),
        ("dimethyl sulfate", ("TWA", 1, "ppm"), ("TWA", 1, "ppm")),
        ("hydrogen sulfide", ("ceiling", 20, "ppm"), ("TWA", 10, "ppm")),
    ],
)
def test_known_differences_between_general_industry_and_construction(
    name: str, general: tuple[str, float, str], construction: tuple[str, float, str]
) -> None:
    assert one(name, "general", general[0]) == general[1:]
    assert one(name, "construction", construction[0]) == construction[1:]


@published("29 CFR 1910.1000 Table Z-2 against 29 CFR 1926.55 Table 1 and 1915.1000 Table Z")
def test_toluene_and_styrene_have_other_kinds_of_limit_in_each_industry() -> None:
    assert kinds("toluene", "general") == {"TWA": 200, "ceiling": 300, "peak": 500}
    assert kinds("toluene", "construction") == {"TWA": 200}
    assert kinds("styrene", "general") == {"TWA": 100, "ceiling": 200, "peak": 600}
    assert kinds("styrene", "construction") == {"ceiling": 100}
    assert kinds("styrene", "shipyard") == {"TWA": 100}


@published("29 CFR 1926.55 Table 1, letter E; 29 CFR 1910.1000 Table Z-1")
def test_propane_is_a_simple_asphyxiant_in_construction_alone() -> None:
    propane = substance("propane")
    assert one("propane", "general") == (1000, "ppm")
    assert limits_for(propane, "construction") == ()
    assert "19.5" in listing_notes(propane, "construction")[0]
    assert propane.is_simple_asphyxiant


STANDARDS_LIMITS = table("29cfr-substance-standard-limits")
IN_EVERY_INDUSTRY = {row["agent"] for row in STANDARDS_LIMITS} - {"cotton dust", "coke oven emissions"}


def in_our_units(row: dict[str, str]) -> tuple[float, str, float]:
    """Return a printed limit as the catalogue writes it: parts per million in place of parts per billion."""
    value, unit = float(row["value"]), row["unit"]
    return (value / 1000, "ppm", float(row["minutes"])) if unit == "ppb" else (value, unit, float(row["minutes"]))


@published("the substance standards' paragraphs on limits, in tests/published/29cfr-substance-standard-limits.csv")
@pytest.mark.parametrize("name", [*sorted(IN_EVERY_INDUSTRY), "cristobalite"])
@pytest.mark.parametrize("industry", INDUSTRIES)
def test_a_named_agent_with_a_standard_gets_the_standards_limits(name: str, industry: str) -> None:
    rows = [row for row in STANDARDS_LIMITS if row["agent"] == ("silica" if name == "cristobalite" else name)]
    found = limits_for(substance(name), industry)
    ours = {limit.kind.value: (limit.value, limit.unit, limit.minutes) for limit in found}
    assert ours == {row["kind"]: in_our_units(row) for row in rows}
    assert all(re.search(r"CFR 19(10|15|26)\.\d+", limit.citation) and "Table" not in limit.citation for limit in found)
    assert substance(name).standard_in(industry)


@published("29 CFR 1910, 1915 and 1926, the standards' own paragraphs: kind, figure, averaging time and place of each")
@pytest.mark.parametrize("section", sorted({row["section"] for row in STANDARDS_LIMITS}))
def test_the_standards_figures_are_printed_in_the_standard(section: str) -> None:
    def of(row: dict[str, str]) -> tuple[object, ...]:
        place = row["citation"].partition("CFR ")[2].split(" ")[0] if "citation" in row else section + row["paragraph"]
        return (place, row["kind"], *in_our_units(row))

    rows = [row for row in table_rows("limits") if row["citation"].startswith(f"29 CFR {section}(")]
    assert rows
    assert {of(row) for row in rows} == {of(row) for row in STANDARDS_LIMITS if row["section"] == section}


@published("29 CFR 1910.1043(c), 1910.1029(c)")
def test_cotton_dust_and_coke_ovens() -> None:
    cotton = limits_for(substance("cotton dust"), "general")
    in_ug = {limit.form: limit.value for limit in cotton if limit.kind is LimitKind.TWA and limit.unit == "ug/m3"}
    assert sorted(in_ug.values()) == [200, 500, 750]
    assert sorted(limit.value for limit in cotton if limit.kind is LimitKind.ACTION_LEVEL) == [100, 250, 375]
    assert one("coke oven emissions", "general") == (150, "ug/m3")


def test_dusts_without_a_number_of_their_own_take_the_nuisance_dust_limit_and_say_so() -> None:
    for name in ("hydrated lime", "calcium carbonate", "gypsum", "titanium dioxide", "wood dust"):
        (limit,) = limits_for(substance(name), "construction", "dust")
        assert (limit.value, limit.unit, limit.fraction) == (15, "mg/m3", "total")
        assert "our reading" in limit.note


@published(
    "29 CFR 1910.1000(a)-(c), 1926.55(a), 1915.1000(a): 8-hour averages, ceilings read over 15 minutes or at once"
)
def test_averaging_times_and_what_only_some_tables_have() -> None:
    silica = {"silica-crystalline", "cristobalite", "tridymite", "tripoli"}
    for row in table_rows("limits"):
        minutes, citation = row["minutes"], row["citation"]
        is_big_table = citation in {table for _, table in TABLES.values()}
        match row["kind"]:
            case "TWA" | "action-level":
                assert minutes == "480", row
            case "ceiling":
                assert minutes == ("0" if "Table Z-2" in citation else "15"), row
            case "STEL":
                assert minutes == "15", row
            case "excursion":
                assert minutes == {"asbestos": "30", "ethylene-oxide": "15"}.get(row["agent"], "30"), row
            case "peak":
                assert "Table Z-2" in citation
        assert is_big_table or not row["skin"], row
        if re.search(r"Table Z-3|Table 2|mineral dusts|PNOR|particulates not otherwise", citation):
            assert row["kind"] in ("TWA", "listed"), row
        if re.match(r"29 CFR 19\d\d\.\d+\(|.*\(as 19", citation):
            assert row["fraction"] == ("respirable" if row["agent"] in {*silica, "cotton-dust"} else ""), row


@pytest.mark.parametrize(
    ("form", "values"),
    [("fume", [0.1]), ("dust", [1.0]), ("mist", [1.0]), ("", [1.0, 0.1]), ("unheard-of", [1.0, 0.1])],
)
@published("29 CFR 1926.55 Table 1: copper fume 0.1, dusts and mists 1 mg/m³")
def test_the_form_picks_among_limits_for_fume_and_dust(form: str, values: list[float]) -> None:
    assert [limit.value for limit in limits_for(substance("copper"), "construction", form)] == values


def test_a_limit_that_holds_only_without_the_standard_is_never_in_force() -> None:
    for industry in INDUSTRIES:
        for row in table_rows("substances"):
            assert not any(limit.condition for limit in limits_for(substance(row["id"]), industry))
    assert any("1926.1153" in limit.condition for limit in conditional_limits(substance("silica"), "construction"))


def test_a_particle_count_is_in_force_only_where_there_is_no_mass_limit() -> None:
    for row in table_rows("substances"):
        for industry in INDUSTRIES:
            units = {limit.unit for limit in limits_for(substance(row["id"]), industry)}
            assert not {"mppcf", "mg/m3"} <= units, row["id"]
    assert kinds("talc", "construction") == {"TWA": 20}
    assert {limit.unit for limit in limits_for(substance("cement"), "construction")} == {"mg/m3"}


# ---- names --------------------------------------------------------------------------------------------

NAMES = {
    "methyl ethyl ketone": ("MEK", "butanone", "2-Butanone", "78-93-3", "CAS 78-93-3", "Methyl Ethyl Ketone (MEK)"),
    "xylene": ("xylol", "Xylenes", "1330-20-7", "m-xylene", "108-38-3", "dimethylbenzene"),
    "toluene": ("toluol", "108-88-3", "toluene vapor", " TOLUENE "),
    "calcium oxide": ("quicklime", "1305-78-8"),
    "calcium hydroxide": ("hydrated lime", "slaked lime"),
    "quartz": ("silica", "crystalline silica", "respirable crystalline silica", "respirable silica", "14808-60-7"),
    "methylene bisphenyl isocyanate": ("MDI", "diphenylmethane diisocyanate", "101-68-8"),
    "Stoddard solvent": ("white spirit", "mineral spirits", "8052-41-3"),
    "lead": ("Pb", "lead paint", "white lead", "7439-92-1", "Lead, inorganic (as Pb)"),
    "nuisance dust": ("PNOR", "particulates not otherwise regulated"),
}


@pytest.mark.parametrize(("name", "other"), [(name, other) for name in NAMES for other in NAMES[name]])
def test_names_that_contractors_use(name: str, other: str) -> None:
    """Common practice, no source, but for the "see" entries of the law's tables."""
    assert substance(other).id == substance(name).id


@published("29 CFR 1910.1000 Table Z-1, 1926.55 Table 1, 1915.1000 Table Z: the “see” entries")
@pytest.mark.parametrize("industry", INDUSTRIES)
def test_every_see_entry_of_the_tables_leads_to_its_agent(industry: str) -> None:
    without = ("Silicates", "Chlorodiphenyl", "Diglycidyl ether", "Tetryl", "Picric acid")  # groups and misprints
    see = [row for row in table(TABLES[industry][0]) if row["see"] and not row["see"].startswith(without)]
    assert len(see) == {"general": 51, "construction": 56, "shipyard": 54}[industry]
    for row in see:
        assert substance(row["name"]).id == substance(row["see"]).id, row


@pytest.mark.parametrize(
    ("text", "agent"),
    [
        ("mercury (organo)", ""),
        ("arsenic (organic)", "arsenic-organic"),
        ("silica (amorphous)", "silica-amorphous"),
        ("lead (tetraethyl)", ""),
        ("chromium (VI)", "chromium-vi"),
        ("Chromium (III)", "chromium-iii"),
        ("toluene (toluol)", "toluene"),
        ("mercury (vapor)", "mercury-vapor"),
    ],
)
def test_words_in_brackets_may_name_another_agent(text: str, agent: str) -> None:
    found = find_substance(text)
    assert (found.id if found else "") == agent


def test_a_cas_number_shared_by_several_entries_is_not_guessed() -> None:
    assert find_substance("7440-47-3") is None
    assert set(near_names("7440-47-3")) == {
        "Chromium (II) compounds (as Cr)",
        "Chromium (III) compounds (as Cr)",
        "Chromium metal and insoluble salts (as Cr)",
    }


def test_near_misses() -> None:
    assert near_names("silca")[0] == "Crystalline silica, respirable (quartz)"
    assert near_names("formaldehide")[0] == "Formaldehyde"
    assert "Calcium hydroxide" in near_names("lime")
    assert near_names("") == near_names("zzzzzz") == ()


@examples(60)
@given(st.text(max_size=40))
def test_no_text_breaks_the_lookup(text: str) -> None:
    find_substance(text)
    near_names(text)


def test_no_name_means_two_agents() -> None:
    owner: dict[str, str] = {}
    for row in table_rows("substances"):
        full = {row["id"], row["name"], *filter(None, row["synonyms"].split(";"))}
        for name in full | {re.sub(r"\s+\([^()]*\)$", "", name) for name in full}:
            key = re.sub(r"[^a-z0-9]", "", name.casefold())
            assert owner.setdefault(key, row["id"]) == row["id"], name
            assert substance(name).id == row["id"], name


# ---- physical data and IDLH ---------------------------------------------------------------------------


@published("CAS Registry: the check digit rule")
def test_cas_check_digits_pass_in_the_catalogue_and_fail_only_for_known_misprints() -> None:
    def passes(cas: str) -> bool:
        digits = [int(digit) for digit in reversed(cas.replace("-", ""))]
        return sum(place * digit for place, digit in enumerate(digits[1:], 1)) % 10 == digits[0]

    numbers = {cas for row in table_rows("substances") for cas in row["cas"].split(";") if cas}
    assert len(numbers) > 400
    assert all(passes(cas) for cas in numbers)
    law = {cas for name, _ in TABLES.values() for row in table(name) for cas in row["cas"].split()}
    assert len(law) > 400
    assert {cas for cas in law if not passes(cas)} == {"65966-93-2", "62-79-9", "77-78-3"}


@published("PyPI package chemicals, molecular weights; decaborane B10H14 from the IUPAC atomic weights")
def test_molecular_weights() -> None:
    checked = 0
    for row in table_rows("substances"):
        if row["molecular_weight_source"] == "computed from the formula":
            reference = chemicals.MW(row["cas"].split(";")[0])
            assert float(row["molecular_weight"]) == pytest.approx(reference, rel=1e-3), row["id"]
            checked += 1
    assert checked > 300
    assert substance("decaborane").molecular_weight == pytest.approx(10 * 10.81 + 14 * 1.008, rel=1e-3)


@published("29 CFR 1910.1000 Table Z-1, 1926.55 Table 1, 1915.1000 Table Z: ppm beside mg/m³ (approximate)")
def test_the_laws_two_units_agree_with_the_molecular_weight() -> None:
    """The law rounds to one or two digits: within 30 %, but for two pairs that its own text gets wrong."""
    far = set()
    for row in table_rows("limits"):
        weight = substance(row["agent"]).molecular_weight
        if row["unit"] == "ppm" and row["mg_m3_as_printed"] and weight:
            ratio = float(row["mg_m3_as_printed"]) / (float(row["value"]) * weight / 24.45)
            if not 0.77 < ratio < 1.30:
                far.add((row["agent"], row["industry"]))
    assert far == {
        ("hydrogen-selenide", "construction"),
        *(("dibutyl-phosphate", industry) for industry in INDUSTRIES),
    }


@published("NIOSH IDLH value profiles of 2016 and 2017, as reported by the AIHA Synergist, December 2017")
@pytest.mark.parametrize(
    ("name", "value", "old"),
    [("nitrogen dioxide", 13, "20"), ("acetonitrile", 137, "500"), ("methyl isocyanate", 0.12, "3")],
)
def test_idlh_values_that_niosh_replaced(name: str, value: float, old: str) -> None:
    idlh = substance(name).idlh
    assert idlh is not None
    assert (idlh.value, idlh.unit) == (value, "ppm")
    assert f"1994 value of {old} ppm" in idlh.note


def test_every_idlh_says_how_well_it_is_supported() -> None:
    for row in table_rows("idlh"):
        idlh = substance(row["agent"]).idlh
        assert idlh is not None
        assert idlh.support in ("two-sources", "one-source", "from-memory")
        assert idlh.sources
        assert (idlh.value is None) == (idlh.unit == "")
    acrylonitrile = substance("acrylonitrile").idlh
    assert acrylonitrile is not None
    assert (acrylonitrile.value, acrylonitrile.support) == (60, "from-memory")
    assert substance("wood dust").idlh is not None
    assert substance("beta-Chloroprene").idlh is not None


@published("common practice, no source: what crews call things, and what the tables of limits call them")
@pytest.mark.parametrize(
    ("name", "agent"),
    [
        ("copper fume", "copper"), ("copper dust", "copper"), ("cobalt", "cobalt-metal-dust-and-fume"),
        ("silver", "silver-metal-and-soluble-compounds"), ("antimony dust", "antimony-and-compounds"),
        ("chrome 6", "chromium-vi"), ("Chrome VI", "chromium-vi"), ("Cr6", "chromium-vi"),
        ("HDI", "hexamethylene-diisocyanate"), ("822-06-0", "hexamethylene-diisocyanate"),
        ("welding fume", "welding-fumes"), ("ammonium chloride fume", "ammonium-chloride-fume"),
        ("cadmium fumes", "cadmium"), ("vanadium pentoxide", "vanadium"), ("xylene mist", "xylenes"),
        ("zinc oxide fume", "zinc-oxide"), ("grain dust", "grain-dust"), ("cotton dust", "cotton-dust"),
    ],
)  # fmt: skip
def test_everyday_names(name: str, agent: str) -> None:
    found = find_substance(name)
    assert found is not None and found.id == agent


@pytest.mark.parametrize("name", ["coal dust", "fume", "paint fumes", "dust", "tin dust", "bleach"])
def test_a_name_for_many_things_or_none_names_no_agent(name: str) -> None:
    assert find_substance(name) is None


# What a contractor types, and the agent that answers: common practice, no source.
EVERYDAY = {
    "copper fume": "copper",
    "cobalt": "cobalt-metal-dust-and-fume",
    "silver": "silver-metal-and-soluble-compounds",
    "chrome 6": "chromium-vi",
    "hex chrome": "chromium-vi",
    "HDI": "hexamethylene-diisocyanate",
    "MDI": "methylene-bisphenyl-isocyanate",
    "welding fume": "welding-fumes",
    "ammonium chloride fume": "ammonium-chloride-fume",
    "lead paint dust": "lead",
    "silica dust": "silica-crystalline",
    "quartz": "silica-crystalline",
    "ACM": "asbestos",
    "sawdust": "wood-dust",
    "cement dust": "portland-cement",
    "fiberglass": "fibrous-glass",
    "mineral spirits": "stoddard-solvent",
    "MEK": "2-butanone",
    "DCM": "methylene-chloride",
    "H2S": "hydrogen-sulfide",
    "sewer gas": "hydrogen-sulfide",
    "CO": "carbon-monoxide",
    "gasoline": "gasoline",
    "rubbing alcohol": "isopropyl-alcohol",
    "zinc fume": "zinc-oxide",
    "muriatic acid": "hydrogen-chloride",
    "battery acid": "sulfuric-acid",
    "lye": "sodium-hydroxide",
    "quicklime": "calcium-oxide",
    "perc": "perchloroethylene",
    "TCE": "trichloroethylene",
    "formalin": "formaldehyde",
    "oil mist": "oil-mist-mineral",
}
# What names no single agent is asked about: by what it may mean, or by what it commonly holds.
ASKED = {
    "isocyanates": "Methylene bisphenyl isocyanate (MDI)",
    "drywall dust": "Gypsum",
    "brick dust": "Crystalline silica, respirable (quartz)",
    "stainless steel fume": "Chromium (VI) compounds (as Cr)",
    "galvanized fume": "Zinc oxide",
    "diesel exhaust": "Carbon monoxide",
    "paint stripper": "Methylene chloride",
    "roofing tar": "Coal tar pitch volatiles (benzene-soluble fraction)",
    "lime": "Calcium hydroxide",
    "coal dust": "Coal dust, 5 % silica or more",
    "tin": "Tin, inorganic compounds (except oxides) (as Sn)",
    "dust": "Particulates not otherwise regulated (nuisance dust)",
}


@pytest.mark.parametrize(("name", "agent"), EVERYDAY.items())
def test_everyday_names_find_their_agent(name: str, agent: str) -> None:
    found = find_substance(name)
    assert found is not None and found.id == agent


@pytest.mark.parametrize(("name", "meant"), ASKED.items())
def test_what_names_no_single_agent_is_asked_about(name: str, meant: str) -> None:
    assert find_substance(name) is None
    assert meant in (*near_names(name), *(agent.name for agent in commonly_held(name)))


@published(
    "29 CFR 1910.1001(b), 1910.1053(b), 1910.1025(b): each standard binds its agent under whatever name it comes"
)
def test_no_name_of_a_regulated_agent_hides_behind_other_words() -> None:
    rows = [row for row in table_rows("substances") if row["standard_general"] or row["standard_construction"]]
    names = {
        name for row in rows for name in (row["name"], *row["synonyms"].split(";")) if re.fullmatch(r"[a-z]{5,}", name)
    }
    assert {"amosite", "chrysotile", "quartz"} <= names
    for name in some(sorted(names), 12):
        agent = find_substance(name)
        assert agent is not None and agent.name in mistaken_for(f"fibres of old lagging, {name}-bearing"), name
        assert not mistaken_for(f"{name}-free lagging"), name


def test_every_product_names_agents_of_the_tables() -> None:
    for row in table_rows("products"):
        held = commonly_held(f"Fine {row['words']}, old")
        assert {agent.id for agent in held} >= set(row["agents"].split(";"))


@published("29 CFR 1910.1000, Table Z-1: “total dust” heads glycerin (mist), vegetable oil mist and malathion")
def test_total_dust_of_a_liquid_is_its_droplets() -> None:
    found = find_substance("malathion")
    assert found is not None
    assert [limit.value for limit in limits_for(found, "general", "mist")] == [15.0]
    assert [limit.value for limit in limits_for(found, "general", "mist-and-vapour")] == [15.0]
    assert limits_for(found, "general", "vapour") == ()


FORMS = ("dust", "fume", "mist", "vapour", "gas")


@pytest.mark.parametrize("form", FORMS)
def test_nobody_is_told_that_no_limit_is_known_where_one_is_printed_for_another_form(form: str) -> None:
    for row in table_rows("substances"):
        agent = find_substance(row["id"])
        if agent is None or limits_for(agent, "general", form) or not limits_for(agent, "general"):
            continue
        hazard = Hazard.model_validate({"id": "h", "task": "t", "agent": row["id"], "form": form})
        task = Task.model_validate({"id": "t", "name": "n", "industry": "general"})
        (told,) = binding_limits(hazard, "hazards[0]", task, agent).reasons
        assert told.code == "EXP-003"
        assert told.words["none"].endswith(f"none is printed for {form}."), row["id"]
