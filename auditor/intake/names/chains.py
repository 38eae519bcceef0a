"""Several ends in one cell, in order: `C1.1 > K1 (120 ft) > K2`."""

import re

from auditor.intake.grammar.values import words

CHAIN_MARK = re.compile(r"\s*(?:[-–—=]*[>→➔➜»]+|\s(?:then|dann|puis|luego|poi|dan)\s)\s*")
_LIST = re.compile(r"\s*[,;\n]\s*")
_LENGTH = re.compile(r"[(\[]\s*([^)\]]*\d[^)\]]*)[)\]]")


def split_chain(text: str) -> list[tuple[str, str | None]]:
    """(end, the length in its brackets) of each step of a chain."""
    parts = CHAIN_MARK.split(text)
    if len(parts) == 1:
        parts = _LIST.split(_LENGTH.sub(lambda found: found[0].replace(",", "."), text))
    steps = []
    for part in parts:
        found = _LENGTH.search(part)
        steps.append((words(_LENGTH.sub("", part)).strip(" ,;"), found[1].strip() if found else None))
    return [step for step in steps if step[0]]


def names_in_chain(text: str) -> list[str]:
    return [name for name, _ in split_chain(text)]
