"""A station looked over: what is wrong with it, and how to mend each thing. Nothing is ever changed."""

from __future__ import annotations

from trainer.record.doctor.asked import Asked
from trainer.record.doctor.content import content
from trainer.record.doctor.files import files
from trainer.record.doctor.machine import machine
from trainer.record.doctor.shared import shared
from trainer.record.doctor.shop import shop
from trainer.record.doctor.told import Diagnosis


def examine(asked: Asked) -> Diagnosis:
    """Everything there is to look at; a thing that cannot be looked at hides none of the others."""
    return Diagnosis((*machine(asked), *files(asked), *content(asked), *shop(asked), *shared(asked)))
