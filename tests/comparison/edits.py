"""Edits of known effect, put into the complete sample: what a reviewer has to be told of each, and what not.

Each kind draws where it edits and by how much; what it expects stands beside it and rests on 29 CFR 1910.134 and on the
meaning of the words, never on what the comparison happens to say.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from typing import Any

from comparison.tried import Case, Values, sample
from programs.patching import read_as_text

__all__ = ["KINDS"]

LESS, READ, LOST, REST, MORE, DUTIES, FIGURES = (
    "DANGER",
    "CAUTION  Read these: words",
    "CAUTION  Read these: facts",
    "The rest",
    "More",
    "Duties",
    "Other figures",
)
BARRED, DOUBTS, TIME, WARNED = "CAUTION  Barred", "Cautions", "By time", "CAUTION  Before"
QUIET = (LESS, READ, LOST, MORE, BARRED, DOUBTS, TIME, DUTIES, FIGURES)


# ---- where to edit ------------------------------------------------------------------------------------


def _pick(rng: random.Random, things: list[Any]) -> Any:
    return things[rng.randrange(len(things))]


def _worn(values: Values) -> list[Values]:
    return [task for task in values["tasks"] if task.get("use") == "required"]


def _sampled(values: Values) -> list[Values]:
    return [hazard for hazard in values["hazards"] if hazard["exposure"]["kind"] == "samples"]


def _task_of(values: Values, hazard: Values) -> str:
    return next(task["name"] for task in values["tasks"] if task["id"] == hazard["task"])


def _amount(text: str, times: float) -> str:
    number, unit = text.split(" ", 1)
    return f"{float(number) * times:.6g} {unit}"


# ---- protection and evidence --------------------------------------------------------------------------


def weaker_mask(rng: random.Random) -> Case:
    """A half mask has 10, a full facepiece 50 (29 CFR 1910.134, Table 1)."""
    new = sample()
    task = _pick(rng, [task for task in _worn(new) if any(use["mask"] == "full-face" for use in task["masks"])])
    use = next(use for use in task["masks"] if use["mask"] == "full-face")
    use["mask"] = "half-mask"
    return Case(sample(), new, {LESS: (task["name"], "lowest protection factor worn")}, (MORE,))


def no_mask(rng: random.Random) -> Case:
    new = sample()
    task = _pick(rng, _worn(new))
    task["masks"] = []
    return Case(sample(), new, {LESS: (task["name"], "no mask")}, (MORE,))


def mask_not_required(rng: random.Random) -> Case:
    new = sample()
    task = _pick(rng, _worn(new))
    task["use"] = "voluntary"
    return Case(sample(), new, {LESS: (task["name"], "required → voluntary")}, (MORE,))


def hazard_deleted(rng: random.Random) -> Case:
    new = sample()
    hazard = new["hazards"].pop(rng.randrange(len(new["hazards"])))
    return Case(sample(), new, {LESS: (_task_of(new, hazard), f"hazard taken out: {hazard['agent']}")}, (MORE,))


def hazards_of_a_task_deleted(rng: random.Random) -> Case:
    new = sample()
    task = _pick(rng, _worn(new))
    gone = [hazard for hazard in new["hazards"] if hazard["task"] == task["id"]]
    new["hazards"] = [hazard for hazard in new["hazards"] if hazard["task"] != task["id"]]
    return Case(sample(), new, {LESS: (task["name"], *(hazard["agent"] for hazard in gone))}, (MORE,))


def hazard_deleted_that_hid_a_long_schedule(rng: random.Random) -> Case:
    new = sample()
    gone = [h for h in new["hazards"] if h["task"] == "spray-varnish"]
    new["hazards"] = [h for h in new["hazards"] if h["task"] != "spray-varnish"]
    plan = next(p for p in new["procedures"]["filter_changes"]["schedules"] if p["id"] == "varnish-cartridges")
    plan["after"] = f"{rng.randrange(20, 60)} h"
    said = (*(h["agent"] for h in gone), plan["after"], "Still named by", "longest use of a cartridge")
    return Case(sample(), new, {LESS: said}, (MORE,))


def samples_taken_out(rng: random.Random) -> Case:
    new = sample()
    hazard = _pick(rng, [h for h in _sampled(new) if len(h["exposure"]["results"]) > 1])
    gone = hazard["exposure"]["results"].pop(rng.randrange(len(hazard["exposure"]["results"])))
    return Case(sample(), new, {LESS: (_task_of(new, hazard), "fewer samples", gone["concentration"])}, (MORE,))


def evidence_weakened(rng: random.Random) -> Case:
    new = sample()
    hazard = _pick(rng, _sampled(new))
    hazard["exposure"] = {"kind": "unknown"}
    said = (_task_of(new, hazard), "weaker evidence of the level", "samples → unknown")
    return Case(sample(), new, {LESS: said}, (MORE,))


def level_now_known(rng: random.Random) -> Case:
    old, new = sample(), sample()
    number = rng.choice([i for i, h in enumerate(old["hazards"]) if h["exposure"]["kind"] == "samples"])
    old["hazards"][number]["exposure"] = {"kind": "unknown"}
    return Case(old, new, {FIGURES: (new["hazards"][number]["agent"], "now known")}, (LESS, READ))


def level_raised(rng: random.Random) -> Case:
    """Two thousand times what was found is over any mask of the sample."""
    new = sample()
    hazard = _pick(rng, [h for h in _sampled(new) if any(t["id"] == h["task"] for t in _worn(new))])
    for result in hazard["exposure"]["results"]:
        result["concentration"] = _amount(result["concentration"], 2000)
        result.pop("below_detection", None)
    return Case(sample(), new, {LESS: (_task_of(new, hazard), "does not protect", "concentration")}, (MORE,))


def level_lowered(rng: random.Random) -> Case:
    new = sample()
    hazard = next(hazard for hazard in new["hazards"] if hazard["id"] == "sash-lead")
    for result in hazard["exposure"]["results"]:
        result["concentration"] = _amount(result["concentration"], rng.uniform(0.2, 0.9))
    return Case(sample(), new, {FIGURES: (hazard["agent"], "the air asks for less", "concentration")}, (LESS, MORE))


def control_taken_out(rng: random.Random) -> Case:
    new = sample()
    task = _pick(rng, [task for task in new["tasks"] if task.get("controls")])
    gone = task["controls"].pop(rng.randrange(len(task["controls"])))
    return Case(sample(), new, {LESS: (task["name"], "control taken out", gone[:40])}, (MORE,))


def control_cut_down(rng: random.Random) -> Case:
    new = sample()
    task = _pick(rng, [task for task in new["tasks"] if task.get("controls")])
    number = rng.randrange(len(task["controls"]))
    words = task["controls"][number].split()
    task["controls"][number] = " ".join(words[: max(len(words) // 2, 2)])
    return Case(sample(), new, {LESS: (task["name"], "control cut down"), READ: (task["name"],)}, (MORE,))


def schedule_lengthened(rng: random.Random) -> Case:
    new = sample()
    plan = _pick(rng, new["procedures"]["filter_changes"]["schedules"])
    plan["after"] = f"{rng.randrange(20, 60)} h"
    return Case(sample(), new, {LESS: ("longest use of a cartridge", plan["after"])}, (MORE,))


def oxygen_short(rng: random.Random) -> Case:
    """Air below 19.5 % is short of oxygen and immediately dangerous (29 CFR 1910.134(b), (d)(2)(iii))."""
    new = sample()
    task = _pick(rng, _worn(new))
    task["oxygen"] = {"lowest": f"{rng.randrange(12, 19)} %", "by": "Ada Brook", "date": "2026-11-01"}
    return Case(sample(), new, {LESS: (task["name"], "immediately dangerous", "oxygen")}, (MORE,))


# ---- what the firm binds itself by --------------------------------------------------------------------

_POLICY = {"id": "host", "by": "Northbridge Diocese", "source": "Rules 2026", "evidence_interval": "6 months"}
_LOOSER = (
    ("fit_test_interval", "6 months", "9 months"),
    ("half_mask_pass", "200", "150"),
    ("least_oxygen", "20 %", "19.6 %"),
    ("clean_shaven", "yes", "no"),
    ("standby", "3", "2"),
    ("cartridge_change", "4 h", "7 h"),
)


def policy_taken_out(rng: random.Random) -> Case:
    old, new = sample(), sample()
    old["policies"] = [{**_POLICY, "fit_test_interval": f"{rng.randrange(4, 9)} months"}]
    return Case(old, new, {LESS: ("policy taken out", "Northbridge Diocese")}, (MORE,))


def policy_loosened(rng: random.Random) -> Case:
    old, new = sample(), sample()
    name, strict, loose = _pick(rng, list(_LOOSER))
    old["policies"], new["policies"] = [{**_POLICY, name: strict}], [{**_POLICY, name: loose}]
    return Case(old, new, {LESS: ("policy loosened", name.replace("_", " "))}, (MORE,))


def policy_added(rng: random.Random) -> Case:
    old, new = sample(), sample()
    new["policies"] = [{**_POLICY, "standby": str(rng.randrange(2, 5))}]
    return Case(old, new, {MORE: ("Northbridge Diocese",)})


_BOUNDS = (
    ("filters", 0, "most", "900 ppm"),
    ("tasks", 0, "turn", "20 min"),
    ("tasks", 0, "way_out", "3 min"),
    ("tasks", 0, "never_same_day", ["coat-columns"]),
    ("masks", 0, "service_time", "30 min"),
)
_ASKED_FOR = (
    ("selection", "how"),
    ("medical", "confidential"),
    ("emergencies", "mask_fails"),
    ("cleaning", "exclusive"),
    ("storage", "where"),
    ("repair", "discarding"),
    ("evaluation", "how"),
    ("records", "program_copy"),
)


def duty_dropped(rng: random.Random) -> Case:
    """Each of these is asked for by a paragraph of its own."""
    new = sample()
    section, name = _pick(rng, list(_ASKED_FOR))
    del new["procedures"][section][name]
    return Case(sample(), new, {LESS: ("open", name.replace("_", " ")), DUTIES: ("Now open",)}, (MORE,))


def duty_turned(rng: random.Random) -> Case:
    """A yes that the law asks for, turned into a no."""
    new = sample()
    section, name = _pick(rng, [("use", "watched"), ("medical", "answers_unseen"), ("fit_testing", "everybody_tested"),
                                ("storage", "keeps_shape"), ("medical", "follow_up")])  # fmt: skip
    new["procedures"][section][name] = "no"
    return Case(sample(), new, {LESS: ("open", name.replace("_", " "), "yes → no"), DUTIES: ("Now open",)}, (MORE,))


# ---- texts that no program judges ---------------------------------------------------------------------


def emergency_turned_round(rng: random.Random) -> Case:
    new = sample()
    emergency = _pick(rng, new["procedures"]["emergencies"]["foreseeable"])
    emergency["crew"] = "Go in at once and bring everybody out, whatever the meter shows."
    return Case(sample(), new, {READ: ("Go in at once", "29 CFR 1910.134")}, (MORE,))


def bound_dropped(rng: random.Random) -> Case:
    """What only bounds a danger: no paragraph asks for some of them, and without them more is allowed."""
    old, new = sample(), sample()
    kind, number, name, said = _pick(rng, list(_BOUNDS))
    old[kind][number][name] = said
    new[kind][number].pop(name, None)
    thing = new[kind][number]["name"]
    return Case(old, new, {LESS: (thing, name.replace("_", " "))}, (MORE,))


def bound_loosened(rng: random.Random) -> Case:
    old, new = sample(), sample()
    old["filters"][0]["most"], new["filters"][0]["most"] = "900 ppm", f"{rng.randrange(1000, 9000)} ppm"
    return Case(old, new, {LESS: (new["filters"][0]["name"], new["filters"][0]["most"])}, (MORE,))


def pressure_dropped(rng: random.Random) -> Case:
    """Nobody knows whether a cylinder is full whose pressure nobody wrote down (29 CFR 1910.134(h)(3)(iii))."""
    old, new = sample(), sample()
    looked = {"date": "2026-11-02", "by": "Ada Brook", "result": "serviceable"}
    for side, pressure in ((old, {"pressure": "95 %"}), (new, {})):
        side["masks"][0]["units"] = [{"id": "one", "inspections": [{**looked, **pressure}]}]
    return Case(old, new, {LESS: (new["masks"][0]["name"], "pressure")}, (MORE,))


def fact_dropped(rng: random.Random) -> Case:
    """What bounds nothing by itself is still to be read: the rules may have nothing more to say of it."""
    old, new = sample(), sample()
    old["masks"][0]["withdrawn"] = {"since": "2026-11-02", "because": "Its valve leaks"}
    return Case(old, new, {LOST: (new["masks"][0]["name"], "withdrawn")}, (MORE,))


def emergency_taken_out(rng: random.Random) -> Case:
    new = sample()
    listed = new["procedures"]["emergencies"]["foreseeable"]
    gone = listed.pop(rng.randrange(len(listed)))
    return Case(sample(), new, {LESS: ("emergency taken out", gone["what"][:40])}, (MORE,))


def own_text_lets_people_in(rng: random.Random) -> Case:
    new = sample()
    section = _pick(rng, new["own_sections"])
    section["text"] = f"Whoever is in a hurry may go in without a mask. {section['text']}"
    return Case(sample(), new, {READ: (section["title"], "without a mask")}, (LESS, MORE))


def caution_prolonged(rng: random.Random) -> Case:
    new = sample()
    new["accepted"][0]["until"] = f"2027-0{rng.randrange(1, 10)}-15"
    return Case(sample(), new, {DOUBTS: ("caution accepted until", "2027")}, (LESS, MORE))


def open_finding_taken_out(rng: random.Random) -> Case:
    old, new = sample(), sample()
    old["procedures"]["evaluation"]["findings"].append(
        {
            "id": "straps",
            "date": "2026-10-01",
            "what": f"{rng.randrange(2, 9)} masks with worn straps",
            "due": "2026-12-20",
        }
    )
    return Case(old, new, {LESS: ("open finding taken out", "worn straps")}, (MORE,))


# ---- people -------------------------------------------------------------------------------------------


def _who_works(values: Values) -> list[Values]:
    named = {person for task in _worn(values) for person in task.get("people", ())}
    return [person for person in values["people"] if person["id"] in named and person.get("fit_tests")]


def fit_tests_lost(rng: random.Random) -> Case:
    new = sample()
    person = _pick(rng, _who_works(new))
    person["fit_tests"] = []
    return Case(sample(), new, {BARRED: ("Barred from a task",)}, (LESS, MORE))


def clearance_lost(rng: random.Random) -> Case:
    new = sample()
    person = _pick(rng, _who_works(new))
    person["medical"] = []
    return Case(sample(), new, {BARRED: ("Barred from a task",)}, (LESS, MORE))


def failed_test_taken_out(rng: random.Random) -> Case:
    """A newer test that was failed bars its wearer (29 CFR 1910.134(f)(1)); without its record nothing is better."""
    old = sample()
    person = _pick(rng, _who_works(old))
    failed = {**person["fit_tests"][-1], "date": "2026-11-20", "result": "fail"}
    failed.pop("fit_factor", None)
    person["fit_tests"].append(failed)
    return Case(old, sample(), {BARRED: ("Free only because a record or a rule was taken out",)}, (LESS, MORE))


# ---- only words, and nothing --------------------------------------------------------------------------


def task_renamed(rng: random.Random) -> Case:
    new = sample()
    task = _pick(rng, new["tasks"])
    old_name, task["name"] = task["name"], "Work at the north side"
    return Case(sample(), new, {REST: (f"Renamed: {old_name} → Work at the north side",)}, QUIET)


def id_changed(rng: random.Random) -> Case:
    new = sample()
    task = _pick(rng, new["tasks"])
    was, task["id"] = task["id"], "job-7"
    renamed = read_as_text(json.dumps(new).replace(f'"{was}"', '"job-7"'))
    return Case(sample(), renamed, {REST: (f"Renamed: {was} → job-7",)}, QUIET)


def id_and_name_changed(rng: random.Random) -> Case:
    case = id_changed(rng)
    task = next(task for task in case.new["tasks"] if task["id"] == "job-7")
    task["name"] = "Work at the north side"
    return Case(case.old, case.new, {REST: ("job-7", "Work at the north side")}, QUIET)


def person_renamed(rng: random.Random) -> Case:
    new = sample()
    _pick(rng, new["people"][4:])["name"] = "Rowan Ashgrove"
    return Case(sample(), new, {REST: ("In all",)}, QUIET)


def words_of_a_task(rng: random.Random) -> Case:
    new = sample()
    task = _pick(rng, [task for task in new["tasks"] if task.get("description")])
    task["description"] += " The firm has done this since it was founded."
    return Case(sample(), new, {REST: ("Only words", task["name"])}, QUIET)


def spaces_and_points(rng: random.Random) -> Case:
    new = sample()
    section = _pick(rng, new["own_sections"])
    section["text"] = section["text"].replace(". ", ".  ").replace(",", " ,")
    return Case(sample(), new, {REST: ("Only words",)}, QUIET)


def text_moved(rng: random.Random) -> Case:
    new = sample()
    rng.shuffle(new["own_sections"])
    if [s["id"] for s in new["own_sections"]] == [s["id"] for s in sample()["own_sections"]]:
        new["own_sections"].reverse()
    return Case(sample(), new, {REST: ("own sections",)}, QUIET)


def same_amount(rng: random.Random) -> Case:
    new = sample()
    hazard = next(h for h in new["hazards"] if h["id"] == "sash-lead")
    for result in hazard["exposure"]["results"]:
        result["concentration"] = f"{float(result['concentration'].split()[0]) / 1000:.6g} mg/m3"
    new["procedures"]["fit_testing"]["interval"] = rng.choice(["12 months", "1 year"])
    return Case(sample(), new, {}, is_empty=True)


def order_of_people_and_tasks(rng: random.Random) -> Case:
    new = sample()
    rng.shuffle(new["people"])
    for task in new["tasks"]:
        rng.shuffle(task.get("people") or [])
        rng.shuffle(task.get("gear") or [])
    return Case(sample(), new, {}, is_empty=True)


def task_taken_out(rng: random.Random) -> Case:
    """A task that goes with its hazards is no evidence lost, and is named."""
    new = sample()
    task = new["tasks"].pop(rng.randrange(len(new["tasks"])))
    new["hazards"] = [hazard for hazard in new["hazards"] if hazard["task"] != task["id"]]
    for other in new["tasks"]:
        other["never_same_day"] = [name for name in other.get("never_same_day", ()) if name != task["id"]]
    plans = new["procedures"]["filter_changes"]["schedules"]
    for plan in plans:
        plan["tasks"] = [name for name in plan.get("tasks", ()) if name != task["id"]]
    new["procedures"]["filter_changes"]["schedules"] = [plan for plan in plans if plan["tasks"]]
    return Case(sample(), new, {REST: ("Went:", task["name"])}, (BARRED,))


# ---- two at once, and the sides themselves ------------------------------------------------------------


def two_edits(rng: random.Random) -> Case:
    """The causes of two edits are not mixed up."""
    new = sample()
    task, other = rng.sample([task for task in new["tasks"] if task.get("controls")], 2)
    task["controls"].pop()
    other["name"] = "Work at the north side"
    return Case(
        sample(), new, {LESS: (task["name"], "control taken out"), REST: ("Work at the north side",)}, (MORE, BARRED)
    )


def another_firm(rng: random.Random) -> Case:
    new = sample()
    new["organisation"]["name"] = rng.choice(["Harbour & Slate", "Old Walls"])
    return Case(sample(), new, {WARNED: ("Two firms", "Both are called revision 2026.2")}, (LESS, MORE, BARRED))


KINDS: tuple[Callable[[random.Random], Case], ...] = (
    weaker_mask, no_mask, mask_not_required, hazard_deleted, hazards_of_a_task_deleted,
    hazard_deleted_that_hid_a_long_schedule, samples_taken_out, evidence_weakened, level_now_known, level_raised,
    level_lowered, control_taken_out, control_cut_down, schedule_lengthened, oxygen_short, policy_taken_out,
    policy_loosened, policy_added, duty_dropped, duty_turned, emergency_turned_round, emergency_taken_out,
    bound_dropped, bound_loosened, pressure_dropped, fact_dropped,
    own_text_lets_people_in, caution_prolonged,
    open_finding_taken_out, fit_tests_lost, clearance_lost,
    failed_test_taken_out, task_renamed, id_changed, id_and_name_changed, person_renamed, words_of_a_task,
    spaces_and_points, text_moved, same_amount, order_of_people_and_tasks, task_taken_out, two_edits, another_firm,
)  # fmt: skip
