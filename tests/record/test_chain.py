"""The chain's parts against published values: canonical JSON, HMAC, digests and links."""

from __future__ import annotations

import hashlib
import json
import struct
from pathlib import Path

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from trainer.record import chain
from trainer.run.ports import JournalTrouble

# Sources. RFC 8785: its section 3.2.2 sample and its appendix B; files of the JSON canonicalization test data
# of the RFC's author (github.com/cyberphone/json-canonicalization, testdata/, Apache-2.0, commits 72a2163,
# b01b023, ff22567, 77917fb). `structures` is in the longer of its two versions, with the digest below.
PUBLISHED = {
    "arrays": ('[56, {"d": true, "10": null, "1": [ ]}]', '[56,{"1":[],"10":null,"d":true}]'),
    "french": (
        (
            '{"peach": "This sorting order", "péché": "is wrong according to French", '
            '"pêche": "but canonicalization MUST", "sin":   "ingnore locale"}'
        ),
        (
            '{"peach":"This sorting order","péché":"is wrong according to French",'
            '"pêche":"but canonicalization MUST","sin":"ingnore locale"}'
        ),
    ),
    "structures": (
        (
            '{"1": {"f": {"f": "hi","F": 5} ,"\\n": 56.0}, "10": { }, "": "empty", "a": { }, '
            '"111": [ {"e": "yes","E": "no" } ], "A": { }}'
        ),
        (
            '{"":"empty","1":{"\\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{"E":"no","e":"yes"}],'
            '"A":{},"a":{}}'
        ),
    ),
    "unicode": ('{"Unnormalized Unicode":"\\u1e0d\\u0307"}', '{"Unnormalized Unicode":"\u1e0d\u0307"}'),
    "values": (
        (
            '{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001], '
            '"string": '
            '"\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/", "literals": [null, true, false]}'
        ),
        (
            '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
            '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
        ),
    ),
    "weird": (
        (
            '{"\\u20ac": "Euro Sign", "1": "One", "\\u0080": "Control\\u007f", "\\ud83d\\ude02": "Smiley", '
            '"\\u00f6": "Latin Small Letter O With Diaeresis", "\\ufb33": "Hebrew Letter Dalet With Dagesh", '
            '"</script>": "Browser Challenge"}'
        ),
        (
            '{"1":"One","</script>":"Browser Challenge","\x80":"Control\x7f",'
            '"\u00f6":"Latin Small Letter O With Diaeresis","\u20ac":"Euro Sign","\U0001f602":"Smiley",'
            '"\ufb33":"Hebrew Letter Dalet With Dagesh"}'
        ),
    ),
}

# RFC 8785, appendix B: IEEE 754 bits and the number's text.
NUMBERS = {
    "0000000000000000": "0",
    "8000000000000000": "0",
    "0000000000000001": "5e-324",
    "8000000000000001": "-5e-324",
    "7fefffffffffffff": "1.7976931348623157e+308",
    "ffefffffffffffff": "-1.7976931348623157e+308",
    "4340000000000000": "9007199254740992",
    "c340000000000000": "-9007199254740992",
    "4430000000000000": "295147905179352830000",
    "44b52d02c7e14af5": "9.999999999999997e+22",
    "44b52d02c7e14af6": "1e+23",
    "44b52d02c7e14af7": "1.0000000000000001e+23",
    "444b1ae4d6e2ef4e": "999999999999999700000",
    "444b1ae4d6e2ef4f": "999999999999999900000",
    "444b1ae4d6e2ef50": "1e+21",
    "3eb0c6f7a0b5ed8c": "9.999999999999997e-7",
    "3eb0c6f7a0b5ed8d": "0.000001",
    "41b3de4355555553": "333333333.3333332",
    "41b3de4355555554": "333333333.33333325",
    "41b3de4355555555": "333333333.3333333",
    "41b3de4355555556": "333333333.3333334",
    "41b3de4355555557": "333333333.33333343",
    "becbf647612f3696": "-0.0000033333333333333333",
    "43143ff3c1cb0959": "1424953923781206.2",
}


@pytest.mark.parametrize("name", PUBLISHED)
def test_canonical_bytes_are_those_published_for_rfc_8785(name: str) -> None:
    """Our canonical bytes equal the published output for each of the six published files."""
    given, wanted = PUBLISHED[name]
    assert chain.canonical(json.loads(given)) == wanted.encode()


def test_plain_sorted_json_would_not_do() -> None:
    """The standard library's sorted compact JSON differs from the published output in two files of six."""
    differing = {
        name
        for name, (given, wanted) in PUBLISHED.items()
        if json.dumps(json.loads(given), sort_keys=True, separators=(",", ":"), ensure_ascii=False) != wanted
    }
    assert differing == {"structures", "weird"}


@pytest.mark.parametrize(
    ("name", "length", "digest"),
    [
        ("values", 118, "2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb"),
        ("structures", 98, "605f65004ec2db7692522a0852c22f1c989e036d547e88963d1a3143cf3195d5"),
    ],
)
def test_the_digest_of_canonical_bytes_is_known(name: str, length: int, digest: str) -> None:
    """Length and SHA-256 of two published files are the ones computed elsewhere with another program."""
    made = chain.canonical(json.loads(PUBLISHED[name][0]))
    assert (len(made), hashlib.sha256(made).hexdigest()) == (length, digest)


@pytest.mark.parametrize("bits", NUMBERS)
def test_numbers_are_written_as_appendix_b_of_rfc_8785_says(bits: str) -> None:
    """Each finite number of appendix B is written as the appendix writes it."""
    (number,) = struct.unpack(">d", bytes.fromhex(bits))
    assert chain.canonical(number).decode() == NUMBERS[bits]


_NUMBERS = st.one_of(st.integers(), st.floats(), st.floats(-1e17, 1e17), st.integers(-9, 9).map(float))
_TEXTS = st.one_of(st.text(st.characters()), st.text("aZ_0\u00e9\ue000\U0001f600", max_size=3))
_VALUES = st.recursive(
    st.one_of(st.none(), st.booleans(), _NUMBERS, _TEXTS),
    lambda inner: st.one_of(st.lists(inner), st.dictionaries(_TEXTS, inner)),
    max_leaves=20,
)


@given(_VALUES)
def test_the_quick_way_writes_what_the_library_writes(value: object) -> None:
    """Any JSON value has the bytes that `rfc8785` gives it, or is refused in the same words."""
    try:
        wanted = rfc8785.dumps(value)  # type: ignore[arg-type]
    except ValueError as error:
        with pytest.raises(ValueError) as refused:  # noqa: PT011 - the words are compared
            chain.canonical(value)
        assert str(refused.value) == str(error)  # noqa: PT017 - of two refusals
    else:
        assert chain.canonical(value) == wanted


@pytest.mark.parametrize(
    "value", [float("nan"), float("inf"), -float("inf"), 2**53, -(2**53), "\ud800", {1: 2}, b"x"]
)
def test_what_has_no_canonical_form_is_refused(value: object) -> None:
    """NaN, infinities, numbers past 2^53 - 1, lone surrogates, other keys and bytes raise ValueError."""
    with pytest.raises(ValueError, match=r".+"):
        chain.canonical(value)


def test_the_largest_whole_number_is_taken() -> None:
    """2^53 - 1 is written digit for digit."""
    assert chain.canonical(2**53 - 1) == b"9007199254740991"


# RFC 4231, sections 4.2, 4.3 and 4.4: HMAC-SHA-256.
@pytest.mark.parametrize(
    ("key", "data", "mac"),
    [
        (b"\x0b" * 20, b"Hi There", "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7"),
        (
            b"Jefe",
            b"what do ya want for nothing?",
            "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843",
        ),
        (b"\xaa" * 20, b"\xdd" * 50, "773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe"),
    ],
)
def test_links_are_made_with_hmac_sha_256(key: bytes, data: bytes, mac: str) -> None:
    """The key's MAC gives the published values of RFC 4231."""
    assert chain.ChainKey(key).mac(data).hex() == mac


def test_an_unkeyed_chain_gives_the_known_heads() -> None:
    """Three linked entries give the heads computed elsewhere from the same rule with plain SHA-256.

    Regression values of our own working, no published source: head_i = SHA-256(head_(i-1) + RFC 8785 bytes).
    """
    entries = [
        {"seq": 1, "t": "2026-01-05T14:00:00.000Z", "verb": "initialized"},
        {"seq": 2, "success": True, "t": "2026-01-05T14:01:30.500Z", "verb": "answered"},
        {"seq": 3, "t": "2026-01-05T14:10:00.000Z", "verb": "completed"},
    ]
    heads = [b"\0" * 32]
    for entry in entries:
        heads.append(
            chain.linked(lambda data: hashlib.sha256(data).digest(), heads[-1], chain.canonical(entry))
        )
    assert [head.hex() for head in heads[1:]] == [
        "254b566621249015c6c8a0102406481db3a28fff58d80e6b7d0107b0dbb06098",
        "f8ba2e30aee587f1615049b5408bd2e672967bff81dadf2eb8d1fefadca86b6c",
        "3a6aed771b5335f87b246f62c0e433abdea9fe73b7ac77c76dcb1b6d9cd6c5f7",
    ]


def test_a_digest_is_sha_256_over_salt_and_body() -> None:
    """Salt and body together give the SHA-256 of their bytes; `abc` has the value of FIPS 180-4's example."""
    assert (
        chain.digest_of(b"a", b"bc").hex()
        == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    )


def test_the_key_is_made_once_private_and_read_back(tmp_path: Path) -> None:
    """The key's file has mode 0600, holds 32 bytes in hexadecimal, and gives the same key again."""
    record = tmp_path / "record.db"
    assert chain.read_key(record) is None
    made = chain.make_key(record)
    assert chain.read_key(record) == made
    assert len(made.secret) == 32
    assert chain.key_path(record).stat().st_mode & 0o777 == 0o600
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == ["record.db.key"]


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("", "is not a whole key"),
        ("00ff", "is not a whole key"),
        ("no key", "is not a key"),
        ("\u00e9", "is not a key"),
    ],
)
def test_a_spoiled_key_is_told(tmp_path: Path, written: str, said: str) -> None:
    """A key's file that holds something else is told in a sentence that says what to do."""
    record = tmp_path / "record.db"
    chain.key_path(record).write_text(written, "utf-8")
    with pytest.raises(JournalTrouble, match=said) as caught:
        chain.read_key(record)
    assert "Put the right key back" in caught.value.args[0]


def test_runs_start_at_heads_of_their_own() -> None:
    """Two runs have different first heads under one key, and one run has different ones under two keys."""
    one, two = chain.ChainKey(b"1" * 32), chain.ChainKey(b"2" * 32)
    assert len({one.start_of("r1"), one.start_of("r2"), two.start_of("r1")}) == 3
    assert one.fingerprint != two.fingerprint
