"""What an order asks for, line by line, and the same as CSV."""

import csv
import io
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from auditor.findings import Audit, CutListResult, SupplyResult, Verdict
from auditor.report.buying import Buying
from auditor.report.look import clean
from auditor.report.words import most_used
from auditor.units import length_text, number_text

_FORMULA_STARTS = tuple("=+-@\t\r＝＋－＠")
_CSV_HEADINGS = ("kind", "item", "size", "quantity", "unit_price", "amount")


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """What things cost, in one currency; what is missing is left open in the order."""

    reels: Mapping[tuple[str, float], float] = field(default_factory=dict)  # (cable, length [m]) -> price
    controller: float | None = None
    supply: float | None = None
    connector: float | None = None

    def reel(self, cable: str, length_m: float) -> float | None:
        """The price of a reel; its length is met to a millimetre."""
        return next(
            (
                price
                for (name, length), price in self.reels.items()
                if name == cable and abs(length - length_m) < 0.001
            ),
            None,
        )


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line of an order."""

    kind: str  # "cable", "controller", "supply" or "connector"
    item: str
    size: str
    quantity: int
    unit_price: float | None

    @property
    def amount(self) -> float | None:
        return None if self.unit_price is None else self.unit_price * self.quantity


def order_lines(
    audits: Sequence[Audit],
    pooled: Iterable[CutListResult],
    *,
    prices: Prices | None = None,
    connectors_per_end: int = 0,
    unit: str = "ft",
) -> list[OrderLine]:
    """The lines of an order: cable by type and reel, then controllers, supplies and connectors.

    Parameters
    ----------
    audits : the jobs; an unreadable one asks for nothing
    pooled : a cut list a cable type, over all jobs; reels from the shelf are not ordered
    connectors_per_end : at each end of a landed pull; 0 orders none
    unit : of the reels' lengths in the text
    """
    prices = prices or Prices()
    buying = Buying()
    buying.add_cut_lists(pooled)
    lines = [
        OrderLine("cable", cable, f"{length_text(length_m, unit)} reel", count, prices.reel(cable, length_m))
        for cable in buying.cables
        for length_m, count in buying.reels_of(cable, on_shelf=False)
    ]
    supplies = Counter(_supply(supply) for audit in audits for supply in _supplies(audit))
    controllers = sum(controllers_to_order(audit) for audit in audits)
    lines += (
        [OrderLine("controller", "Controller", "", controllers, prices.controller)] if controllers else []
    )
    lines += [
        OrderLine("supply", "Supply", size, count, prices.supply) for size, count in sorted(supplies.items())
    ]
    ends = 2 * sum(pull.landed for audit in audits for pull in audit.pulls)
    if connectors_per_end and ends:
        lines.append(OrderLine("connector", "Connector", "", connectors_per_end * ends, prices.connector))
    return lines


def controllers_to_order(audit: Audit) -> int:
    """What the job needs; what it has scheduled where the need is not known."""
    if audit.verdict is Verdict.UNREADABLE or audit.controllers is None:
        return 0
    needed = audit.controllers.needed
    return audit.controllers.scheduled if needed is None else needed


def _supplies(audit: Audit) -> list[SupplyResult | None]:
    """A supply a controller; further controllers get the last one's."""
    count = controllers_to_order(audit)
    known: list[SupplyResult | None] = list(audit.supplies[:count])
    last = known[-1] if known else None
    return known + [last] * (count - len(known))


def _supply(supply: SupplyResult | None) -> str:
    if supply is None or supply.voltage_v is None or supply.power_w is None:
        return "rating not stated"
    return f"{number_text(supply.voltage_v)} V, {number_text(supply.power_w)} W"


def order_csv(lines: Iterable[OrderLine]) -> str:
    """The lines as CSV (RFC 4180) that no spreadsheet program takes for formulas.

    Text that begins like a formula gets an apostrophe in front, as spreadsheets mark text.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(_CSV_HEADINGS)
    for line in lines:
        texts = [csv_text(text) for text in (line.kind, line.item, line.size)]
        writer.writerow([*texts, line.quantity, _money(line.unit_price), _money(line.amount)])
    return out.getvalue()


def csv_text(text: str) -> str:
    shown = clean(text)
    return f"'{shown}" if shown.lstrip().startswith(_FORMULA_STARTS) else shown


def _money(value: float | None) -> str:
    return "" if value is None else f"{value:.2f}"


def usual_unit(audits: Iterable[Audit]) -> str:
    """The length unit of most jobs, feet where there are as many of each."""
    return most_used(Counter(audit.length_unit for audit in audits))
