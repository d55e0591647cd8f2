"""Canonical JSON and SHA-256 against the published examples."""

from __future__ import annotations

import json
import struct

import pytest

from lugbook.trail.canonical import canonical, digest, parse_canonical

# Figures as in RFC 8785, Appendix B; compared with other projects' copies of that table, the RFC itself not at hand.
APPENDIX_B = """
0000000000000000 0
8000000000000000 0
0000000000000001 5e-324
8000000000000001 -5e-324
7fefffffffffffff 1.7976931348623157e+308
ffefffffffffffff -1.7976931348623157e+308
4340000000000000 9007199254740992
c340000000000000 -9007199254740992
4430000000000000 295147905179352830000
44b52d02c7e14af5 9.999999999999997e+22
44b52d02c7e14af6 1e+23
44b52d02c7e14af7 1.0000000000000001e+23
444b1ae4d6e2ef4e 999999999999999700000
444b1ae4d6e2ef4f 999999999999999900000
444b1ae4d6e2ef50 1e+21
3eb0c6f7a0b5ed8c 9.999999999999997e-7
3eb0c6f7a0b5ed8d 0.000001
41b3de4355555553 333333333.3333332
41b3de4355555554 333333333.33333325
41b3de4355555555 333333333.3333333
41b3de4355555556 333333333.3333334
41b3de4355555557 333333333.33333343
becbf647612f3696 -0.0000033333333333333333
43143ff3c1cb0959 1424953923781206.2
"""


@pytest.mark.parametrize("row", APPENDIX_B.split("\n")[1:-1])
def test_numbers_of_rfc_8785_appendix_b(row: str) -> None:
    bits, expected = row.split()
    value = struct.unpack(">d", bytes.fromhex(bits))[0]
    assert canonical(value).decode() == expected


@pytest.mark.parametrize("bits", ["7fffffffffffffff", "7ff0000000000000"])
def test_rfc_8785_appendix_b_has_no_form_for_these(bits: str) -> None:
    with pytest.raises(ValueError, match=r"."):
        canonical(struct.unpack(">d", bytes.fromhex(bits))[0])


def test_sample_of_rfc_8785_section_3_2() -> None:
    """SOURCE: RFC 8785, 3.2.2 (input), 3.2.3 (sorted), 3.2.4 (bytes). Recalled; the bytes agree with the library's."""
    given = r"""{
      "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
      "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
      "literals": [null, true, false]
    }"""
    expected = """
    7b 22 6c 69 74 65 72 61 6c 73 22 3a 5b 6e 75 6c 6c 2c 74 72 75 65 2c 66 61 6c 73 65 5d 2c 22 6e 75 6d 62 65 72
    73 22 3a 5b 33 33 33 33 33 33 33 33 33 2e 33 33 33 33 33 33 33 2c 31 65 2b 33 30 2c 34 2e 35 2c 30 2e 30 30 32
    2c 31 65 2d 32 37 5d 2c 22 73 74 72 69 6e 67 22 3a 22 e2 82 ac 24 5c 75 30 30 30 66 5c 6e 41 27 42 5c 22 5c 5c
    5c 5c 5c 22 2f 22 7d"""
    assert canonical(json.loads(given)) == bytes.fromhex(expected)


def test_order_of_keys_of_rfc_8785_section_3_2_3() -> None:
    """SOURCE: RFC 8785, 3.2.3: keys sort by their UTF-16 code units. Recalled."""
    given = {"\u20ac": 1, "\r": 2, "\ufb33": 3, "1": 4, "\U0001f600": 5, "\u0080": 6, "\u00f6": 7}
    order = ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]
    assert list(json.loads(canonical(given))) == order


@pytest.mark.parametrize(
    ("message", "expected", "source"),
    [
        (
            b"abc",
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
            "FIPS 180-4 examples, one block (second-hand)",
        ),
        (
            b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
            "FIPS 180-4 examples, two blocks (second-hand)",
        ),
        (
            b"a" * 1_000_000,
            "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0",
            "FIPS 180-2, B.3, a million letters a (recalled)",
        ),
    ],
)
def test_examples_of_fips_180_4(message: bytes, expected: str, source: str) -> None:
    assert source
    assert digest(message) == expected


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"{",
        b'{"a": 1}',
        b'{"b":1,"a":2}',
        b'{"a":1,"a":1}',
        b"\xff",
        b'{"a":1}\n',
        b'{"a":1.0}',
        b'"\\u0041"',
        b"[" * 100_000,
        b"NaN",
        b"1" * 5000,
    ],
)
def test_other_forms_are_refused(data: bytes) -> None:
    with pytest.raises(ValueError, match="JSON"):
        parse_canonical(data)
