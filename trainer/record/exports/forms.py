"""Forms of strings that statements are made of: identifiers, languages, times, durations, addresses.

Sources: Experience API 1.0.3, Part Two (Data), sections 2.4.1 (UUID), 2.4.2.3 (mbox and the others), 4.2 to
4.6 (languages, UUID, timestamps, durations), and the RFCs named beside each.
"""

from __future__ import annotations

import re
from datetime import datetime

_UCS = "\xa0-\ud7ff\uf900-\ufdcf\ufdf0-\uffef\U00010000-\U000dfffd\U000e1000-\U000efffd"
_PRIVATE = "\ue000-\uf8ff\U000f0000-\U000ffffd\U00100000-\U0010fffd"
_ESCAPED = "%[0-9A-Fa-f]{2}"
_SIGNS = r"A-Za-z0-9\-._~!$&'()*+,;=:@/"
_IRI = re.compile(r"[A-Za-z][A-Za-z0-9+.\-]*:(?://(?:\[[0-9A-Fa-f:.vV]+\]|(?!\[))[^\[\]]*|(?!//)[^\[\]]*)")
_IRI_SIGNS = re.compile(
    rf"(?:[{_SIGNS}\[\]{_UCS}]|{_ESCAPED})*"
    rf"(?:\?(?:[{_SIGNS}?{_UCS}{_PRIVATE}]|{_ESCAPED})*)?"
    rf"(?:\#(?:[{_SIGNS}?{_UCS}]|{_ESCAPED})*)?"
)
_TURNING = re.compile("[\u200e\u200f\u202a-\u202e]")
_UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[1-8][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", re.IGNORECASE)
_ATOM = rf"(?:[A-Za-z0-9!#$&'*+/=?^_`{{|}}~\-{_UCS}]|{_ESCAPED})+"
_LABEL = rf"[A-Za-z0-9{_UCS}](?:[A-Za-z0-9\-{_UCS}]*[A-Za-z0-9{_UCS}])?"
_MAILTO = re.compile(rf"mailto:{_ATOM}(?:\.{_ATOM})*@{_LABEL}(?:\.{_LABEL})*")
_SHA1 = re.compile(r"[0-9a-fA-F]{40}")
_SHA2 = re.compile(r"(?:[0-9a-fA-F]{56}|[0-9a-fA-F]{64}|[0-9a-fA-F]{96}|[0-9a-fA-F]{128})")
_TOKEN = r"[A-Za-z0-9!#$%&'*+\-.^_`|~]+"  # noqa: S105 - a token of RFC 9110
_MEDIA = re.compile(rf'{_TOKEN}/{_TOKEN}(?:[ \t]*;[ \t]*{_TOKEN}=(?:{_TOKEN}|"[^"\\]*"))*')
_VERSION = re.compile(r"1\.0(?:\.(?:0|[1-9][0-9]*))?")
_GRANDFATHERED = frozenset(
    [
        *("en-gb-oed", "i-ami", "i-bnn", "i-default", "i-enochian", "i-hak", "i-klingon", "i-lux", "i-mingo"),
        *("i-navajo", "i-pwn", "i-tao", "i-tay", "i-tsu", "sgn-be-fr", "sgn-be-nl", "sgn-ch-de"),
        *("art-lojban", "cel-gaulish", "no-bok", "no-nyn", "zh-guoyu", "zh-hakka", "zh-min", "zh-min-nan"),
        "zh-xiang",
    ]
)
_LANGUAGE = re.compile(
    r"(?:(?:[a-z]{2,3}(?:-[a-z]{3}){0,3}|[a-z]{4}|[a-z]{5,8})"
    r"(?:-[a-z]{4})?(?:-(?:[a-z]{2}|[0-9]{3}))?(?:-(?:[a-z0-9]{5,8}|[0-9][a-z0-9]{3}))*"
    r"(?:-[0-9a-wy-z](?:-[a-z0-9]{2,8})+)*(?:-x(?:-[a-z0-9]{1,8})+)?|x(?:-[a-z0-9]{1,8})+)",
    re.IGNORECASE,
)
_TIMESTAMP = re.compile(
    r"(?P<day>[0-9]{4}-[0-9]{2}-[0-9]{2})[Tt](?P<time>[0-9]{2}:[0-9]{2}:(?P<s>[0-9]{2}))(?:[.,][0-9]+)?"
    r"(?:[Zz]|(?P<sign>[+-])(?P<h>[0-9]{2})(?::?(?P<m>[0-9]{2}))?)?"
)
_DURATION = re.compile(
    r"P(?!$)(?:(?P<weeks>[0-9]+(?:[.,][0-9]+)?W)|"
    r"(?P<date>(?:[0-9]+(?:[.,][0-9]+)?Y)?(?:[0-9]+(?:[.,][0-9]+)?M)?(?:[0-9]+(?:[.,][0-9]+)?D)?)"
    r"(?:T(?=[0-9])(?:[0-9]+(?:[.,][0-9]+)?H)?(?:[0-9]+(?:[.,][0-9]+)?M)?(?:[0-9]+(?:[.,][0-9]+)?S)?)?)"
)

_FRACTION_BEFORE_MORE = re.compile(r"[.,][0-9]+[A-Z].*[0-9]")


def is_iri(text: str) -> bool:
    """An IRI with a scheme (RFC 3987, section 2.2), without signs that turn direction (section 4.1)."""
    if _TURNING.search(text):
        return False
    return _IRI.fullmatch(text) is not None and _IRI_SIGNS.fullmatch(text) is not None


def is_uri(text: str) -> bool:
    """An IRI in ASCII alone (RFC 3986)."""
    return text.isascii() and is_iri(text)


def is_uuid(text: str) -> bool:
    """A UUID in its standard string form, of the variant of RFC 4122 (and so of RFC 9562, version 7 too)."""
    return _UUID.fullmatch(text) is not None


def is_language(text: str) -> bool:
    """A language tag (RFC 5646, section 2.1)."""
    return text.lower() in _GRANDFATHERED or _LANGUAGE.fullmatch(text) is not None


def is_mailto(text: str) -> bool:
    """`mailto:` and one address (RFC 6068; no headers, nobody else)."""
    return _MAILTO.fullmatch(text) is not None


def is_sha1(text: str) -> bool:
    """A SHA-1 in hexadecimal."""
    return _SHA1.fullmatch(text) is not None


def is_sha2(text: str) -> bool:
    """A SHA-2 in hexadecimal: 224, 256, 384 or 512 bits (Data 2.4.11)."""
    return _SHA2.fullmatch(text) is not None


def is_media_type(text: str) -> bool:
    """An Internet media type (RFC 2046; RFC 9110, section 8.3.1)."""
    return _MEDIA.fullmatch(text) is not None


def is_version(text: str) -> bool:
    """`1.0`, or `1.0.` and a number (Data 2.4.10)."""
    return _VERSION.fullmatch(text) is not None


def is_timestamp(text: str) -> bool:
    """Date and time as ISO 8601 writes them whole; no offset of minus nothing (Data 4.5)."""
    found = _TIMESTAMP.fullmatch(text)
    if found is None:
        return False
    if found["sign"] and (int(found["h"]) > 23 or int(found["m"] or 0) > 59):
        return False
    if found["sign"] == "-" and not int(found["h"] + (found["m"] or "")):
        return False
    # a leap second is a time too, and `datetime` has none
    clock = found["time"] if found["s"] != "60" else f"{found['time'][:-2]}59"
    try:
        datetime.fromisoformat(f"{found['day']}T{clock}")
    except ValueError:
        return False
    return True


def is_duration(text: str) -> bool:
    """ISO 8601 (4.4.3.2): designators in order, weeks alone, a fraction in the last part only (Data 4.6)."""
    return _DURATION.fullmatch(text) is not None and _FRACTION_BEFORE_MORE.search(text) is None


_SECONDS_OF = {"W": 604_800, "D": 86_400, "H": 3_600, "S": 1}


def seconds_of(duration: str) -> float | None:
    """How many seconds a duration is; None where it has years or months, which are of no fixed length."""
    day, _, time = duration.removeprefix("P").partition("T")
    if "Y" in day or "M" in day:
        return None
    parts = [(day, {**_SECONDS_OF}), (time, {**_SECONDS_OF, "M": 60})]
    return sum(
        float(number.replace(",", ".")) * worth[letter]
        for part, worth in parts
        for number, letter in re.findall(r"([0-9.,]+)([A-Z])", part)
    )


def duration_of(seconds: float) -> str:
    """Seconds as a duration, to the hundredth: `PT6M12.5S` (Data 4.6 wants no finer)."""
    hundredths = max(0, round(seconds * 100))
    minutes, rest = divmod(hundredths, 6000)
    hours, minutes = divmod(minutes, 60)
    said = (f"{hours}H" if hours else "") + (f"{minutes}M" if minutes else "")
    whole, part = divmod(rest, 100)
    if rest or not said:
        said += f"{whole}.{part:02d}".rstrip("0").rstrip(".") + "S"
    return f"PT{said}"
