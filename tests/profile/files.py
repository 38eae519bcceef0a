"""Profile files for tests."""

from collections.abc import Callable

from auditor.profile.load import DEFAULT

Write = Callable[..., str]


def based(**fields: object) -> dict[str, object]:
    return {"name": "site", "extends": DEFAULT, **fields}
