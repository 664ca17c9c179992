"""Names that are declared twice, or declared and never used."""

from __future__ import annotations

from trainer.procedure.checks_report import Report
from trainer.procedure.checks_subject import Subject
from trainer.procedure.checks_targets import amounts
from trainer.procedure.scope import Declared, Scope
from trainer.procedure.subset import Call, Node, Text, walk


def check_twice(scope: Scope, report: Report) -> None:
    """Two steps may not take a value under one name; a worked value may, where the unit is the same."""
    for name, found in scope.taken_at.items():
        first = found[0]
        for other in found[1:]:
            if not name.startswith("worked."):
                _report_twice(name, first, other, report)
            elif other.unit != first.unit:
                report.error(
                    "G16",
                    other.path,
                    f"`{name}` is worked out in {other.unit} here and in {first.unit} before.",
                    f"Work both out in {first.unit}, or give this one another name.",
                    [(first.path, "first worked out here")],
                )


def _report_twice(name: str, first: Declared, other: Declared, report: Report) -> None:
    report.error(
        "G16",
        other.path,
        f"`{name}` is taken at `{first.step}` already.",
        f"Give this one a name of its own, for instance `{name.partition('.')[2]}_again`.",
        [(first.path, "first taken here")],
    )


def check_unused(subject: Subject) -> None:
    """Settings, skills, judgements and signed words that nothing asks for. All are warnings."""
    procedure, report = subject.procedure, subject.report
    used = _used(subject)
    for name in procedure.settings:
        if f"settings.{name}" not in used:
            report.warning_at_key(
                "G17",
                ("settings", name),
                f"Nothing uses the setting `{name}`.",
                f"Use `settings.{name}` in a wait or a formula, or take the setting out.",
            )
    skills = {one.step.skill for one in subject.placed}
    for name in procedure.skills:
        if name not in skills:
            report.warning_at_key(
                "G17",
                ("skills", name),
                f"No step trains the skill `{name}`.",
                f"Write `skill: {name}` at a step, or take the skill out.",
            )
    for name, found in subject.scope.taken_at.items():
        path = found[0].path
        if name not in used and path[-2:] in (("judge", "name"), ("sign_off", "name")):
            report.warning(
                "G17",
                path,
                f"Nothing asks for `{name}`.",
                f"Let it decide the way: `go: [{{when: \"{name} == '{found[0].keys[-1]}'\", to: ...}}]`.",
            )


def _used(subject: Subject) -> set[str]:
    used: set[str] = set()
    for formula, _ in subject.all_formulas():
        used |= formula.names_used | asked_for(formula.tree)
    for one in subject.placed:
        used |= {amount for _, amount in amounts(one) if isinstance(amount, str)}
        if one.step.offer_setting is not None:
            used.add(f"settings.{one.step.offer_setting.setting}")
    return used


def asked_for(tree: Node) -> frozenset[str]:
    """The names that a formula asks `taken` about."""
    return frozenset(
        node.arguments[0].value
        for node in walk(tree)
        if isinstance(node, Call) and node.function == "taken" and isinstance(node.arguments[0], Text)
    )
