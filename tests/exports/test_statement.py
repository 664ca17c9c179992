"""Our model of a statement against the standard's own words and the public conformance statements."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from statement_cases import BASE, BROKEN, CONFORM, changed

from trainer import places
from trainer.record.exports import forms
from trainer.record.exports.statement import faults

HERE = Path(places.__file__).resolve().parent.parent
PUBLISHED = "statements-1.0.3.json"
"""950 statements with verdicts, expanded from a public conformance suite (Advanced Distributed Learning)."""


def published() -> Path:
    """Where they lie: the folder that SINKSIDE_XAPI_CASES names, else one beside the project."""
    folder = os.environ.get("SINKSIDE_XAPI_CASES") or HERE.parent / "shared" / "data" / "xapi"
    return Path(folder) / PUBLISHED


def test_the_verdict_on_every_published_statement_is_right() -> None:
    """343 published statements conform and 607 do not; the model says so of each."""
    if not published().is_file():
        pytest.skip(f"the published statements are not at {published()}; SINKSIDE_XAPI_CASES names a folder")
    cases = json.loads(published().read_text(encoding="utf-8"))
    wrong = [
        f"{case['expect']} {case['name']}"
        for case in cases
        if (case["expect"] == 200) != (not faults(case["data"]))
    ]
    assert wrong == []
    assert [sum(case["expect"] == verdict for case in cases) for verdict in (200, 400)] == [343, 607]


@pytest.mark.parametrize("name", CONFORM)
def test_a_statement_that_conforms_has_no_fault(name: str) -> None:
    """What the named section allows is let be."""
    assert faults(changed(*CONFORM[name])) == []


@pytest.mark.parametrize("name", BROKEN)
def test_a_fault_is_told_with_its_place(name: str) -> None:
    """What the named section refuses is found, and there only."""
    at, changes = BROKEN[name]
    assert {fault.at for fault in faults(changed(*changes))} == {at}


@pytest.mark.parametrize("value", [None, [], "x", 1, {1: 2}, [BASE]])
def test_what_is_no_object_is_no_statement(value: object) -> None:
    """Anything that JSON can hold is looked at without an error."""
    assert faults(value)


# X9, X10: section 4.6 of the standard, and the conformance suite's `durations.js` (quoted)
DURATIONS = ["PT1H0M0.1S", "PT4H35M59.14S", "PT16559.14S", "P3Y1M29DT4H35M59.14S", "P3Y", "P4W"]
NO_DURATIONS = ["PA1H0M0S", "P4W1D", "should fail"]
# our own, from ISO 8601, 4.4.3.2: a fraction in the last part only; something follows P and T
OWN_DURATIONS = ["PT0.5H", "P0,5D", "P1.5W", "PT0S", "P1Y2M3D"]
OWN_NO_DURATIONS = ["P", "PT", "P1DT", "PT1.5H3M", "P1.5DT3H", "-PT1S", "pt1s", "PT1S ", "P1H", "PT1M2H", ""]


def test_durations() -> None:
    """Durations of the standard and of ISO 8601 are told from what is none."""
    assert [text for text in DURATIONS + OWN_DURATIONS if not forms.is_duration(text)] == []
    assert [text for text in NO_DURATIONS + OWN_NO_DURATIONS if forms.is_duration(text)] == []


def test_a_duration_in_seconds() -> None:
    """X11: PT4H35M59.14S is 16559.14 s (section 4.6, quoted); a month is of no fixed length."""
    assert forms.seconds_of("PT4H35M59.14S") == pytest.approx(16559.14, abs=1e-9)
    assert forms.seconds_of("PT16559.14S") == pytest.approx(16559.14, abs=1e-9)
    assert forms.seconds_of("P4W") == 4 * 7 * 86400
    assert forms.seconds_of("P1M") is None


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0, "PT0S"),
        (0.004, "PT0S"),
        (41, "PT41S"),
        (2.1, "PT2.1S"),
        (372.5, "PT6M12.5S"),
        (2883, "PT48M3S"),
        (3600, "PT1H"),
        (59.999, "PT1M"),
        (16559.14, "PT4H35M59.14S"),
        (90_000, "PT25H"),
    ],
)
def test_seconds_as_a_duration(seconds: float, said: str) -> None:
    """To the hundredth of a second, which is the finest that section 4.6 wants."""
    assert forms.duration_of(seconds) == said
    assert forms.is_duration(said)
    assert forms.seconds_of(said) == pytest.approx(seconds, abs=0.005001)


def test_times() -> None:
    """X12: offsets of minus nothing and a day that is none are refused (`timestamps.js`, quoted)."""
    refused = ["2008-09-15T15:53:00.601-00", "2008-09-15T15:53:00.601-0000", "2008-09-15T15:53:00.601-00:00"]
    refused += [
        "01/011/2015",
        "2026-02-30T09:00:00Z",
        "2026-03-02T25:00:00Z",
        "2026-03-02 09:00:00Z",
        "2026-03-02",
    ]
    refused += ["2026-03-02T09:00:00+24:00", "2026-03-02T09:00:00+00:60"]
    taken = ["2008-09-15T15:53:00.601Z", "2008-09-15T15:53:00+00:00", "2008-09-15T15:53:00-0500"]
    taken += ["2016-12-31T23:59:60Z", "2024-02-29T00:00:00z", "2008-09-15T15:53:00"]
    assert [text for text in refused if forms.is_timestamp(text)] == []
    assert [text for text in taken if not forms.is_timestamp(text)] == []


def test_addresses_of_things() -> None:
    """RFC 3987 and RFC 3986: examples of theirs, and what is none."""
    # RFC 3986, section 1.1.2, and RFC 3987, section 3.1
    taken = [
        "ftp://ftp.is.co.za/rfc/rfc1808.txt",
        "ldap://[2001:db8::7]/c=GB?objectClass?one",
        "tel:+1-816-555-1212",
    ]
    taken += [
        "urn:oasis:names:specification:docbook:dtd:xml:4.1.2",
        "http://www.example.org/D\u00fcrst",
        "mailto:a@b.c",
    ]
    refused = [
        "",
        "plate",
        "//host/x",
        "1a:b",
        "a b:c",
        "http://x/<y>",
        "http://x/\u202e",
        "http://x#a#b",
        "http://[x/",
    ]
    assert [text for text in taken if not forms.is_iri(text)] == []
    assert [text for text in refused if forms.is_iri(text)] == []
    assert forms.is_uri("https://id.example/")
    assert not forms.is_uri("http://www.example.org/D\u00fcrst")


def test_tags_of_languages() -> None:
    """RFC 5646, appendix A: its examples of well-formed tags, and of tags that are not."""
    taken = [
        "de",
        "fr",
        "ja",
        "i-enochian",
        "zh-Hant",
        "zh-cmn-Hans-CN",
        "cmn-Hans-CN",
        "zh-yue-HK",
        "sr-Latn-RS",
    ]
    taken += [
        "sl-rozaj-biske",
        "de-CH-1901",
        "hy-Latn-IT-arevela",
        "es-419",
        "de-CH-x-phonebk",
        "az-Arab-x-AZE-derbend",
    ]
    taken += [
        "x-whatever",
        "qaa-Qaaa-QM-x-southern",
        "en-US-u-islamcal",
        "zh-CN-a-myext-x-private",
        "en-a-myext-b-another",
    ]
    refused = ["de-419-DE", "a-DE", "", "en_GB", "e", "en-", "abcdefghi"]
    assert [tag for tag in taken if not forms.is_language(tag)] == []
    assert [tag for tag in refused if forms.is_language(tag)] == []
