"""Which profile judges a job: the command line's, the workbook's, the folder's, else the default."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from auditor.profile.limits import Profile
from auditor.profile.load import DEFAULT, load_profile, shipped_names, side_profile

# Why a profile was chosen, as results and reports have it; a file beside the workbook is named instead.
BY_COMMAND = "named on the command line"
BY_WORKBOOK = "named in the workbook"
BY_DEFAULT = "the default; nothing names another"
SURELY_SHIPPED = frozenset((BY_WORKBOOK, BY_DEFAULT))  # no file can have been chosen for these reasons


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A profile, why it was chosen, and what is to be said about one that was named and is not there."""

    profile: Profile
    why: str
    said: str = ""


def choose_profile(
    workbook: Path, *, asked: str | None, stated: str | None, overrides: Mapping[str, object]
) -> Choice:
    """The profile for one workbook.

    Parameters
    ----------
    asked : name or file from the command line
    stated : the name that the workbook itself gives; only a shipped profile's is taken
    overrides : laid over the profile, see `load_profile`

    Raises
    ------
    ProfileError : the profile of the command line or of the folder is not right
    """
    if asked is not None:
        return Choice(profile=load_profile(asked, overrides), why=BY_COMMAND)
    if stated in shipped_names():
        return Choice(profile=load_profile(stated, overrides), why=BY_WORKBOOK)
    said = _unknown_text(stated) if stated else ""
    beside = side_profile(workbook)
    if beside is None:
        return Choice(profile=load_profile(DEFAULT, overrides), why=BY_DEFAULT, said=said)
    folder = beside.parent.name
    profile = load_profile(str(beside), overrides, called=f"{folder}/{beside.name}")
    return Choice(profile=profile, why=f"{beside.name} in {folder}", said=said)


def _unknown_text(stated: str) -> str:
    return (
        f"The workbook names the bus profile '{stated}', which is not one of "
        f"{', '.join(shipped_names())}; correct the cell or choose one with --profile"
    )
