"""What is said about a question, in words an instructor understands."""

from __future__ import annotations

from trainer.insight.results import QuestionRow
from trainer.screens.review import in_words

SHORT = {
    "check-key": "check the key",
    "wrong-one-popular": "wrong one leads",
    "nobody-takes": "an unused answer",
    "everybody-right": "everybody right",
    "stays-wrong": "stays wrong",
    "few": "too few answers",
}
"""For a column, by remark."""
LONG = {
    "check-key": (
        "Check the key: the abler half has it right less often than the others. Most often the answer held "
        "to be right is wrong, or the question can be read in two ways."
    ),
    "wrong-one-popular": (
        "A wrong answer is taken more often than the right one. Either something is taught so that it leads "
        "there, or the wrong answer holds in some shops: read both beside the procedure, then reword one."
    ),
    "nobody-takes": (
        "Some answer is taken by nobody, so it does not help to tell who knows. Replace it by a mistake "
        "that you have seen at the sink."
    ),
    "everybody-right": (
        "Everybody has it right. It tells nobody apart; keep it if it is there to remind, else ask "
        "something else."
    ),
    "stays-wrong": (
        "It stays wrong after the reason was read: whoever missed it misses it again. Read question and "
        "reason as a beginner would, and reword the reason."
    ),
    "few": "Too few first answers to say anything of the question. Look again when more have come to it.",
}
"""For the page of one question, by remark."""
SAFE = (
    "This one is about safety: that everybody has it right is the aim, and no reason to change it. Teach "
    "it again to whoever missed it."
)
_HEED = {"check-key": 4, "wrong-one-popular": 3, "stays-wrong": 2, "nobody-takes": 1}


def heed(row: QuestionRow) -> int:
    """How much a question asks to be looked at: 0 not at all, from 2 on with a mark."""
    return max((_HEED.get(remark, 0) for remark in row.remarks), default=0)


def short(row: QuestionRow) -> str:
    """The remark that asks most to be looked at, and how many more there are; `!` where not all is well."""
    if not row.remarks:
        return ""
    first = max(row.remarks, key=lambda remark: _HEED.get(remark, 0))
    more = f" +{len(row.remarks) - 1}" if len(row.remarks) > 1 else ""
    return ("! " if heed(row) > 1 else "") + SHORT.get(first, first) + more


def apart_words(row: QuestionRow, *, wide: bool) -> str:
    """How well it tells those who know from those who do not: a figure, its interval where there is room."""
    if row.discrimination is None:
        return in_words.NONE
    said = f"{row.discrimination:+.2f}"
    found = row.discrimination_interval
    return f"{said} ({found.low:+.2f} to {found.high:+.2f})" if wide and found is not None else said


def discrimination(row: QuestionRow) -> str:
    """The same in a sentence or two."""
    if row.discrimination is None:
        return (
            "Whether it tells those who know from those who do not cannot be said: too few answers, or all "
            "of them the same."
        )
    found = row.discrimination_interval
    figure = f"{row.discrimination:+.2f}"
    figure += f", interval {found.low:+.2f} to {found.high:+.2f}" if found is not None else ""
    scale = "1 is perfect, 0 is chance, under 0 the wrong way round"
    if found is None:
        said = "Those who do well on the other questions and this one go together"
    elif found.low > 0:
        said = "Those who do well on the other questions do well on this one too: it tells them apart"
    elif found.high < 0:
        said = "Those who do well on the other questions do badly on this one"
    else:
        said = "Too few answers to say whether it tells those who know from those who do not"
    return f"{said} ({figure}; {scale})."


def difficulty(row: QuestionRow) -> str:
    """How hard it is, in a sentence."""
    rate = row.first_right
    if rate.share is None:
        return "Nobody has answered it yet."
    said = f"Right at the first answer: {in_words.rate_words(rate)}."
    if row.all_right.n > rate.n:
        said += f" Of all answers, later ones too: {in_words.of(row.all_right)}."
    return said


def remarks(row: QuestionRow) -> list[str]:
    """What to do about it, a paragraph each; the id of a remark that is not known stands for itself."""
    found = [
        LONG.get(remark, remark) for remark in row.remarks if not (row.safety and remark == "everybody-right")
    ]
    return [*found, SAFE] if row.safety else found
