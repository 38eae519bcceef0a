"""What would restore a run whose voltage does not hold, each answer judged again before it is said.

The answers are sought on the run's net with the profile's margin, and then tried as a change of the
job's rows: an answer is only given where the judgement of the changed rows finds nothing about the
voltage of that run and nothing that fails and did not fail before.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from auditor.bus.cables import UNNAMED, gauge_text
from auditor.bus.measure import Bus, RunState
from auditor.calc.conductors import conductor, standard_gauges
from auditor.calc.volts.net import Net
from auditor.calc.volts.remedies import (
    LessLoad,
    SecondFeed,
    ThickerPulls,
    less_load_everywhere,
    loads_to_take_off,
    second_feed,
    thicker_pulls,
)
from auditor.job.change import Change
from auditor.job.model import Controller, Job, Port, Pull, known_power_w
from auditor.plans.part import job_of, runs_of
from auditor.plans.plans import VOLTAGE, Way
from auditor.results.findings import Level
from auditor.results.judged import Judge
from auditor.units import length_text, number_text

Asked = tuple[Net, Mapping[str, float]]  # a net, and the voltage that each device is to have
LEFT_AT_LEAST = 0.1  # project convention: to take more than nine tenths of the watts off mends nothing
MOST_GAUGES = 3  # project convention: so many gauges are tried, from the smallest that mends the net
NAMED = 8  # project convention: more names than this do not help a reader


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One change that restores a run's voltage, in words, and the job with it."""

    way: Way
    job: Job


def remedies(bus: Bus, judge: Judge) -> dict[int, tuple[Way, ...]]:
    """What would restore each run whose voltage does not hold with the profile's margin, by its identity: first what
    leaves nothing that fails."""
    margin = bus.profile.review_above
    return {
        id(state): tuple(
            sorted((remedy.way for remedy in run_remedies(bus, state, judge)), key=lambda way: way.shortfall)
        )
        for state in bus.runs
        if not state.electrical.comfortable(margin)
    }


def run_remedies(bus: Bus, state: RunState, judge: Judge) -> Iterator[Remedy]:
    """The changes that restore one run, thicker pulls first; none where a device needs more than there is."""
    if not state.electrical.out_of_reach:
        yield from _RunRemedies(bus, state, judge).remedies()


class _RunRemedies:
    """The search for what restores one run."""

    def __init__(self, bus: Bus, state: RunState, judge: Judge) -> None:
        self._bus, self._state, self._judge = bus, state, judge
        self._unit = bus.job.length_unit
        self._tags = frozenset(device.tag for device in state.run.devices)
        others = runs_of(bus, {port.controller for port in state.run.ports})
        self._beside = job_of(bus, [state.run, *others])
        self._failed_before = judge(self._beside, bus.profile).failures()

    def remedies(self) -> Iterator[Remedy]:
        for found in (self._thicker_pulls, self._fewer_devices, self._less_load, self._second_feed):
            tried = (self._tried(*one) for asked in self._nets_to_mend() for one in found(*asked))
            best = self._first_best(remedy for remedy in tried if remedy is not None)
            if best is not None:
                yield best

    def _first_best(self, remedies: Iterable[Remedy]) -> Remedy | None:
        """The first that leaves nothing to review, else the one that leaves least: what still fails with a change failed
        before, and has nothing to do with the voltage."""
        best: Remedy | None = None
        for remedy in remedies:
            if best is None or remedy.way.shortfall < best.way.shortfall:
                best = remedy
            if not best.way.low:
                break
        return best

    def _tried(self, sentence: str, change: Change) -> Remedy | None:
        """The change judged; None: it does not restore the run, or something fails that did not before."""
        trial = self._judge(change.applied(self._beside), self._bus.profile)
        runs = [
            each.run for each in trial.bus.runs if self._tags & {device.tag for device in each.run.devices}
        ]
        names = {run.name for run in runs} | self._tags
        about = [
            finding
            for finding in trial.findings
            if finding.rule == VOLTAGE and finding.level is not Level.NOTE and finding.subject in names
        ]
        low = [finding for finding in about if finding.subject not in self._tags and finding.unit == "V"]
        if len(low) < len(about) or VOLTAGE in trial.crashed or not trial.failures() <= self._failed_before:
            return None
        own = (
            names
            | {port.controller for run in runs for port in run.ports}
            | {pull.id for run in runs for pull in run.pulls}
        )
        left = {
            finding.rule
            for finding in trial.findings
            if finding.level is Level.FAIL and finding.subject in own
        }
        least_v = min((finding.measured for finding in low if finding.measured is not None), default=None)
        way = Way(
            sentence=sentence,
            left=tuple(sorted(left)),
            low="" if least_v is None else f"then down to {number_text(least_v, 2)} V, to review",
        )
        return Remedy(way=way, job=change.applied(self._bus.job))

    def _nets_to_mend(self) -> Iterator[Asked]:
        """What is asked for first with the profile's part of the supply's voltage where nothing is stated; then the
        margin on the drops where voltages are asked for; else, or if not enough, on the loads."""
        electrical, margin = self._state.electrical, self._bus.profile.review_above
        usual_v = self._bus.profile.review_below * electrical.source_v
        yield electrical.net, {**dict.fromkeys(self._tags, usual_v), **electrical.comfortable_v(margin)}
        if electrical.least_v:
            yield electrical.net, electrical.comfortable_v(margin)
        yield electrical.net.scaled(1 / margin), electrical.comfortable_v(margin)

    def _thicker_pulls(self, net: Net, wanted_v: Mapping[str, float]) -> Iterator[tuple[str, Change]]:
        """With the smallest gauge that mends the net, and with thicker ones: a loss may be too much for the supply."""
        pulls, profile = self._state.electrical.pulls, self._bus.profile
        gauges = {gauge.name: gauge.area_mm2 for gauge in standard_gauges(metric=self._metric())}
        ohms = [
            (
                name,
                conductor(
                    conductor_degc=profile.conductor_degc, area_mm2=area_mm2, stranded=profile.cable.stranded
                ),
            )
            for name, area_mm2 in gauges.items()
        ]
        lengths_m = [pull.length_m or 0.0 for pull in pulls]
        left = [(name, ohm.ohm_per_km) for name, ohm in ohms]
        for _ in range(MOST_GAUGES):
            answer = thicker_pulls(net, wanted_v, lengths_m, left)
            if answer is None or not answer.links:
                return
            chosen = [pulls[index] for index in sorted(answer.links)]
            change = self._thicker_change(chosen, answer.gauge, gauges[answer.gauge])
            yield self._thicker_text(answer, chosen), change
            left = left[[name for name, _ in left].index(answer.gauge) + 1 :]

    def _metric(self) -> bool:
        gauges = [gauge_text(state.cable) for state in self._bus.cables.values()]
        return any("mm" in text for text in gauges) or (
            self._unit == "m" and not any("AWG" in text for text in gauges)
        )

    def _thicker_text(self, answer: ThickerPulls, chosen: Sequence[Pull]) -> str:
        total = length_text(sum(pull.length_m for pull in chosen if pull.length_m), self._unit)
        told = total if answer.least else f"{total}, one way of several"
        marked = dict.fromkeys(self._bus.cables[pull.cable or UNNAMED].cable.fire_rating for pull in chosen)
        told += "".join(f", fire rating {each} as before" for each in marked if each)
        return f"{answer.gauge.replace('mm2', 'mm²')} on {_names_text([pull.id for pull in chosen])} ({told})"

    def _thicker_change(self, chosen: Sequence[Pull], gauge: str, area_mm2: float) -> Change:
        """The same cable types, each with the thicker conductor."""
        cables, pulls = {}, {}
        for pull in chosen:
            usual = self._bus.cables[pull.cable or UNNAMED].cable
            thick = replace(
                usual,
                name=f"{usual.name} as {gauge}",
                area_mm2=area_mm2,
                gauge=gauge,
                stranded=self._bus.profile.cable.stranded,
                coated=False,
                ohm_per_km=None,
            )
            cables[thick.name] = thick
            pulls[id(pull)] = replace(pull, cable=thick.name)
        return Change(pulls=pulls, cables=cables)

    def _fewer_devices(self, net: Net, wanted_v: Mapping[str, float]) -> Iterator[tuple[str, Change]]:
        answer: LessLoad | None = loads_to_take_off(net, wanted_v)
        loaded = {tag for tag, loads in net.loads.items() if loads}
        if answer is None or not answer.nodes or loaded <= set(answer.nodes):
            return
        gone = frozenset(answer.nodes)
        devices = (device for device in self._state.run.devices if device.tag in gone)
        watts = number_text(known_power_w(devices))
        sentence = f"move {_names_text(answer.nodes)} ({watts} W) to another port"
        yield sentence, self._moved(answer.nodes)

    def _moved(self, tags: Sequence[str]) -> Change:
        """The devices on a further port, each by a home run of the same route; a joint stays where each was."""
        run = self._state.run
        source, ports, controllers = self._further_port()
        joint = {tag: f"{tag}, joint" for tag in tags}
        return Change(
            pulls={
                id(pull): replace(
                    pull, near=joint.get(pull.near, pull.near), far=joint.get(pull.far, pull.far)
                )
                for pull in run.pulls
            },
            drawn=tuple(
                replace(
                    run.feed[tag], id=f"home run to {tag}", near=source, far=tag, length_m=run.distance_m[tag]
                )
                for tag in tags
            ),
            ports=ports,
            controllers=controllers,
            splices=frozenset(joint.values()),
        )

    def _further_port(self) -> tuple[str, Mapping[str, Port], Mapping[str, Controller]]:
        """Where a home run of its own begins, and the port, where runs have ports: one of the same controller where it
        has one to spare, else of a further one that is like it."""
        run, job = self._state.run, self._bus.job
        if not run.assigned:
            return run.sources[0], {}, {}
        own = next(each for each in self._bus.controllers if each.name == run.ports[0].controller)
        if sum(port.controller == own.name for port in job.ports.values()) < own.ports:
            port = Port(controller=own.name, port="a further port")
            return port.name, {port.name: port}, {}
        further = replace(job.controllers[own.name], name="a further controller", where=None)
        port = Port(controller=further.name, port="1")
        return port.name, {port.name: port}, {further.name: further}

    def _less_load(self, net: Net, wanted_v: Mapping[str, float]) -> Iterator[tuple[str, Change]]:
        answer: LessLoad | None = less_load_everywhere(net, wanted_v)
        power_w = self._state.power_w
        if answer is None:
            return
        less_w = math.ceil(10 * power_w * (1 - answer.factor)) / 10  # a margin on the net's loads stays
        if not 0 < less_w <= (1 - LEFT_AT_LEAST) * power_w:
            return
        sentence = f"take {number_text(less_w)} W off, spread over all its devices"
        factor = 1 - less_w / power_w
        devices = self._state.run.devices
        lighter = {id(each): replace(each, power_w=each.power_w * factor) for each in devices if each.power_w}
        yield sentence, Change(devices=lighter)

    def _second_feed(self, net: Net, wanted_v: Mapping[str, float]) -> Iterator[tuple[str, Change]]:
        answer: SecondFeed | None = second_feed(net, wanted_v)
        if answer is None:
            return
        run, lifted = self._state.run, self._state.electrical.pulls[answer.lifted]
        length_m = run.distance_m[answer.node]
        source, ports, controllers = self._further_port()
        home_run = replace(
            lifted, id=f"home run to {answer.node}", near=source, far=answer.node, length_m=length_m
        )
        sentence = (
            f"lift {lifted.id} and feed {answer.node} by a home run of its own from a further port, "
            f"{length_text(length_m, self._unit)} by the same route"
        )
        yield sentence, Change(pulls={id(lifted): home_run}, ports=ports, controllers=controllers)


def _names_text(names: Sequence[str]) -> str:
    """The first of some names, and how many more there are."""
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return ", ".join(names[:NAMED]) + more
