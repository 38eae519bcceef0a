"""Controllers that stand in a list of devices: ends of pulls name their ports, and they draw nothing."""

from collections.abc import Iterable, Sequence

from auditor.intake.grammar.values import is_blank
from auditor.intake.names.chains import names_in_chain
from auditor.intake.names.ports import spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.records.columns import Columns

_POWERS = ("power_w", "total_power_w")


def listed_controllers(device_columns: Sequence[Columns], pull_columns: Sequence[Columns]) -> frozenset[str]:
    """The listed names, without their spelling, at which pulls start by a word for a port, at which none ends,
    and whose row alone leaves the power blank: `ST1` where pulls start at `ST1 Ausg. A`."""
    starts, fed = _ends(pull_columns)
    named = {spelling(option.controller) for text in starts for option in spelled(text) if option.worded}
    named -= {spelling(text) for text in fed}
    return frozenset(tag for columns in device_columns for tag in _without_power(columns) if tag in named)


def _without_power(columns: Columns) -> Iterable[str]:
    powers = [columns.raw(name) for name in _POWERS if name in columns]
    for index, tag in enumerate(columns.texts("tag")):
        if tag and powers and all(is_blank(own[index]) for own in powers):
            yield spelling(tag)


def _ends(pull_columns: Sequence[Columns]) -> tuple[set[str], set[str]]:
    """(where pulls start, where they end) as it is typed."""
    starts: set[str] = set()
    fed: set[str] = set()
    for columns in pull_columns:
        if "near" in columns:
            far = "far" if "far" in columns else "tag"
            starts |= {text for text in columns.texts("near") if text}
            fed |= {text for text in columns.texts(far) if text}
            continue
        for text in columns.texts("chain") if "chain" in columns else ():
            names = names_in_chain(text) if text else []
            starts |= set(names[:1])
            fed |= set(names[1:])
    return starts, fed
