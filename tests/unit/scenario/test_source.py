"""Bytes turned into text, or refused with the place of the first wrong one."""

import pytest

from trainer.errors import ScenarioError
from trainer.scenario.source import MOST_BYTES, text_from_bytes


def refusal(content: bytes) -> str:
    with pytest.raises(ScenarioError) as caught:
        text_from_bytes(content, "x.yaml")
    return str(caught.value)


def test_utf_8_is_read_with_or_without_a_byte_order_mark():
    assert text_from_bytes("\ufeffa: ä\n".encode(), "x.yaml") == "a: ä\n"


def test_utf_16_is_refused_with_its_name():
    content = "a: b".encode("utf-16")
    assert refusal(content) == "x.yaml:1:1: this file is written in UTF-16; save it as UTF-8"


def test_another_encoding_is_refused_with_the_place_counted_in_characters():
    content = "a: 1\nä: ".encode() + "ü".encode("latin-1")
    assert refusal(content) == "x.yaml:2:4: this byte (0xFC) is not UTF-8; save the file as UTF-8"


def test_a_huge_file_is_refused_undecoded():
    assert refusal(b"\xff" * (MOST_BYTES + 1)).startswith("x.yaml:1:1: this file has 800001 bytes")
