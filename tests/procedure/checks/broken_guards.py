"""Broken files: conditions that can never hold, and that always do."""

from __future__ import annotations

from broken import READING, Broken, one_stage


def _read(*go: str, reading: str = READING) -> str:
    """A step that reads a vacuum from 0 to 30, and its ways on."""
    ways = "".join(f"\n            - {{when: {condition}, to: done}}" for condition in go)
    ways = f"\n          go:{ways}" if go else ""
    return one_stage(f"""
        - id: read
          do: Read it.
          {reading}{ways}
        - {{id: last, do: Last.}}
    """)


GUARDS = (
    Broken(
        "beyond-what-can-be-read",
        "G26",
        "`readings.vacuum` lies between 0 and 30.",
        _read("^readings.vacuum > 50"),
    ),
    Broken(
        "beyond-what-a-shop-may-set",
        "G26",
        "`settings.vacuum_floor` lies between 15 and 28.",
        _read("tries('read') > 2 && ^settings.vacuum_floor > 28"),
    ),
    Broken(
        "between-turned-round",
        "G26",
        "can never hold",
        _read("^readings.vacuum < 10 && readings.vacuum > 20"),
    ),
    Broken("tried-less-than-once", "G26", "is 1 or more", _read("^tries('read') < 1")),
    Broken(
        "below-one-that-holds-already",
        "G26",
        "one above it holds already",
        _read("readings.vacuum > 10", "^readings.vacuum > 20"),
    ),
    Broken(
        "the-same-twice",
        "G26",
        "one above it holds already",
        _read("readings.vacuum >= 20", "^readings.vacuum >= 20"),
    ),
    Broken(
        "answers-all-used-up",
        "G26",
        "one above it holds already",
        one_stage("""
            - id: look
              judge: {name: rings, ask: Still?, answers: {still: They are, moving: Not yet}, right: still}
              go:
                - {when: answers.rings == 'still', to: done}
                - {when: answers.rings == 'moving', to: done}
                - {when: ^answers.rings != 'still', to: done}
            - {id: last, do: Last.}
        """),
    ),
    Broken(
        "never-good",
        "G26",
        "`readings.vacuum` lies between 0 and 30.",
        _read(reading=READING.replace("right: 22", "ok: ^readings.vacuum > 30, right: 22, miss: Wait.")),
    ),
    Broken(
        "always-good",
        "G27",
        "always holds",
        _read(reading=READING.replace("right: 22", "ok: ^readings.vacuum >= 0, right: 22, miss: Wait.")),
    ),
    Broken(
        "or-of-everything", "G27", "always holds", _read("^readings.vacuum < 20 || readings.vacuum >= 20")
    ),
    Broken(
        "worked-out-of-what-a-shop-may-set",
        "G26",
        "`worked.twice` lies between 10 and 160.",
        one_stage("""
            - {id: work, work_out: {name: twice, from: settings.exposure * 2, unit: units, show: Twice.}}
            - {id: burn, do: Burn., go: [{when: ^worked.twice > 200, to: done}]}
            - {id: last, do: Last.}
        """),
    ),
)
