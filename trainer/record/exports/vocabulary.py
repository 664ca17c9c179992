"""The words of statements: verbs, kinds of activities and extensions, each with its IRI.

Verbs and kinds are those of the vocabularies published for the Experience API; no verb of our own is made.
Extensions are ours, under the home page that the export is given.
"""

from __future__ import annotations

_ADL = "http://adlnet.gov/expapi/verbs/"
VERBS = {
    "initialized": f"{_ADL}initialized",
    "completed": f"{_ADL}completed",
    "answered": f"{_ADL}answered",
    "passed": f"{_ADL}passed",
    "failed": f"{_ADL}failed",
    "suspended": f"{_ADL}suspended",
    "resumed": f"{_ADL}resumed",
    "terminated": f"{_ADL}terminated",
    "experienced": f"{_ADL}experienced",
    "voided": f"{_ADL}voided",
    "abandoned": "https://w3id.org/xapi/adl/verbs/abandoned",
    "acknowledged": "http://activitystrea.ms/acknowledge",
}
"""By the word shown for it."""

_TYPES = "http://adlnet.gov/expapi/activities/"
PERFORMANCE = f"{_TYPES}performance"
QUESTION = f"{_TYPES}cmi.interaction"
STEP = "http://id.tincanapi.com/activitytype/step"
CHECKLIST_ITEM = "http://id.tincanapi.com/activitytype/checklist-item"
