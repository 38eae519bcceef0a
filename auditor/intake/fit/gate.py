"""The gate before any rule speaks: how well a reading hangs together as a graph, by counted breaks.

A reading that hangs together badly was not understood. Its job is then one question, and no figure and no
fault that rests on the doubt is stated. A real fault in a job that is read well passes: one unfed branch, one
slip, one loop. The bounds come from a trial on 23 rightly read jobs: none was stopped as it was or with one
row, home run or length missing; 21 to 23 were stopped when a list was read twice, half of it was not seen,
or a row number was taken for an end. With n devices the gate closes if any one holds:

- pieces with devices and no root, with devices that no pull touches: more than max(2.5, 15 % of n), where at
  least a third as many ends are unknown (an unfinished schedule is no misread one); or more than 30 % of the
  pulls with one end only; or every device at a pull; or more than max(4.5, 25 % of n) devices that feed others and
  that nothing feeds;
- ends that nothing knows: more than max(3.5, 12 % of n);
- pulls that stand twice, and cycles: more than max(2.5, 15 % of n);
- one end that is no root, and no device that a port feeds, in more than 40 % of the pulls;
- devices that hang on no port and whose kind, by the letters of their tags, no device on a port has, where at least
  8 devices and half of the list are on ports and no end is a slip of theirs;
- two tags or more that stand in the lists of two sheets;
- figures that no usual bus has: on average more than 350 W a controller or 304.8 m a pull, or that in each of a few
  pulls, a median of more than 15 W a device; only these figures are withheld;
- a pull at a controller without a port of it, where others are at its ports;
- no root at all;
- pulls from one port or head end to another: more than max(1.5, 10 % of the pulls);
- pulls: fewer than half the rows of the schedules;
- lengths that rise from hop to hop in more than 72 % of the hops, or in all of them where chance would do so in
  less than 1 of 100 jobs: they may count from the port.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from auditor.intake.fit import doubts, doubts_of_lists
from auditor.intake.fit.breaks import breaks_of
from auditor.intake.fit.doubt import LEAST_PULLS
from auditor.intake.fit.lists_asked import Further, list_of, nothing_further, with_lists, with_ways
from auditor.intake.said import NO_ANSWERS, Answers, chosen, to_decide
from auditor.job.model import Device, Job, Pull, Remark

DOUBTS = (  # in the order in which they are asked
    doubts.unknown_ends,
    doubts.devices_without_port,
    doubts.pulls_twice,
    doubts.end_of_most_pulls,
    doubts.no_port,
    doubts.no_device_fed,
    doubts.ports_at_both_ends,
    doubts.heads_beside_ports,
    doubts_of_lists.devices_twice,
    doubts_of_lists.kinds_unfed,
    doubts.rising_lengths,
    doubts_of_lists.figures_beyond,
)
_WITHHELD = "Nothing that rests on this is judged until it is answered"


def gated(
    job: Job,
    unread: Sequence[Remark] = (),
    answers: Answers = NO_ANSWERS,
    further: Further = nothing_further,
    told: frozenset[str] = frozenset(),
) -> Job:
    """The job as it is, or one that only asks.

    Parameters
    ----------
    unread : what is to be asked of cells that are not read and name what is missing, behind what was answered
    answers : to questions that an earlier reading asked; one that is asked here settles its doubt
    further : what an answer to a doubt leads to
    told : the lists of which an answer has said what holds them
    """
    if any(remark.closes for remark in job.remarks):
        return _only_asked(job, sorted(job.remarks, key=lambda remark: not remark.closes))
    found = breaks_of(job)
    for doubt_of in (doubts.rows_not_read, *DOUBTS):
        if (
            doubt_of is not doubts.rows_not_read
            and len([pull for pull in job.pulls if pull.landed]) < LEAST_PULLS
        ):
            break  # too few to be counted; what is not read is asked about all the same
        doubt = doubt_of(job, found)
        if doubt is None:
            continue
        doubt = with_lists(doubt, further, told)
        answer = chosen(doubt.question, answers)
        if answer is None:
            open_ = to_decide(doubt.question, "reading", then=_WITHHELD)
            if doubt.until_answered is None:
                return _closed(job, open_)
            job = replace(doubt.until_answered(job), remarks=(open_, *job.remarks))
            continue
        then = list_of(doubt, answer, further)
        if then is not None and chosen(then, answers) is None:
            return _closed(job, to_decide(then, "reading", then=_WITHHELD))
        said = to_decide(doubt.question, "reading", answers)
        job = replace(doubt.settled(job, answer), remarks=(said, *job.remarks))
        found = breaks_of(job)
    return _with_gaps_said(_with_unread(job, unread, further) if unread else job)


def _with_gaps_said(job: Job) -> Job:
    """The job of which each missing value is said, where no question is left that asks for it."""
    rows: list[Device | Pull] = [*job.devices, *job.pulls]
    if any(remark.question is not None for remark in job.remarks) or not any(row.asked for row in rows):
        return job
    return replace(
        job,
        devices=tuple(replace(one, asked=frozenset()) if one.asked else one for one in job.devices),
        pulls=tuple(replace(one, asked=frozenset()) if one.asked else one for one in job.pulls),
    )


def _with_unread(job: Job, unread: Sequence[Remark], further: Further) -> Job:
    """The job with a note of each answer; closed where a question is left."""
    said = replace(job, remarks=(*(one for one in unread if one.question is None), *job.remarks))
    still = next((one for one in unread if one.question is not None), None)
    if still is None or still.question is None:
        return said
    return _closed(said, replace(still, question=with_ways(still.question, further)))


def _closed(job: Job, asked: Remark) -> Job:
    return _only_asked(job, (replace(asked, closes=True), *job.remarks))


def _only_asked(job: Job, remarks: Iterable[Remark]) -> Job:
    """The job without what cannot be judged: its questions and how it was read."""
    return replace(job, devices=(), pulls=(), head_ends=frozenset(), ports={}, remarks=tuple(remarks))
