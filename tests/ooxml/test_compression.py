"""Zip members are packed alike whichever library there is."""

import zlib

import pytest

from auditor.ooxml import compression

TEXTS = (b"", b"a", b"<row/>" * 5000, bytes(range(256)) * 40)


@pytest.mark.parametrize("packer", [compression.ZLIB, compression.packer])
@pytest.mark.parametrize("text", TEXTS, ids=map(len, TEXTS))
def test_what_is_packed_is_unpacked_by_anybody(
    packer: object, text: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(compression, "packer", packer)
    packed = compression.packed(text)
    assert zlib.decompress(packed, -15) == text  # the reference: zlib itself
    assert compression.unpacked(packed, len(text)) == text
    assert compression.crc32(text) == zlib.crc32(text)


def test_not_one_byte_more_than_asked_is_unpacked() -> None:
    assert len(compression.unpacked(compression.packed(b"a" * 100_000), 10)) == 11


@pytest.mark.parametrize("data", [b"\xff\xff\xff\xff", b"\x07abc"])
def test_no_deflate_stream(data: bytes) -> None:
    with pytest.raises(ValueError, match="no deflate stream"):
        compression.unpacked(data, 100)
