"""Controllers that stand in a list of devices: ends of pulls name their ports, and they draw nothing."""

from collections.abc import Iterable, Sequence

from auditor.intake.grammar.values import is_blank
from auditor.intake.names.chains import names_in_chain
from auditor.intake.names.described import describes_controller
from auditor.intake.names.ports import spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.records.columns import Columns

_SAY = ("type", "description", "note")
_POWERS = ("power_w", "total_power_w")


def listed_controllers(device_columns: Sequence[Columns], pull_columns: Sequence[Columns]) -> frozenset[str]:
    """The listed names, without their spelling, at which pulls start and none ends, and whose row states no power.

    Either the pulls name a port by a word, `ST1 Ausg. A`, and the list states the power of others or lists nothing
    else; or the row says that it is a controller with its ports, `Bus controller, 2 outputs`.
    """
    starts, fed = _ends(pull_columns)
    worded = {spelling(option.controller) for text in starts for option in spelled(text) if option.worded}
    ended = {spelling(text) for text in fed}
    starting = {spelling(text) for text in starts} - ended
    return frozenset(
        tag
        for columns in device_columns
        for tag, index in _without_power(columns)
        if (tag in worded - ended and _tells_by_power(columns, worded - ended))
        or (tag in starting and _says_so(columns, index))
    )


def _tells_by_power(columns: Columns, worded: set[str]) -> bool:
    """Whether a list states the power of others, or holds only names at whose ports pulls start."""
    tags = {spelling(tag) for tag in columns.texts("tag") if tag}
    return any(name in columns for name in _POWERS) or tags <= worded


def _says_so(columns: Columns, index: int) -> bool:
    """Whether a row says of itself that it is a controller with ports."""
    return any(describes_controller(columns.texts(name)[index] or "") for name in _SAY if name in columns)


def _without_power(columns: Columns) -> Iterable[tuple[str, int]]:
    powers = [columns.raw(name) for name in _POWERS if name in columns]
    for index, tag in enumerate(columns.texts("tag")):
        if tag and all(is_blank(own[index]) for own in powers):
            yield spelling(tag), index


def _ends(pull_columns: Sequence[Columns]) -> tuple[set[str], set[str]]:
    """(where pulls start, where they end) as it is typed."""
    starts: set[str] = set()
    fed: set[str] = set()
    for columns in pull_columns:
        if "near" in columns:
            far = "far" if "far" in columns else "tag"
            starts |= {text for text in columns.texts("near") if text} | _at_terminals(columns)
            fed |= {text for text in columns.texts(far) if text}
            continue
        for text in columns.texts("chain") if "chain" in columns else ():
            names = names_in_chain(text) if text else []
            starts |= set(names[:1])
            fed |= set(names[1:])
    return starts, fed


def _at_terminals(columns: Columns) -> set[str]:
    """The near ends with the terminals that stand beside them: `CTR1` at `Bus 1`."""
    if "near_terminal" not in columns:
        return set()
    pairs = zip(columns.texts("near"), columns.texts("near_terminal"), strict=True)
    return {f"{end} {terminal}" for end, terminal in pairs if end and terminal}
