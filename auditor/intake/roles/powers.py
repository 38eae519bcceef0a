"""Which of two columns of powers is that of each device, where the other is that of all devices of a row."""

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace

from auditor.intake.grammar.values import shown
from auditor.intake.roles.kinds import ColumnUse, Understood
from auditor.intake.roles.lengths import number_of
from auditor.intake.roles.profiles import ColumnProfile
from auditor.job.model import TableKind
from auditor.units import CURRENT_A, POWER_W

AGREE = 0.9  # share of the rows in which the product comes out; project convention
ROUNDING = 0.01  # of a product
_OF_DEVICES = (TableKind.DEVICES, TableKind.COMBINED)
_COUNT = re.compile(r"\D*(\d{1,4})\D*")


def settle_power(understood: Understood, columns: Mapping[int, ColumnProfile]) -> Understood:
    """The understanding with the power of each and of all where no heading says which is which: the one is the other
    times the quantity."""
    uses = understood.columns
    if understood.kind not in _OF_DEVICES or "power_w" not in uses:
        return understood
    if "total_power_w" in uses or understood.shape != "rows":
        return understood
    read, taken = uses["power_w"], {use.column for use in uses.values()}
    counts = [columns[uses["quantity"].column]] if "quantity" in uses else list(_counts(columns, taken))
    for column, profile in columns.items():
        same_unit = (
            profile.unit in (POWER_W.keys() | CURRENT_A.keys()) and profile.unit == columns[read.column].unit
        )
        if column in taken or not same_unit:
            continue
        for each, total in ((read.column, column), (column, read.column)):
            if any(_is_product(own, columns[each], columns[total]) for own in counts):
                return replace(understood, columns={**uses, **_uses(each, total, columns)})
    return understood


def _counts(columns: Mapping[int, ColumnProfile], taken: Collection[int]) -> Iterator[ColumnProfile]:
    """The free columns without a heading that may count devices: whole numbers in nearly every row."""
    for column, profile in columns.items():
        whole = bool(profile.numbers) and all(
            number.is_integer() and number > 0 for number in profile.numbers
        )
        if (
            column not in taken
            and not profile.header
            and profile.unit is None
            and whole
            and profile.quantities > AGREE
        ):
            yield profile


def _is_product(counts: ColumnProfile, each: ColumnProfile, total: ColumnProfile) -> bool:
    rows = [
        (int(match[1]), one, whole)
        for count, a, b in zip(counts.values, each.values, total.values, strict=True)
        if (match := _COUNT.fullmatch(shown(count)))
        and (one := number_of(a)) is not None
        and (whole := number_of(b)) is not None
    ]
    come_out = [abs(count * one - whole) <= ROUNDING * max(whole, 1e-9) for count, one, whole in rows]
    several = [fits for (count, _, _), fits in zip(rows, come_out, strict=True) if count > 1]
    return bool(several) and all(sum(own) >= AGREE * len(own) for own in (several, come_out))


def _uses(each: int, total: int, columns: Mapping[int, ColumnProfile]) -> dict[str, ColumnUse]:
    reasons = {
        "power_w": (each, "what all devices of a row draw is its number times the quantity"),
        "total_power_w": (total, "its numbers are the power of each times the quantity"),
    }
    return {
        name: ColumnUse(name, column, columns[column].header, columns[column].heading_unit, None, reason)
        for name, (column, reason) in reasons.items()
    }
