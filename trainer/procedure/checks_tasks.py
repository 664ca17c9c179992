"""What a task says of itself: units that fit, windows that can be met, questions that give nothing away."""

from __future__ import annotations

from trainer.procedure import units
from trainer.procedure.checks_report import Report
from trainer.procedure.checks_subject import Subject
from trainer.procedure.checks_targets import amounts
from trainer.procedure.graph import Placed, placed_steps
from trainer.procedure.model import Procedure
from trainer.procedure.problems import nearest
from trainer.procedure.quantity import Quantity
from trainer.procedure.scope import Scope
from trainer.procedure.subset import COMPARISONS, Binary, Name, column, walk
from trainer.procedure.text import in_language
from trainer.procedure.tokens import FormulaFault

LONGEST_WAIT = 100.0
"""Days. A longer one is a slip of the pen: no plate waits so long, and no screen could show it."""
FEWEST_QUIZZES = 3
"""With fewer questions, the longest answer may be right by chance."""


def check_waits(procedure: Procedure, scope: Scope, report: Report) -> None:
    """Amounts by name: there, and of the kind a wait counts; no wait without end; windows that can be met."""
    for one in placed_steps(procedure):
        for key, amount in amounts(one):
            if isinstance(amount, str):
                _check_named_amount(one, key, amount, scope, report)
            _check_length(one, key, amount, procedure, report)
        _check_window(one, procedure, report)


def _check_named_amount(one: Placed, key: str, amount: str, scope: Scope, report: Report) -> None:
    path = (*one.path, "wait", key)
    declared = scope.names.get(amount)
    wanted = "units" if key == "dose" else "s"
    if declared is None:
        if amount.startswith("worked."):
            near = nearest(amount, (name for name in scope.names if name.startswith("worked.")))
            report.error(
                "C12",
                path,
                f"No step works out a value called `{amount.partition('.')[2]}`.",
                f"Did you mean `{near}`?"
                if near
                else "Work it out in a step before this one, with work_out.",
            )
        return
    if units.known(declared.unit) and not units.same_kind(declared.unit, wanted):
        what = "the integrator's units" if key == "dose" else "a time, for instance in s"
        report.error(
            "G20",
            path,
            f"`{amount}` is in {declared.unit}, and `{key}` wants {what}.",
            "Write a value of that kind, or change the unit where the value is declared.",
            [(declared.path, "declared here")],
        )


def _check_length(
    one: Placed, key: str, amount: Quantity | str, procedure: Procedure, report: Report
) -> None:
    span = _span(amount, procedure)
    days = 0.0 if span is None else units.convert(span.greatest, "s", "days")
    if days <= LONGEST_WAIT:
        return
    most = f"{units.plain(LONGEST_WAIT)} days at most"
    written = isinstance(amount, Quantity)
    report.error(
        "G25",
        (*one.path, "wait", key),
        f"{'This wait takes' if written else f'With `{amount}` a shop can make this wait take'} "
        f"{units.plain(days)} days; it may take {most}.",
        f"Write a shorter time: `{key}: 1 min 30 s`." if written else "Change `between` of the setting.",
    )


def _check_window(one: Placed, procedure: Procedure, report: Report) -> None:
    wait = one.step.wait
    if wait is None or wait.at_least is None or wait.at_most is None:
        return
    least, most = _span(wait.at_least, procedure), _span(wait.at_most, procedure)
    if least is None or most is None:
        return
    path = (*one.path, "wait", "at_most")
    if least.usual > most.usual:
        report.error(
            "G18",
            path,
            "The window closes before it opens: its least is over its most.",
            f"Write an `at_most` of {units.shown(least.usual, 's')} or more.",
            [((*one.path, "wait", "at_least"), "its least")],
        )
    elif least.greatest > most.smallest:
        report.warning(
            "G18",
            path,
            "A shop can set this window to close before it opens: "
            f"at least {units.shown(least.greatest, 's')}, at most {units.shown(most.smallest, 's')}.",
            "Change `between` of the settings so that the two cannot cross.",
            [((*one.path, "wait", "at_least"), "its least")],
        )


class _Span:
    """An amount of time in seconds: as the file has it, and from where to where a shop can set it."""

    def __init__(self, usual: float, smallest: float, greatest: float) -> None:
        self.usual = usual
        self.smallest = smallest
        self.greatest = greatest


def _span(amount: Quantity | str, procedure: Procedure) -> _Span | None:
    """None where it is no time, or only known in a run."""
    if isinstance(amount, Quantity):
        if not units.same_kind(amount.unit, "s"):
            return None
        seconds = units.convert(amount.value, amount.unit, "s")
        return _Span(seconds, seconds, seconds)
    setting = procedure.settings.get(amount.removeprefix("settings."))
    if setting is None or not (units.known(setting.unit) and units.same_kind(setting.unit, "s")):
        return None
    usual, least, most = (
        units.convert(value, setting.unit, "s") for value in (setting.value, *setting.between)
    )
    return _Span(usual, least, most)


def check_units(subject: Subject) -> None:
    """Values that are compared, added or handed on by name alone must be in one unit: formulas know none."""
    scope = subject.scope
    for expression, path in subject.all_formulas():
        tree = expression.tree
        if isinstance(tree, Name) and expression.unit and not _same(scope, tree, expression.unit):
            fault = FormulaFault(
                "G20",
                f"`{tree.name}` is in {scope.names[tree.name].unit}, not in {expression.unit}.",
                "Declare both in the same unit.",
                column(tree),
            )
            subject.report.fault(fault, path, expression.text)
        for node in walk(tree):
            if isinstance(node, Binary) and node.sign in COMPARISONS | {"+", "-"}:
                fault_at = _pair(node, scope)
                if fault_at is not None:
                    subject.report.fault(fault_at, path, expression.text)


def _pair(node: Binary, scope: Scope) -> FormulaFault | None:
    """The fault of two values in different units on both sides of a sign."""
    left, right = node.left, node.right
    if not (isinstance(left, Name) and isinstance(right, Name)):
        return None
    unit, other = scope.names[left.name].unit, scope.names[right.name].unit
    if not unit or not other or unit == other:
        return None
    return FormulaFault(
        "G20",
        f"`{left.name}` is in {unit} and `{right.name}` in {other}; a formula does not convert units.",
        "Declare both in the same unit.",
        node.at + 1,
    )


def _same(scope: Scope, name: Name, unit: str) -> bool:
    own = scope.names[name.name].unit
    return not own or own == unit


def check_quizzes(procedure: Procedure, report: Report) -> None:
    """Where the right answer is the longest every time, length gives it away."""
    asked = [
        (one, one.step.quiz)
        for one in placed_steps(procedure)
        if one.step.quiz is not None and one.step.quiz.choice is not None
    ]
    if len(asked) < FEWEST_QUIZZES:
        return
    for _, quiz in asked:
        lengths = {key: len(in_language(words)) for key, words in (quiz.choice or {}).items()}
        right = lengths.pop(str(quiz.right), 0)
        if right <= max(lengths.values(), default=0):
            return
    report.warning(
        "G19",
        (*asked[0][0].path, "quiz", "right"),
        f"In all {len(asked)} questions with one answer to pick, the right answer is the longest.",
        "Shorten some right answers, or make some wrong ones as long: people learn to pick the longest.",
    )
