"""What an order asks for, line by line, and the same as CSV."""

import csv
import io
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from auditor.order.warnings import gaps
from auditor.profile.limits import ControllerSpec
from auditor.report.buying import reels_bought
from auditor.report.cable_names import with_spec
from auditor.report.page.look import clean
from auditor.report.words import most_used
from auditor.results.audit_result import Audit, CutListResult, SupplyResult
from auditor.results.findings import Verdict
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
    supplies: Mapping[str, ControllerSpec] | None = None,
) -> list[OrderLine]:
    """The lines of an order: cable by type and reel, pulls that no reel covers, then controllers,
    supplies and connectors.

    Parameters
    ----------
    audits : the jobs; an unreadable one asks for nothing
    pooled : a cut list a kind of cable, over all jobs; reels from the shelf are not ordered
    connectors_per_end : at each end of a landed pull; 0 orders none
    supplies : profile -> the controller it states, for jobs that schedule none

    Returns
    -------
    the lines; a reel's size is in the unit of its cable's schedules
    """
    prices = prices or Prices()
    pooled = list(pooled)
    items = {cuts.cable: with_spec(cuts) for cuts in pooled}
    lines = [*_cable_lines(pooled, prices)]
    lines += [OrderLine("cable", items.get(gap.cable, gap.cable), gap.text, 1, None) for gap in gaps(audits)]
    lines += _controller_lines(audits, prices)
    ratings = Counter(size for audit in audits for size in _supply_ratings(audit, supplies or {}))
    lines += [
        OrderLine("supply", "Supply", size, count, prices.supply) for size, count in sorted(ratings.items())
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


def _cable_lines(pooled: Iterable[CutListResult], prices: Prices) -> Iterator[OrderLine]:
    for cuts in pooled:
        for length_m, count in reels_bought(cuts):
            size = f"{length_text(length_m, cuts.length_unit)} reel"
            yield OrderLine("cable", with_spec(cuts), size, count, prices.reel(cuts.cable, length_m))


def _controller_lines(audits: Iterable[Audit], prices: Prices) -> Iterator[OrderLine]:
    """A line a profile, which says how many are needed and how many only scheduled."""
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    for audit in audits:
        if (count := controllers_to_order(audit)) and audit.controllers:
            known = audit.controllers.needed is not None
            basis = "as needed" if known else "as scheduled (need not known)"
            counts[audit.profile or ""][basis] += count
    for profile, own in sorted(counts.items()):
        item = f"Controller, {profile}" if profile else "Controller"
        size = ", ".join(f"{count:,} {basis}" for basis, count in sorted(own.items()))
        yield OrderLine("controller", item, size, own.total(), prices.controller)


def _supply_ratings(audit: Audit, stated: Mapping[str, ControllerSpec]) -> list[str]:
    """The rating of a supply a controller; further controllers get the last one's, and where there is
    none the profile's."""
    count = controllers_to_order(audit)
    known = [_rating_text(supply) for supply in audit.supplies[:count]]
    if not known and (spec := stated.get(audit.profile or "")):
        known = [_rating_text(_supply_of_profile(spec))]
    unknown = f"rating: see profile {audit.profile}" if audit.profile else "rating not stated"
    return (known + [known[-1] if known else unknown] * (count - len(known)))[:count]


def _supply_of_profile(spec: ControllerSpec) -> SupplyResult:
    """A controller's supply as the profile states it."""
    volts, watts = spec.supply_voltage_v, spec.supply_power_w
    if watts is None and spec.supply_current_a is not None:
        watts = spec.supply_current_a * volts
    return SupplyResult(controller="", voltage_v=volts, power_w=watts, rated_w=watts)


def _rating_text(supply: SupplyResult) -> str:
    """What the supply is rated at, as scheduled or else as the profile says; the headroom of a profile stays in it."""
    watts = supply.power_w if supply.rated_w is None else supply.rated_w
    if supply.voltage_v is None and watts is None:
        return "rating not stated"
    told_v = "voltage not stated" if supply.voltage_v is None else f"{number_text(supply.voltage_v)} V"
    told_w = "power not stated" if watts is None else f"{number_text(watts)} W"
    return f"{told_v}, {told_w}"


def order_csv(lines: Iterable[OrderLine], warnings: Iterable[str] = ()) -> str:
    """The lines as CSV (RFC 4180) that no spreadsheet program takes for formulas.

    Warnings come first, as rows of the kind "warning" that have their sentence for an item and no
    quantity. Text that begins like a formula gets an apostrophe in front, as spreadsheets mark text.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(_CSV_HEADINGS)
    writer.writerows(["warning", csv_text(warning), "", "", "", ""] for warning in warnings)
    for line in lines:
        texts = [csv_text(text) for text in (line.kind, line.item, line.size)]
        writer.writerow([*texts, line.quantity, _money_text(line.unit_price), _money_text(line.amount)])
    return out.getvalue()


def csv_text(text: str) -> str:
    shown = clean(text)
    return f"'{shown}" if shown.lstrip().startswith(_FORMULA_STARTS) else shown


def _money_text(value: float | None) -> str:
    return "" if value is None else f"{value:.2f}"


def usual_unit(audits: Iterable[Audit]) -> str:
    """The length unit of most jobs, feet where there are as many of each."""
    return most_used(Counter(audit.length_unit for audit in audits))
