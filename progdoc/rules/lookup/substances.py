"""Agents by any name a contractor uses, and the limits that bind them in an industry.

Enforcement goes by the substance's name, not its CAS number (1910.1000, Table Z-1, note (c)): where several
entries share a number the lookup refuses to choose and `near_names` lists them. A named agent with a
substance standard gets that standard's limits, never the table's. No limit found is an empty tuple, never
a limit of zero; no IDLH value is no sign that the air can't be dangerous.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from difflib import get_close_matches
from functools import cache

from progdoc.rules.judged.published import Idlh, Limit, LimitKind, Substance
from progdoc.rules.lookup.clauses import Words
from progdoc.rules.lookup.table_files import Row, table_rows

__all__ = [
    "agent_standards",
    "agents_named",
    "commonly_held",
    "conditional_limits",
    "find_substance",
    "is_limited_in_ppm",
    "is_named",
    "limits_for",
    "listing_notes",
    "mistaken_for",
    "near_names",
    "speaks_of_agent",
]


_PHYSICAL = frozenset({"dust", "fume", "mist", "fibres", "gas", "vapour"})
_CAS = re.compile(r"\d{2,7}-\d\d-\d")
_LAST_BRACKETS = re.compile(r"(?<!\s)\s+\(([^()]*)\)$")
_NO_OTHER_AGENT = re.compile(r"as \w+|respirable|vapou?r|gas", re.IGNORECASE)
_AS_GAS = re.compile(r"(?<!\s)\s+(vapou?rs?|gas)$", re.IGNORECASE)
_TELLING = 5  # letters from which a name means an agent and nothing else
_WITHOUT = re.compile(r"(?<![\w-])[\w-]+[ -]free\b|\b(?:free of|without|no)\s+[\w-]+", re.IGNORECASE)
_NO_PART_OF_A_KEY = re.compile(r"[^a-z0-9]")
# A dust of which nothing more is said: 29 CFR 1910.1000, Table Z-1, limits its total and its respirable part.
_ANY_DUST = re.compile(
    r"(?:(?:respirable|total|inhalable|inert|fine|general|other|airborne)[ -]+)*"
    r"(?:dusts?|particles?|particulates?|particulate[ -]matter)(?:[ ,(]+(?:respirable|total|inhalable|inert|fine)\)?)?",
    re.IGNORECASE,
)
_A_SLIP = 0.85  # how alike two spellings are that may be one
# The form is a field of its own.
_AS_PARTICLES = re.compile(r"(?<!\s)\s+(dusts?|fumes?|mists?|fib(re|er)s?)$", re.IGNORECASE)


def _key(text: str) -> str:
    return _NO_PART_OF_A_KEY.sub("", text.casefold())


@cache
def _rows_by_agent() -> dict[str, Row]:
    return {row["id"]: row for row in table_rows("substances")}


@cache
def _names() -> tuple[tuple[str, str], ...]:
    """Every name and the agent it is for, names of the law's tables before synonyms and ids."""
    rows = table_rows("substances")
    pairs = [(row["name"], row["id"]) for row in rows]
    pairs += [(name, row["id"]) for row in rows for name in row["synonyms"].split(";") if name]
    pairs += [(_LAST_BRACKETS.sub("", name), agent) for name, agent in pairs]
    return (*pairs, *((row["id"], row["id"]) for row in rows))


@cache
def _agents_by_key() -> dict[str, str]:
    return {_key(name): agent for name, agent in reversed(_names())}


@cache
def _agents_by_cas() -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for row in table_rows("substances"):
        for cas in filter(None, row["cas"].split(";")):
            found[cas] = (*found.get(cas, ()), row["id"])
    return found


@cache
def _limits_by_agent() -> dict[tuple[str, str], tuple[Row, ...]]:
    found: dict[tuple[str, str], list[Row]] = {}
    for row in table_rows("limits"):
        found.setdefault((row["agent"], row["industry"]), []).append(row)
    return {key: tuple(rows) for key, rows in found.items()}


def _number(text: str) -> float | None:
    return float(text) if text else None


@cache
def _idlh_rows() -> dict[str, Row]:
    return {row["agent"]: row for row in reversed(table_rows("idlh"))}


def _idlh(agent: str) -> Idlh | None:
    row = _idlh_rows().get(agent)
    if row is None:
        return None
    sources = tuple(source for source in (row["source_1"], row["source_2"]) if source)
    return Idlh(_number(row["value"]), row["unit"], row["support"], sources, row["note"])


@cache
def _substance(agent: str) -> Substance:
    row = _rows_by_agent()[agent]
    standards = tuple(
        (industry, row[f"standard_{industry}"])
        for industry in ("general", "construction", "shipyard")
        if row[f"standard_{industry}"]
    )
    return Substance(
        id=agent,
        name=row["name"],
        cas=tuple(filter(None, row["cas"].split(";"))),
        synonyms=tuple(filter(None, row["synonyms"].split(";"))),
        molecular_weight=_number(row["molecular_weight"]),
        molecular_weight_source=row["molecular_weight_source"],
        boiling_point_c=_number(row["boiling_point_c"]),
        vapour_pressure_mmhg_20c=_number(row["vapour_pressure_mmhg_20c"]),
        state=row["state"],
        is_simple_asphyxiant=row["simple_asphyxiant"] == "yes",
        irritates_eyes=row["irritates_eyes"],
        irritates_eyes_source=row["irritates_eyes_source"],
        air_purifying_barred_by=row["air_purifying_barred_by"],
        standards=standards,
        idlh=_idlh(agent),
    )


@cache
def agent_standards() -> frozenset[str]:
    """Return the sections of the law that are each about one agent, such as lead."""
    columns = ("standard_general", "standard_construction", "standard_shipyard")
    return frozenset(row[column] for row in table_rows("substances") for column in columns if row[column])


def find_substance(name_or_cas: str) -> Substance | None:
    """Return the agent of that name, synonym, id or CAS number; None if none, or several, answer to it.

    >>> find_substance("MEK").name
    '2-Butanone (methyl ethyl ketone, MEK)'
    >>> [find_substance(name).id for name in ("7439-92-1", "Toluene vapour", "copper fume")]
    ['lead', 'toluene', 'copper']
    """
    text = name_or_cas.strip()
    cas = _CAS.search(text)
    if cas and _key(text.replace(cas[0], "")) in ("", "cas", "casno", "casnumber"):
        agents = _agents_by_cas().get(cas[0], ())
        return _substance(agents[0]) if len(agents) == 1 else None
    bare = (_AS_GAS.sub("", text), _AS_PARTICLES.sub("", text))
    agent = next(filter(None, map(_agent, (text, *bare))), "") or _agent_but_for_brackets(text)
    return _substance(agent) if agent else None


def is_named(names: Iterable[str], agent: str, substance: Substance | None) -> bool:
    """Return whether names or CAS numbers name an agent: as it is written, or as the same substance of the tables.

    >>> is_named(["methyl ethyl ketone"], "MEK", find_substance("MEK")), is_named(["tolune"], "toluene", None)
    (True, False)
    """
    written = tuple(names)
    if agent.casefold() in {name.casefold() for name in written}:
        return True
    if substance is None:
        return False
    return any((found := find_substance(name)) is not None and found.id == substance.id for name in written)


def speaks_of_agent(text: str, agent: str) -> bool:
    """Return whether a text has an agent in it, by any of its names, short ones too.

    >>> speaks_of_agent("Letter on MDI in brushed coatings", "methylene bisphenyl isocyanate")
    True
    """
    found = find_substance(agent)
    names = (agent, *((found.name, *found.synonyms) if found is not None else ()))
    return re.search(rf"(?<!\w)(?:{'|'.join(map(re.escape, names))})(?!\w)", text, re.IGNORECASE) is not None


def _agent(name: str) -> str:
    return _agents_by_key().get(_key(name), "")


def _agent_but_for_brackets(text: str) -> str:
    """Take "toluene (toluol)" for toluene, but never "chromium (VI)" for chromium: both must name one agent."""
    brackets = _LAST_BRACKETS.search(text)
    if not brackets:
        return ""
    agent, other = _agent(text[: brackets.start()]), brackets[1]
    return agent if _NO_OTHER_AGENT.fullmatch(other) or _agent(other) == agent else ""


def mistaken_for(text: str) -> tuple[str, ...]:
    """Return what a name that no table knows may be a slip for: one letter off, or with a regulated agent's name in it.

    >>> mistaken_for("cristaline silica"), mistaken_for("old paint dust (leaded)"), mistaken_for("bone glue dust")
    (('Crystalline silica, respirable (quartz)',), ('Lead, inorganic (as Pb)',), ())
    >>> mistaken_for("fibres of old pipe lagging (chrysotile)"), mistaken_for("chrysotile-free lagging")
    (('Asbestos',), ())
    """
    if find_substance(text) is not None:
        return ()
    keys, rows = _agents_by_key(), _rows_by_agent()
    agents = [keys[key] for key in get_close_matches(_key(text), keys, n=1, cutoff=_A_SLIP)]
    words = re.findall(r"(?<![a-z])[a-z]+(?!-free| free|[a-z])", text.casefold())
    agents += [keys[_key(agent)] for agent in _regulated() if any(word.startswith(agent) for word in words)]
    held = _WITHOUT.sub("", text)  # "chrysotile-bearing" has it, and the hyphen of "n-hexane" is of its name
    agents += [keys[_key(one[0])] for said in (held, held.replace("-", " ")) for one in _every_name().finditer(said)]
    return tuple(rows[agent]["name"] for agent in dict.fromkeys(agents))


def commonly_held(text: str) -> tuple[Substance, ...]:
    """Return the agents that a material or product commonly holds whose name is no agent's; common practice, no source.

    >>> [agent.id for agent in commonly_held("Dust of old concrete")], commonly_held("bone glue dust")
    (['silica-crystalline'], ())
    """
    if find_substance(text) is not None:
        return ()
    rows = [row for row in table_rows("products") if re.search(rf"\b{re.escape(row['words'])}\b", text, re.IGNORECASE)]
    return tuple(_substance(agent) for agent in dict.fromkeys(a for row in rows for a in row["agents"].split(";")))


@cache
def _regulated() -> tuple[str, ...]:
    """The agents with a standard of their own that are called by one word: lead, asbestos, cadmium."""
    names = {row["id"].partition("-")[0] for row in table_rows("substances") if row["standard_general"]}
    return tuple(sorted(name for name in names if name.isalpha() and len(name) > 3 and _key(name) in _agents_by_key()))


def agents_named(text: str) -> tuple[tuple[str, str], ...]:
    """Return the agents that a text names in whole words, each name with its agent; short names may mean other things.

    >>> agents_named("Casts are sprayed with xylene")
    (('xylene', 'xylenes'),)
    """
    found = dict.fromkeys(match[0] for match in _telling_names().finditer(text))
    return tuple((name, _agents_by_key()[_key(name)]) for name in found)


@cache
def _telling_names() -> Words:
    grave = {row["id"] for row in table_rows("substances") if _standards(row)}
    grave |= {row["agent"] for row in table_rows("idlh") if row["unit"] == "ppm"}  # a dust has other names in a text
    names = {name for name, agent in _names() if agent in grave and len(name) >= _TELLING and name[0].isalpha()}
    longest_first = sorted(names, key=lambda name: (-len(name), name))
    return Words(longest_first, _whole_name)


@cache
def _every_name() -> Words:
    names = {name for name, _ in _names() if len(name) >= _TELLING and name[0].isalnum()}
    return Words(sorted(names, key=lambda name: (-len(name), name)), _whole_name)


def _whole_name(name: str) -> re.Pattern[str]:
    return re.compile(rf"(?<![\w-]){re.escape(name)}(?![\w-])", re.IGNORECASE)


def _standards(row: Row) -> str:
    """Return the standards of its own that an agent has, in whatever industry."""
    return row["standard_general"] + row["standard_construction"] + row["standard_shipyard"]


def near_names(text: str, most: int = 5) -> tuple[str, ...]:
    """Return names that somebody who typed this may have meant, likeliest first.

    >>> near_names("7439-97-6")[0]
    'Mercury, organo (alkyl) compounds (as Hg)'
    >>> near_names("tolune")[0], near_names("naphtha")[:2]
    ('Toluene', ('Coal tar naphtha', 'Petroleum distillates (naphtha)'))
    >>> {near_names(text)[0] for text in ("dust", "Respirable dust", "total dust", "fine particles")}
    {'Particulates not otherwise regulated (nuisance dust)'}
    """
    wanted = _key(text)
    if not wanted:
        return ()
    cas = _CAS.search(text)
    agents = list(_agents_by_cas().get(cas[0], ())) if cas else []
    agents += [_agent("nuisance dust")] if _ANY_DUST.fullmatch(text.strip()) else []
    if len(wanted) >= 3:
        whole_word = re.compile(rf"\b{re.escape(text.strip())}\b", re.IGNORECASE)
        holding = [(name, agent) for name, agent in _names() if wanted in _key(name)]
        holding.sort(key=lambda pair: (not whole_word.search(pair[0]), len(pair[0]), pair))
        agents += [agent for _, agent in holding]
    if len(set(agents)) < most:
        keys = _agents_by_key()
        agents += [keys[key] for key in get_close_matches(wanted, keys, n=most, cutoff=0.7)]
    names = _rows_by_agent()
    return tuple(names[agent]["name"] for agent in dict.fromkeys(agents))[:most]


def _limit(row: Row) -> Limit:
    is_formula = "%" in row["value"]
    return Limit(
        agent=row["agent"],
        industry=row["industry"],
        kind=LimitKind(row["kind"]),
        value=None if is_formula else float(row["value"]),
        formula=row["value"] if is_formula else "",
        unit=row["unit"],
        minutes=float(row["minutes"]),
        per_hours=_number(row["per_hours"]),
        fraction=row["fraction"],
        form=row["form"],
        mg_m3_as_printed=row["mg_m3_as_printed"],
        is_skin=row["skin"] == "yes",
        condition=row["condition"],
        citation=row["citation"],
        note=row["note"],
    )


def _is_for_form(row: Row, wanted: frozenset[str], state: str) -> bool:
    said = frozenset(row["form"].split(";")) & _PHYSICAL
    if state == "liquid" and row["fraction"] and "dust" in said:
        said |= {"mist"}  # the tables head droplets “total dust” too (glycerin, vegetable oil); a liquid makes no other
    return not said or not wanted or bool(said & wanted)


def limits_for(substance: Substance, industry: str, form: str = "") -> tuple[Limit, ...]:
    """Return the limits in force: TWA first, the action level last. Empty where none is published there.

    `form` ("dust", "fume", "mist-and-vapour" …) drops only limits printed for another form; without it,
    all are returned. Fractions and soluble or insoluble compounds stay side by side: each binds its own.

    >>> lead = find_substance("lead paint")
    >>> [(limit.kind.value, limit.value, limit.unit) for limit in limits_for(lead, "construction", "dust")]
    [('TWA', 50.0, 'ug/m3'), ('action-level', 30.0, 'ug/m3')]
    """
    wanted = frozenset(form.split("-")) & _PHYSICAL
    return tuple(
        _limit(row)
        for row in _limits_by_agent().get((substance.id, industry), ())
        if row["kind"] != "listed" and not row["condition"] and _is_for_form(row, wanted, substance.state)
    )


@cache
def _limited_in_ppm() -> frozenset[str]:
    return frozenset(agent for (agent, _), rows in _limits_by_agent().items() for row in rows if row["unit"] == "ppm")


def is_limited_in_ppm(substance: Substance) -> bool:
    """Whether the law counts the agent as parts of vapour or gas in the air, in any industry.

    >>> is_limited_in_ppm(find_substance("turpentine")), is_limited_in_ppm(find_substance("lead paint"))
    (True, False)

    References
    ----------
    29 CFR 1910.1000, Table Z-1, footnote (a): ppm are parts of vapour or gas.
    """
    return substance.id in _limited_in_ppm()


def conditional_limits(substance: Substance, industry: str) -> tuple[Limit, ...]:
    """Return the limits that hold only without its standard, or as a count in place of the mass limit."""
    rows = _limits_by_agent().get((substance.id, industry), ())
    return tuple(_limit(row) for row in rows if row["kind"] != "listed" and row["condition"])


def listing_notes(substance: Substance, industry: str) -> tuple[str, ...]:
    """Return what the law says instead of a number: simple asphyxiant, carcinogen, listed without one."""
    rows = _limits_by_agent().get((substance.id, industry), ())
    return tuple(f"{row['note']} ({row['citation']})" for row in rows if row["kind"] == "listed")
