"""Sealed scenarios: they come back whole, say nothing to the eye, and show a change."""

import base64
import zlib
from textwrap import wrap

import pytest

from lightoff.engine.teaching.practice.sealing import (
    FIRST_LINE,
    LARGEST,
    SealError,
    digest_of,
    seal,
    unseal,
)
from tests.scenario_text import COLD_GYM

RAW = COLD_GYM.encode()
SEALED = seal("cold-gym", RAW)


def packed(plain, digest):
    body = base64.b85encode(zlib.compress(plain, 9)).decode()
    return "\n".join([FIRST_LINE, digest, *wrap(body, 76), ""])


@pytest.mark.parametrize("raw", [RAW, b"", b"\0a\0b", bytes(range(256)), "é\r\n".encode()])
def test_what_was_sealed_comes_back_whole(raw):
    assert unseal(seal("cold-gym", raw)) == ("cold-gym", raw)


def test_a_sealed_file_says_nothing_to_the_eye():
    assert not any(word in SEALED for word in ("flame", "sensor", "coated", "gym"))


def test_no_changed_character_passes_for_other_contents():
    for at, was in enumerate(SEALED):
        changed = SEALED[:at] + ("1" if was != "1" else "2") + SEALED[at + 1 :]
        try:
            found = unseal(changed)
        except SealError:
            continue
        # The last character of the code has bits to spare, and line ends are none of it.
        assert found == ("cold-gym", RAW)
        assert at >= len(SEALED) - 2


def test_no_left_out_half_passes():
    for length in range(0, len(SEALED) - 10, 7):
        with pytest.raises(SealError):
            unseal(SEALED[:length])


@pytest.mark.parametrize(
    "text", ["", "\n", "rubbish", FIRST_LINE, FIRST_LINE + "\n", FIRST_LINE + "\nab\n\u20ac\n"]
)
def test_what_is_no_seal_is_told(text):
    with pytest.raises(SealError):
        unseal(text)


def test_what_unpacks_to_more_than_the_largest_is_refused():
    bomb = b"a\0" + bytes(3 * LARGEST)
    cut = digest_of(bomb[2:LARGEST])
    assert len(packed(bomb, cut)) < 20_000
    with pytest.raises(SealError):
        unseal(packed(bomb, cut))
