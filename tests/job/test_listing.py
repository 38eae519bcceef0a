import pytest

from auditor.job.listing import names_text

NAMES = ["K1", "K2", "K3"]


@pytest.mark.parametrize(
    ("count", "how", "said"),
    [
        (3, {}, "K1, K2, K3"),
        (2, {}, "K1, K2 and 1 more"),
        (1, {"rest": "others"}, "K1 and others"),
        (3, {"rest": "others"}, "K1, K2, K3"),
        (2, {"between": "; "}, "K1; K2 and 1 more"),
    ],
)
def test_the_first_names_and_how_many_more_there_are(count: int, how: dict[str, str], said: str) -> None:
    assert names_text(NAMES, count, **how) == said


def test_many_have_a_comma_and_none_are_nothing() -> None:
    assert names_text(["K1"] * 1235, 1) == "K1 and 1,234 more"
    assert names_text([], 4) == ""
