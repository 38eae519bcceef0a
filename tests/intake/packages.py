"""Workbooks changed part by part, for what no well-behaved writer makes."""

import io
import zipfile
from collections.abc import Callable, Mapping


def changed(
    data: bytes, edits: Mapping[str, Callable[[bytes], bytes]], more: Mapping[str, bytes] | None = None
) -> bytes:
    """The package with some parts edited and some added."""
    source = zipfile.ZipFile(io.BytesIO(data))
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as target:
        for part in source.namelist():
            content = source.read(part)
            target.writestr(part, edits[part](content) if part in edits else content)
        for part, content in (more or {}).items():
            target.writestr(part, content)
    return held.getvalue()


def replaced(old: bytes, new: bytes) -> Callable[[bytes], bytes]:
    def edit(content: bytes) -> bytes:
        assert old in content, f"{old!r} is not in the part"
        return content.replace(old, new)

    return edit
