"""All that stands out, with what each finding rests on and how sure it is."""

from __future__ import annotations

from trainer.insight.report.material import Material
from trainer.insight.report.parts import Section, p, runs_behind, tagged
from trainer.insight.report.summary import READY, REFRESH, group_of, ranked
from trainer.insight.report.table import Cell, right, table
from trainer.insight.report.words import number_of
from trainer.insight.results import Finding
from trainer.procedure.paper.tags import Html, tag, together

_ELSEWHERE = (READY, REFRESH)
"""They have sections of their own, with a line for each."""
_SAID = {"act": "do", "watch": "watch", "know": "know"}


def findings(material: Material) -> Section:
    """The section."""
    found = [one for one in ranked(material.review.findings) if group_of(one) not in _ELSEWHERE]
    if not found:
        return Section("findings", "What stands out", (p("Nothing stands out."),))
    lead = (
        "Do: something is to be done about it. Watch: look again next week. Know: good to know. The runs are "
        "named by the beginnings of their ids, the first few of each."
    )
    lines = [
        (Cell(tagged(_SAID[one.level], one.level)), _told(one, material), right(f"{one.n:,}"), _rests(one))
        for one in found
    ]
    heads = ("", "What", Cell("Rests on", "n"), "Runs")
    made = table(f"{number_of(len(found), 'finding')}", ("To", *heads[1:]), lines)
    return Section("findings", "What stands out", (p(lead, class_="quiet"), made))


def _told(finding: Finding, material: Material) -> Html:
    return together((finding.words, tag("div", finding.why, _method(finding, material), class_="quiet")))


def _method(finding: Finding, material: Material) -> Html:
    """Where the method stands, on this page."""
    if f"(`{finding.method}`)\n" not in material.methods:
        return Html("")
    return together((" ", tag("a", "Method", href=f"#method-{finding.method}"), "."))


def _rests(finding: Finding) -> Html:
    return runs_behind(finding.runs, 2)
