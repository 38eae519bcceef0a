"""Which profile judges a job, and why."""

import json
from pathlib import Path

import pytest

from auditor.errors import ProfileError
from auditor.profile.choice import BY_COMMAND, BY_DEFAULT, BY_WORKBOOK, Choice, choose_profile
from auditor.profile.load import shipped_names
from tests.profile.files import based

SITE = "profile.json in site"
UNKNOWN = (
    f"The workbook names the bus profile 'our own', which is not one of {', '.join(shipped_names())}; "
    "correct the cell or choose one with --profile"
)


def chosen(folder: Path, asked: str | None, stated: str | None) -> Choice:
    return choose_profile(folder / "a.xlsx", asked=asked, stated=stated, overrides={})


@pytest.mark.parametrize(
    ("asked", "stated", "beside", "name", "why", "said"),
    [
        ("two-wire", "iec-62386", True, "two-wire", BY_COMMAND, ""),
        (None, "iec-62386", True, "iec-62386", BY_WORKBOOK, ""),
        (None, None, True, "site", SITE, ""),
        (None, None, False, "two-wire-35w", BY_DEFAULT, ""),
        (None, "our own", True, "site", SITE, UNKNOWN),
        (None, "our own", False, "two-wire-35w", "the default; 'our own' in the workbook is none", UNKNOWN),
        (None, "IEC-62386", False, "iec-62386", BY_WORKBOOK, ""),
    ],
)
def test_the_nearer_word_is_taken(
    asked: str | None, stated: str | None, beside: bool, name: str, why: str, said: str, tmp_path: Path
) -> None:
    folder = tmp_path / "site"
    folder.mkdir()
    if beside:
        (folder / "profile.json").write_text(json.dumps(based()))
    choice = chosen(folder, asked, stated)
    assert (choice.profile.name, choice.why, choice.said) == (name, why, said)


def test_a_wrong_file_beside_the_workbook_is_named_with_its_folder_only(tmp_path: Path) -> None:
    (tmp_path / "profile.json").write_text(json.dumps(based(off_spec_factor=2)))
    with pytest.raises(ProfileError) as refused:
        chosen(tmp_path, None, None)
    assert str(refused.value) == f"{tmp_path.name}/profile.json: off_spec_factor: wanted at most 1, not 2"
