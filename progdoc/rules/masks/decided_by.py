"""Who decided what speaks against a mask: the law, or the policy without which nothing would.

The same description is judged with fewer policies: with none, then with one more each time. What already speaks against
a mask without any is the law's; anything else is cited to the policy with which it comes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from progdoc.rules.in_force.policy_reach import origin_of
from progdoc.rules.in_force.rule_set import RuleSet, rule_set
from progdoc.rules.judged.mask_results import Selection
from progdoc.rules.reasons import Reason

__all__ = ["cite_policies"]

# Their words hold a figure that a policy moves, or one of several paragraphs: of one agent it is the same all the same.
_ONE_FOR_AN_AGENT = ("SEL-001", "SEL-003", "SEL-005", "SEL-012", "EXP-017")

Judge = Callable[[RuleSet], Selection]
Ids = tuple[str, ...]


def cite_policies(rules: RuleSet, judge: Judge) -> Selection:
    """Judge masks and air; every reason that a policy alone brings about cites it and who set it."""
    found = judge(rules)
    if not rules.program.policies:
        return found
    deciding = _Deciding(rules, judge)
    reasons = {ids: tuple(deciding.cited(ids, reason) for reason in held) for ids, held in found.reasons.items()}
    masks = {
        (task, mask): replace(verdict, reasons=reasons[f"tasks.{task}", f"masks.{mask}"])
        for (task, mask), verdict in found.masks.items()
    }
    return replace(found, reasons=reasons, masks=masks)


class _Deciding:
    """Judges with the first few policies, each number of them once."""

    def __init__(self, rules: RuleSet, judge: Judge) -> None:
        self._rules = rules
        self._judge = judge
        self._origins = [origin_of(policy) for policy in rules.program.policies]
        self._under_first: list[dict[Ids, frozenset[object]]] = []  # with none, with one, with two …

    def cited(self, ids: Ids, reason: Reason) -> Reason:
        """Return a reason with the policy that decided it as its citation, if one did."""
        if reason.words.get("citation") in self._origins:
            return reason  # who set its figure was known where it was judged
        key = _key(reason)
        for count, origin in enumerate(["", *self._origins[:-1]]):
            if key in self._reasons(count).get(ids, frozenset()):
                return replace(reason, words={**reason.words, "citation": origin}) if origin else reason
        return replace(reason, words={**reason.words, "citation": self._origins[-1]})

    def _reasons(self, count: int) -> dict[Ids, frozenset[object]]:
        while len(self._under_first) <= count:
            policies = self._rules.program.policies[: len(self._under_first)]
            fewer = self._rules.program.model_copy(update={"policies": policies})
            held = self._judge(rule_set(self._rules.law, fewer)).reasons
            self._under_first.append({ids: frozenset(map(_key, reasons)) for ids, reasons in held.items()})
        return self._under_first[count]


def _key(reason: Reason) -> object:
    """What is the same about a reason under fewer policies."""
    if reason.code in _ONE_FOR_AN_AGENT:
        return reason.code, reason.path, reason.words.get("agent", "")
    words = {name: text for name, text in reason.words.items() if name != "citation"}
    return reason.code, reason.path, tuple(sorted(words.items()))
