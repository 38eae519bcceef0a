"""Why a careful human would have to ask: what of a draft its cells do not settle."""

from collections.abc import Iterator

from tests.offices.book import Table
from tests.offices.draft import Draft

COUNTS = frozenset(
    ("counter", "pull", "seq", "height")
)  # numbers that give themselves away, or are asked for apart
WORDS_ALONE = {  # what only the heading's words tell
    "cumulative": "lengths from the port",
    "built": "planned and built",
    "start_mark": "drum marks",
    "total_length": "parts and total",
    "slot": "panel, slot and port",
    "total_power": "each and total power",
}
IN_CELLS = frozenset(("cell", "prime", "feet and inches", "number format"))


def reasons(draft: Draft) -> list[str]:
    """Each reason once; none where the workbook can be understood as it stands."""
    return list(dict.fromkeys(_reasons(draft)))


def _reasons(draft: Draft) -> Iterator[str]:
    if draft.length_style.where == "nowhere":
        yield "no unit of length"
    if draft.ports.alone:
        yield "no ports"
    if draft.headings.speak:
        return
    for table in draft.tables():
        yield from (f"no words for {why}" for role, why in WORDS_ALONE.items() if table.has(role))
        if len(_alike(draft, table)) > 1:
            yield "two columns of numbers alike"
        if table.has("power") and _unsaid_power(draft):
            yield "no unit of power"
        if table.has("quantity"):
            yield "no words for a quantity"
        if table.has("controller", "near_tag"):
            yield "no words for panel and port"


def _alike(draft: Draft, table: Table) -> list[str]:
    """Roles of columns of bare numbers; only lists of pulls count."""
    if not any(column.unit == "length" for column in table.columns):
        return []
    return [column.role for column in table.columns if _bare_number(draft, column.unit, column.role)]


def _bare_number(draft: Draft, unit: str, role: str) -> bool:
    if unit == "length":
        return draft.length_style.where not in IN_CELLS | _shown(draft)
    if unit == "power":
        return draft.power_style.where not in IN_CELLS | _shown(draft)
    return role in ("height", "quantity")


def _shown(draft: Draft) -> frozenset[str]:
    """Where a unit stands in a heading, if there are headings."""
    return (
        frozenset() if draft.headings.removed else frozenset(("heading", "second heading row", "unit column"))
    )


def _unsaid_power(draft: Draft) -> bool:
    return draft.power_style.where not in IN_CELLS | _shown(draft) | {"line above", "legend"}
