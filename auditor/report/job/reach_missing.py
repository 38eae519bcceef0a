"""The devices that the reach pictures cannot show, named under the run they belong to, and why."""

from collections.abc import Iterable, Mapping

from auditor.report.page.page import Page
from auditor.report.words import devices_by_port, plural
from auditor.results.audit_result import Audit, DeviceResult, RunResult
from auditor.results.findings import Finding, Level
from auditor.units import length_text

_MOST_NAMED = 30  # devices of a run that are named; the rest is counted

_Found = Mapping[str, Finding]  # tag -> what the reach rule found of it


def write_missing(page: Page, row: int, audit: Audit) -> int:
    """A paragraph a run, runs with a device past its reach first; gives the last row written."""
    texts = missing_texts(audit)
    if not texts:
        return row - 2
    page.section(row, "Not shown above")
    row += 1
    for text, fails in texts:
        row = page.paragraph(row, text, strong=fails)
    return row - 1


def missing_texts(audit: Audit) -> list[tuple[str, bool]]:
    """What is said of each run, and whether a device of it is past its reach all the same."""
    missing = devices_by_port(
        device for device in audit.devices if device.distance_m is None or device.port is None
    )
    found = {finding.subject: finding for finding in audit.findings if finding.rule == "reach"}
    runs: dict[tuple[str | None, str | None], RunResult] = {
        (run.controller, run.port): run for run in audit.runs if run.port is not None
    }
    texts = []
    for key, devices in missing.items():
        run = runs.get(key)
        failing = any(_is_fail(found.get(device.tag)) for device in devices)
        name, why = (run.name, _reason_text(audit, run)) if run else ("On no port", "no port feeds them yet")
        texts.append((f"{name}: {_names_text(devices, found, audit.length_unit)}. Why: {why}.", failing))
    return sorted(texts, key=lambda text: not text[1])


def _is_fail(finding: Finding | None) -> bool:
    return finding is not None and finding.level is Level.FAIL


def _names_text(devices: Iterable[DeviceResult], found: _Found, unit: str) -> str:
    """The devices past their reach first, each with what is known of its distance."""
    names = list(dict.fromkeys(device.tag for device in devices))
    names.sort(key=lambda tag: -found[tag].level.severity if tag in found else 1)
    more = f" and {len(names) - _MOST_NAMED:,} more" if len(names) > _MOST_NAMED else ""
    return ", ".join(_name_text(tag, found.get(tag), unit) for tag in names[:_MOST_NAMED]) + more


def _name_text(tag: str, finding: Finding | None, unit: str) -> str:
    if finding is None or finding.measured is None or finding.limit is None:
        return tag
    known, limit = length_text(finding.measured, unit), length_text(finding.limit, unit)
    return f"{tag} (at least {known}, limit {limit})"


def _reason_text(audit: Audit, run: RunResult) -> str:
    own = [pull for pull in audit.pulls if (pull.controller, pull.port) == (run.controller, run.port)]
    without = sum(pull.landed and pull.length_m is None for pull in own)
    reasons = [
        f"{plural(without, 'pull')} of the run without a length or its unit" if without else "",
        f"{plural(run.loops, 'loop')}, so that there is more than one way" if run.loops else "",
    ]
    return "; ".join(filter(None, reasons)) or "no way of known length leads there from the port"
