"""The whole of the rules in one call: everything that is printed of a description is worked out here."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from progdoc.model.description.index import Index
from progdoc.model.load import Loaded
from progdoc.rules.adoption import with_adopted
from progdoc.rules.assignment import roster
from progdoc.rules.barred_work import barred_people, barred_work, barring_codes
from progdoc.rules.borrowed_values import borrowed_values
from progdoc.rules.cartridge_life.schedules import service_lives
from progdoc.rules.due.falling_due import due_outlook
from progdoc.rules.due.old_evidence import old_evidence
from progdoc.rules.evaluate import evaluate, findings
from progdoc.rules.facts import Facts
from progdoc.rules.facts_of_groups import tell_groups_apart
from progdoc.rules.group_verdicts import for_groups, of_groups, with_groups
from progdoc.rules.in_force.left_on import as_left_on
from progdoc.rules.in_force.policy_reach import in_force_on, of_whole_crews, serving_anybody
from progdoc.rules.in_force.rule_reach import as_presumed
from progdoc.rules.in_force.rule_set import rule_set
from progdoc.rules.in_force.states_of_work import binds_in
from progdoc.rules.judged.result import Judged
from progdoc.rules.lookup.substances import agent_standards
from progdoc.rules.mask_protection import with_filters
from progdoc.rules.masks.classes import classes_for
from progdoc.rules.masks.selection import select
from progdoc.rules.printed_facts import (
    emergencies_at,
    evaluated_tasks,
    filter_colours,
    gas_cartridges,
    loose_fitting,
    named_protocols,
    particle_filters,
)
from progdoc.rules.printed_figures import printed_figures
from progdoc.rules.questions.gathered import questions_about
from progdoc.rules.reading.catalogue import Catalogue
from progdoc.rules.reading.conditions import program_facts
from progdoc.rules.reading.question_list import question_list
from progdoc.rules.records.calendar_checks import calendar_days
from progdoc.rules.records.person_records import person_records
from progdoc.rules.refused_evidence import without_refused_evidence
from progdoc.rules.roles.named_roles import with_roles
from progdoc.rules.roles.responsibilities import responsibilities

__all__ = ["judge"]


def judge(loaded: Loaded, catalogue: Catalogue, as_of: date) -> Judged:
    """Judge a description that was understood."""
    program = loaded.program
    if program is None:
        raise ValueError("a description with faults of form cannot be judged")
    in_force = catalogue.in_force(as_of)
    program = as_left_on(program, as_of)
    program, filled = with_roles(program)
    program, presumed = as_presumed(program)
    program, refused = without_refused_evidence(program)
    everybody = (*in_force, *(one for r in in_force for one in r.in_states if binds_in(one.state, program, ())))
    program, adopted = with_adopted(program, everybody)
    adopted = replace(adopted, places={**adopted.places, **filled, **presumed})
    standing, law = in_force_on(program, as_of), catalogue.law_on(as_of)
    rules, of_crews = rule_set(law, serving_anybody(standing)), rule_set(law, of_whole_crews(standing))
    selection = select(of_crews, as_of)
    known = {requirement.code: requirement for requirement in (*catalogue.requirements, *in_force)}
    facts = Facts(rules, loaded.locate, as_of, selection, adopted, frozenset(known), refused)
    facts.rules_of_crews = of_crews
    tell_groups_apart(facts, standing)
    verdicts = evaluate(facts, in_force)
    found_for, views = of_groups(facts, in_force)
    selection = views[facts] if views else with_filters(facts, verdicts.open, in_force)
    people = roster(facts, in_force, verdicts, selection, views)
    verdicts = with_groups(facts, in_force, verdicts, found_for, views) if found_for else verdicts
    found = (*loaded.diagnostics, *findings(facts, verdicts.open))
    apart = for_groups(facts, selection, views)
    barring = barring_codes(selection)
    barred = barred_work(selection, (task for _, task in facts.our_tasks))
    judged = Judged(
        index=Index(program),
        adopted=frozenset(adopted.places),
        as_of=as_of,
        rules_pack=catalogue.pack,
        rules_version=catalogue.version,
        packs=catalogue.packs,
        requirements=in_force,
        known=known,
        sources=tuple(sorted(catalogue.sources.values())),
        agent_standards=agent_standards(),
        verdicts=verdicts,
        findings=found,
        questions=questions_about(facts, verdicts.open, found, question_list(), barring),
        open_texts=frozenset(path for path, _ in facts.empty_texts),
        program_facts=program_facts(facts),
        selection=selection,
        for_groups=apart,
        cartridge_changes=facts.cartridge_changes,
        service_lives=service_lives(facts.cartridge_changes),
        loose_fitting=loose_fitting(facts),
        evaluated_tasks=evaluated_tasks(facts),
        particle_filters=particle_filters(facts),
        gas_cartridges=gas_cartridges(facts),
        filter_colours=filter_colours(facts),
        protocols=named_protocols(facts),
        old_evidence=old_evidence(facts),
        figures=printed_figures(facts),
        roster=people,
        barred=(*barred, *barred_people(people, barred, verdicts.open, apart)),
        barring=barring,
        responsibilities=responsibilities(program, frozenset(filled)),
        emergencies_at=emergencies_at(facts),
        calendar=calendar_days(facts),
        due=due_outlook(facts, verdicts),
        records_of=person_records(facts),
        borrowed=borrowed_values(selection, facts.cartridge_changes.values(), catalogue.confirmed_on(as_of)),
        classes_for=lambda task: classes_for(program, selection.air[task]),
    )
    facts.forget_texts()
    return judged
