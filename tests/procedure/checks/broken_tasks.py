"""Broken files: names declared twice or for nothing, windows, units, bench controls, questions."""

from __future__ import annotations

from broken import READING, Broken, one_stage

NAMES = (
    Broken(
        "reading-twice",
        "G16",
        "`vacuum_again`",
        one_stage(f"""
            - id: read
              do: Read it.
              {READING}
            - id: read-again
              do: Read it.
              {READING.replace("name: ", "name: ^")}
        """),
    ),
    Broken(
        "judge-and-quiz-of-one-name",
        "G16",
        "is taken at `one` already",
        one_stage("""
            - id: one
              judge: {name: rings, ask: Still?, answers: {still: They are, moving: Not yet}, right: still}
              go: [{when: answers.rings == 'moving', to: one}]
            - id: two
              quiz: {name: ^rings, ask: Why?, choice: {a: For contact, b: For show}, right: a, because: So.}
        """),
    ),
    Broken(
        "worked-out-in-two-units",
        "G16",
        "Work both out in units",
        one_stage("""
            - {id: one, work_out: {name: next, from: settings.exposure, unit: units, show: So.}}
            - {id: two, work_out: {name: ^next, from: settings.exposure * 2, unit: s, show: So.}}
        """),
    ),
    Broken(
        "judged-for-nothing",
        "G17",
        "Nothing asks for answers.rings",
        one_stage("""
            - id: one
              judge: {name: ^rings, ask: Still?, answers: {still: They are, moving: Not yet}, right: still}
        """),
    ),
    Broken(
        "skill-of-no-step",
        "G17",
        "No step trains the skill `contact`",
        one_stage("- {id: one, do: First.}").replace("stages:", "skills: {^contact: Contact}\nstages:"),
    ),
)

TASKS = (
    Broken(
        "window-the-wrong-way-round",
        "G18",
        "Write an at_most of 1 min 30 s or more",
        one_stage("- {id: one, wait: {at_least: 90 s, at_most: ^45 s}}"),
    ),
    Broken(
        "window-that-a-shop-can-cross",
        "G18",
        "at least 1 min, at most 30 s",
        one_stage("- {id: one, wait: {at_least: settings.soften, at_most: ^30 s}}"),
    ),
    Broken(
        "wait-without-end",
        "G25",
        "This wait takes 6999999993 days",
        one_stage("- {id: one, wait: {for: ^999999999 weeks}}"),
    ),
    Broken(
        "wait-that-a-shop-can-make-endless",
        "G25",
        "Change `between` of the setting",
        one_stage("- {id: one, wait: {at_least: ^settings.soften}}").replace("[5, 60]", "[5, 9000000]"),
    ),
    Broken(
        "countdown-of-units",
        "G20",
        "`for` wants a time",
        one_stage("- {id: one, wait: {for: ^settings.exposure}}"),
    ),
    Broken(
        "dose-of-seconds",
        "G20",
        "wants the integrator's units",
        one_stage("- {id: one, wait: {dose: ^settings.soften}}"),
    ),
    Broken(
        "compares-two-units",
        "G20",
        "readings.vacuum is in kPa and settings.vacuum_floor in inHg",
        one_stage("""
            - id: one
              do: Read it.
              reading:
                name: vacuum
                unit: kPa
                plausible: [0, 100]
                ok: readings.vacuum ^>= settings.vacuum_floor
                right: 70
                miss: Wait.
        """),
    ),
    Broken(
        "offers-another-unit",
        "G20",
        "settings.soften is in s, not in units",
        one_stage("- {id: one, offer_setting: {setting: exposure, from: ^settings.soften}}"),
    ),
    Broken(
        "longest-is-right",
        "G19",
        "In all 3 questions",
        one_stage("""
            - id: one
              quiz: {name: one, ask: A?, choice: {a: Quite long, b: Short}, right: ^a, because: So.}
            - id: two
              quiz: {name: two, ask: B?, choice: {a: Short, b: Quite long}, right: b, because: So.}
            - id: three
              quiz: {name: three, ask: C?, choice: {a: Short, b: Quite long}, right: b, because: So.}
        """),
    ),
    Broken(
        "no-such-control",
        "G21",
        "Did you mean `pump`?",
        one_stage("- {id: one, do: First., bench: {^pomp: on}}"),
    ),
    Broken(
        "switch-set-to-true",
        "G22",
        "Write `on`.",
        one_stage("- {id: one, do: First., bench: {pump: ^true}}"),
    ),
    Broken(
        "no-such-position",
        "G22",
        "Did you mean `locked`?",
        one_stage("- {id: one, do: First., bench: {glass: ^lockd}}"),
    ),
    Broken(
        "beyond-the-control",
        "G22",
        "goes from 0 to 500 mL",
        one_stage("- {id: one, do: First., bench: {developer: ^900}}"),
    ),
    Broken(
        "formula-of-a-number-for-a-switch",
        "C15",
        "This must be a text; it is a number",
        one_stage("- {id: one, do: First., bench: {pump: ^settings.exposure * 2}}"),
    ),
    Broken(
        "formula-faults-reach-their-column",
        "C04",
        "Write && instead of and",
        one_stage("""
            - id: one
              do: First.
              go:
                - when: >-
                    tries('one') > 1
                    ^and tries('one') < 3
                  to: one
        """),
    ),
)
