"""The evidence for a column's role in plain words, for a person who looks at a layout."""

from collections.abc import Iterator

from auditor.intake.roles.claims import Claim
from auditor.intake.roles.evidence import Ties
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.words import UNITS_OF_FIELD
from auditor.job.model import TableKind

_BY_VALUES = {  # role -> why a column has it whose heading does not say so
    "near": "the two columns of ends share their names",
    "far": "the two columns of ends share their names",
    "near_terminal": "it stands beside the near ends and holds terminals",
    "far_terminal": "it stands beside the far ends and holds terminals",
    "tag": "its names are what the other tables speak of",
    "id": "another name in each row",
    "name": "it stands before what each one is",
    "type": "what the table explains",
    "description": "the one other column of names",
    "sequence": "its numbers begin again on each port",
    "level": "its numbers say how deep each row stands",
    "chain": "each cell names ends one after the other",
    "controller": "it stands before the ports",
    "port": "its values are ports",
    "stranded": "its words are stranded or solid",
    "shielded": "its words are shielded or unshielded",
    "unit": "its values are units",
    "core": "colours or poles that come again with each cable",
    "length_m": "the only numbers beside two ends",
    "power_w": "the only numbers beside the tags",
    "start_mark_m": "it stands beside the other mark on the drum",
    "end_mark_m": "it stands beside the other mark on the drum",
}


def evidence(kind: TableKind, claim: Claim, column: ColumnProfile, ties: Ties) -> str:
    """What speaks for a column's role: its heading, what its values share with other tables, their unit."""
    found = [f"heading {column.header!r}"] if claim.words else []
    found += _shared(kind, claim.field, column.keys, ties)
    if not claim.words and column.unit and claim.field in UNITS_OF_FIELD:
        found.append(f"its values are in {column.unit}")
    return "; ".join(found) or _BY_VALUES.get(
        claim.field, "its values suit it, though its heading is not known"
    )


def _shared(kind: TableKind, field: str, keys: frozenset[str], ties: Ties) -> Iterator[str]:
    """What the values are in another table, with how many of them are."""
    if field == "tag":
        yield from _counted(keys, ties.ends, "an end of a pull", "ends of pulls")
    elif field in ("near", "far"):
        yield from _counted(keys, ties.tags, "a tag of the device list", "tags of the device list")
    elif field == "cable":
        yield from _counted(keys, ties.cables, "a listed cable type", "listed cable types")
    elif field == "type" and kind is TableKind.LEGEND:
        yield from _counted(keys, ties.kinds_used, "a kind that devices name", "kinds that devices name")
    elif field == "type":
        yield from _counted(keys, ties.explained, "a kind of the legend", "kinds of the legend")


def _counted(keys: frozenset[str], of: frozenset[str], one: str, many: str) -> Iterator[str]:
    met, count = len(keys & of), len(keys)
    if met and count == 1:
        yield f"its one value is {one}"
    elif met == count and met:
        yield f"its {count} values are {many}"
    elif met:
        yield f"{met} of its {count} values {'is' if met == 1 else 'are'} {one if met == 1 else many}"
