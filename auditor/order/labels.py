"""Two labels a pull, one for each end, in the order in which the cut lists cut them."""

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from auditor.job.listing import names_text
from auditor.order.lines import csv_text
from auditor.report.words import plural
from auditor.results.audit_result import Audit, CutListResult, PullResult
from auditor.units import LENGTH_M, number_text

_NAMED = 20  # pulls that a sentence names
SPARE = "spare return: leave unlanded"
_CSV_HEADINGS = (
    "job",
    "reel",
    "pull",
    "this_end",
    "far_end",
    "port",
    "cable",
    "cut_length",
    "length_unit",
    "note",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """What is tied to one end of one pull."""

    job: str
    reel: str  # as the cut list names it
    pull: str
    this_end: str
    far_end: str
    port: str  # that feeds the run; empty: none is scheduled, or a spare return that nothing feeds
    cable: str
    length: str  # to cut, rounded as in the cut list, without its unit
    length_unit: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelledPull:
    """A pull's two labels, that of the end which the schedule names first before the other."""

    ends: tuple[Label, Label]


@dataclass(frozen=True, slots=True, kw_only=True)
class Labels:
    """The labelled pulls in cutting order, and sentences on those that get no labels."""

    pulls: tuple[LabelledPull, ...]
    left_out: tuple[str, ...]


def labels(pooled: Sequence[CutListResult], pulls: Mapping[str, tuple[Audit, PullResult]]) -> Labels:
    """The labels of all pulls that a cut list holds; none for a pull that must not be cut as it is scheduled.

    Parameters
    ----------
    pooled : cut lists, in the order in which they are cut
    pulls : a pull's name in these lists -> its job and the pull
    """
    made, left_out = [], []
    for cuts, reel, name, cut_m in _pieces(pooled):
        audit, pull = pulls[name]
        if pull.hold:
            left_out.append(f"{name}, {pull.hold}")
        else:
            made.append(_labelled(audit, pull, cuts, reel, cut_m))
    uncut = [name for cuts in pooled for name in (*cuts.uncut, *cuts.unmeasured)]
    return Labels(pulls=tuple(made), left_out=(*_held_text(left_out), *_uncut_text(uncut)))


def labels_csv(pulls: Iterable[LabelledPull]) -> str:
    """A row a label (RFC 4180), for the software of a label printer; no text is taken for a formula."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(_CSV_HEADINGS)
    for pull in pulls:
        for each in pull.ends:
            texts = (each.job, each.reel, each.pull, each.this_end, each.far_end, each.port, each.cable)
            writer.writerow([*map(csv_text, texts), each.length, each.length_unit, each.note])
    return out.getvalue()


def _pieces(pooled: Iterable[CutListResult]) -> Iterator[tuple[CutListResult, str, str, float]]:
    for cuts in pooled:
        for reel in cuts.reels:
            for name, cut_m in zip(reel.pulls, reel.cut_m, strict=True):
                yield cuts, reel.reel, name, cut_m


def _labelled(audit: Audit, pull: PullResult, cuts: CutListResult, reel: str, cut_m: float) -> LabelledPull:
    first, second = (
        Label(
            job=audit.job,
            reel=reel,
            pull=pull.name or pull.id,
            this_end=this_end,
            far_end=far_end,
            port=f"{pull.controller}.{pull.port}" if pull.port else "",
            cable=cuts.cable,
            length=number_text(cut_m / LENGTH_M[cuts.length_unit]).replace(",", ""),
            length_unit=cuts.length_unit,
            note="" if pull.landed else SPARE,
        )
        for this_end, far_end in ((pull.near, pull.far), (pull.far, pull.near))
    )
    return LabelledPull(ends=(first, second))


def _held_text(left_out: Sequence[str]) -> Iterator[str]:
    if left_out:
        yield (
            f"No labels for {plural(len(left_out), 'pull')} until the schedule is mended, and do not cut "
            f"{'it' if len(left_out) == 1 else 'them'}: {names_text(left_out, _NAMED, between='; ')}."
        )


def _uncut_text(names: Sequence[str]) -> Iterator[str]:
    if names:
        yield (
            f"No labels for {plural(len(names), 'pull')} that no cut list holds, without a length or longer "
            f"than every reel: {names_text(names, _NAMED)}."
        )
