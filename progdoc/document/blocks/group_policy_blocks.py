"""What is otherwise in a task for a group of its crew, by a policy that does not bind the rest: a line each."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.numbers import number_text
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import said, said_in, said_join, said_measure, said_number
from progdoc.document.blocks.answers import in_quotes
from progdoc.document.tree.nodes import Block, Listing, ListItem, Paragraph
from progdoc.document.tree.spoken_text import spoken
from progdoc.model.description.words import label_of
from progdoc.rules.judged.mask_results import OfGroup
from progdoc.rules.judged.result import Judged

__all__ = ["group_policy_blocks", "lines_for_group"]


def group_policy_blocks(judged: Judged, language: Language = ENGLISH) -> dict[str, tuple[Block, ...]]:
    """Return for every task "group-policies.ID"; empty where the same binds all of its crew."""
    return {
        f"group-policies.{task}": _listed(f"group-policies.{task}", judged.for_groups.get(task, ()), language)
        for task in judged.index.tasks
    }


def _listed(base: str, groups: tuple[OfGroup, ...], language: Language) -> tuple[Block, ...]:
    lines = [
        said("For %(whom)s: %(what)s", whom=group.names, what=words)
        for group in groups
        for words in lines_for_group(group)
    ]
    items = (
        ListItem(f"{base}.{n}", (Paragraph(f"{base}.{n}.words", spoken(language, said_in(language, words))),))
        for n, words in enumerate(lines, 1)
    )
    return (Listing(f"{base}.list", False, tuple(items)),) if lines else ()


def lines_for_group(group: OfGroup) -> Iterator[str]:
    """Yield what is otherwise for a group in a task, a sentence each, with who asks for it."""
    if group.masks_for:
        yield said("a mask must be worn (%(by)s).", by=in_quotes(said_join(group.masks_for, "; ")))
    if group.is_danger:
        yield said("this air counts as immediately dangerous.")
    if group.standby:
        number, by = said_number(f"{int(group.standby.number)}"), in_quotes(group.standby.origin)
        yield said("while one of them is inside, %(number)s or more stay outside (%(by)s).", number=number, by=by)
    for agent, limit in group.limits:
        yield said("limit of %(agent)s: %(limit)s.", agent=agent, limit=in_quotes(limit.in_words))
    for worn in group.barred:
        origins = dict.fromkeys(reason.words.get("citation", "") for reason in worn.bars)
        by = in_quotes(said_join(filter(None, origins), "; "))
        yield said("not the %(mask)s (%(by)s).", mask=label_of(worn.mask), by=by)
    for worn in group.credits:
        cap = worn.credit.cap
        if cap is not None:
            factor, by = number_text(cap.value, "down"), in_quotes(cap.origin)
            mask = label_of(worn.mask)
            yield said("%(mask)s: a protection factor of %(factor)s at most (%(by)s).", mask=mask, factor=factor, by=by)
    for part, longest in group.changes:
        time, by = said_measure(longest.printed), in_quotes(longest.origin)
        yield said("%(filter)s: never longer than %(time)s in use (%(by)s).", filter=part, time=time, by=by)
