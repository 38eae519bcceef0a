"""Short digests of texts: to know them again, and to name what is asked or found."""

import hashlib
import zlib
from collections.abc import Iterable


def checksum(text: str) -> str:
    """The CRC-32 of a text, eight hexadecimal digits."""
    return f"{zlib.crc32(text.encode('utf-8', 'replace')):08x}"


def id_of(what: str, names: Iterable[str]) -> str:
    """The kind of a thing and a digest of the names that make it the same thing: `length-0a1b2c3d`."""
    key = "\0".join(names).encode("utf-8", "surrogatepass")
    return f"{what}-{hashlib.sha256(key).hexdigest()[:8]}"
