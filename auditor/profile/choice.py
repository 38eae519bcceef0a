"""Which profile judges a job: the command line's, the workbook's, the folder's, else the default."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from auditor.profile.limits import Profile
from auditor.profile.load import DEFAULT, load_profile, shipped_names, side_profile

# Why a profile was chosen, as results and reports have it; a file beside the workbook is named instead.
BY_COMMAND = "named on the command line"
BY_WORKBOOK = "named in the workbook"
_DEFAULT = "the default; "
BY_DEFAULT = f"{_DEFAULT}nothing names another"


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A profile, why it was chosen, and what is to be said about one that was named and is not there."""

    profile: Profile
    why: str
    said: str = ""


def surely_shipped(why: str) -> bool:
    """Whether no file can have been chosen for a reason."""
    return why == BY_WORKBOOK or why.startswith(_DEFAULT)


def choose_profile(
    workbook: Path, *, asked: str | None, stated: str | None, overrides: Mapping[str, object]
) -> Choice:
    """The profile for one workbook.

    Parameters
    ----------
    asked : name or file from the command line
    stated : the name that the workbook itself gives, in any case; only a shipped profile's is taken
    overrides : laid over the profile, see `load_profile`

    Raises
    ------
    ProfileError : the profile of the command line or of the folder is not right
    """
    if asked is not None:
        return Choice(profile=load_profile(asked, overrides), why=BY_COMMAND)
    shipped = {name.casefold(): name for name in shipped_names()}
    if stated and stated.casefold() in shipped:
        return Choice(profile=load_profile(shipped[stated.casefold()], overrides), why=BY_WORKBOOK)
    said = _unknown_text(stated) if stated else ""
    beside = side_profile(workbook)
    if beside is None:
        why = f"{_DEFAULT}'{stated}' in the workbook is none" if stated else BY_DEFAULT
        return Choice(profile=load_profile(DEFAULT, overrides), why=why, said=said)
    folder = beside.parent.name
    profile = load_profile(str(beside), overrides, called=f"{folder}/{beside.name}")
    return Choice(profile=profile, why=f"{beside.name} in {folder}", said=said)


def _unknown_text(stated: str) -> str:
    return (
        f"The workbook names the bus profile '{stated}', which is not one of "
        f"{', '.join(shipped_names())}; correct the cell or choose one with --profile"
    )
