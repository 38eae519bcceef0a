"""A profile file in a folder of its own."""

import json
from pathlib import Path

import pytest

from tests.profile.files import Write


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Writes a profile file and gives its path."""

    def write(data: object, name: str = "site.json") -> str:
        text = data if isinstance(data, str) else json.dumps(data)
        (tmp_path / name).write_text(text, "utf-8")
        return str(tmp_path / name)

    return write
