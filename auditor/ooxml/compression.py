"""Packing and unpacking of zip members: by isal where there is a wheel of it, else by zlib."""

import zlib
from contextlib import suppress
from typing import Any

ZLIB: tuple[Any, int] = (zlib.compressobj, 6)  # what packs, and its level
packer = ZLIB
_unpacker: Any = zlib.decompressobj
_checksum: Any = zlib.crc32
_faults: tuple[Any, ...] = (zlib.error,)
with suppress(ImportError):
    from isal import isal_zlib

    packer = (isal_zlib.compressobj, 2)  # an eighth of zlib's time, for 15 % more bytes
    _unpacker, _checksum = isal_zlib.decompressobj, isal_zlib.crc32
    _faults = (zlib.error, isal_zlib.error)


def packed(data: bytes) -> bytes:
    """A raw deflate stream (RFC 1951)."""
    compress, level = packer
    deflate = compress(level, zlib.DEFLATED, -15)
    return bytes(deflate.compress(data) + deflate.flush())


def unpacked(data: bytes | memoryview, size: int) -> bytes:
    """What a raw deflate stream holds, at most one byte more than `size`.

    Raises
    ------
    ValueError : no deflate stream
    """
    try:
        return bytes(_unpacker(-15).decompress(data, size + 1))
    except _faults as fault:
        raise ValueError("no deflate stream") from fault


def crc32(data: bytes) -> int:
    return int(_checksum(data))
