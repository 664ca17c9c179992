"""Broken files, third part: formulas and the ways between steps, as an author meets them in a whole file.

The full tables stand in `expressions/` and `checks/`; these rows show that reading a file leads there and
that the places are right. Changes to `small.yaml`, as in `broken_shapes`.
"""

from __future__ import annotations

from broken_shapes import Change
from broken_yaml import MARK

_OK = "ok: readings.vacuum >= settings.vacuum_floor"
_BARE = "\"answers.side == 'bare'\""

FORMULAS = (
    Change("word-for-a-sign", _OK, f"ok: readings.vacuum > 20 {MARK}and true", "C04"),
    Change("one-equals-sign", _BARE, f"\"answers.side {MARK}= 'bare'\"", "C05"),
    Change("between-two", _OK, f"ok: 15 < readings.vacuum {MARK}< 28", "C06"),
    Change("indexing", _OK, f"ok: readings{MARK}['vacuum'] >= 20", "C07"),
    Change("macro", _OK, f"ok: {MARK}has(readings.vacuum)", "C07"),
    Change("bracket-open", _OK, f"ok: {MARK}(readings.vacuum >= 20", "C08"),
    Change("value-missing", _OK, f"ok: readings.vacuum {MARK}>=", "C09"),
    Change("setting-unknown", _OK, f"ok: readings.vacuum >= {MARK}settings.vacum_floor", "C12"),
    Change("function-unknown", _OK, f"ok: {MARK}smallest(readings.vacuum, 20) > 3", "C13"),
    Change("text-with-number", _OK, f"ok: readings.vacuum >= {MARK}'20'", "C14"),
    Change("number-for-truth", _OK, f"ok: {MARK}readings.vacuum", "C15"),
    Change("bare-word", _BARE, f'"answers.side == {MARK}bare"', "C16"),
    Change("answer-unknown", _BARE, f"\"answers.side == {MARK}'bear'\"", "C17"),
    Change("step-unknown", "to: find-leak", f"to: {MARK}find-leek", "G01"),
    Change("then-unknown", "        then: done", f"        then: {MARK}finish", "G01"),
    Change("covers-unknown", "covers: [expose]", f"covers: [{MARK}exposed]", "G02"),
    Change(
        "new-plate-later",
        "id: exposure\n    title: Exposure\n    new_plate_from: take-plate",
        f"id: exposure\n    title: Exposure\n    new_plate_from: {MARK}take-plat",
        "G03",
    ),
    Change(
        "skill-unknown", "skill: contact\n        picture", f"skill: {MARK}contacts\n        picture", "G04"
    ),
    Change("offer-of-no-setting", "{setting: exposure, from", f"{{setting: {MARK}exposures, from", "G05"),
    Change("control-unknown", "bench: {pump: on}", f"bench: {{{MARK}pomp: on}}", "G21"),
)
