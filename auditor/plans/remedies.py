"""What would restore a run whose voltage does not hold, each answer judged again before it is said.

The answers are sought on the run's net with the profile's margin, and then tried as a change of the
job's rows: an answer is only given where the judgement of the changed rows finds nothing about the
voltage of that run and nothing that fails and did not fail before.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

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
from auditor.job.model import Cable, Job, Port, Pull
from auditor.plans.plans import VOLTAGE
from auditor.results.findings import Level
from auditor.results.judged import Judge
from auditor.units import length_text, number_text

Asked = tuple[Net, Mapping[str, float]]  # a net, and the voltage that each device is to have
LEFT_AT_LEAST = 0.1  # project convention: to take more than nine tenths of the watts off mends nothing
NAMED = 8  # project convention: more names than this do not help a reader


@dataclass(frozen=True, slots=True, kw_only=True)
class _Change:
    """What a suggestion does to a job's rows."""

    pulls: Mapping[int, Pull] = field(default_factory=dict)  # id() of a row -> the row instead
    cables: Mapping[str, Cable] = field(default_factory=dict)
    ports: Mapping[str, Port] = field(default_factory=dict)
    gone: frozenset[str] = frozenset()  # tags of devices that move away; their ends stay as splices
    factor: float = 1.0  # on the power of every device of the run

    def applied(self, job: Job, run: frozenset[str]) -> Job:
        return replace(
            job,
            pulls=tuple(self.pulls.get(id(pull), pull) for pull in job.pulls),
            cables={**job.cables, **self.cables},
            ports={**job.ports, **self.ports},
            devices=tuple(
                replace(device, power_w=device.power_w * self.factor)
                if device.power_w and device.tag in run
                else device
                for device in job.devices
                if device.tag not in self.gone
            ),
            splices=job.splices | self.gone,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One change that restores a run's voltage, in words, and the job with it."""

    sentence: str
    job: Job


def remedies(bus: Bus, judge: Judge) -> dict[int, tuple[str, ...]]:
    """What would restore each run whose voltage does not hold with the profile's margin, by its identity."""
    margin = bus.profile.review_above
    return {
        id(state): tuple(remedy.sentence for remedy in run_remedies(bus, state, judge))
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
        own = {id(pull) for pull in state.run.pulls}
        self._alone = replace(
            bus.job,
            pulls=tuple(pull for pull in bus.job.pulls if id(pull) in own),
            devices=tuple(device for device in bus.job.devices if device.tag in self._tags),
            remarks=(),
        )
        self._failed_before = judge(self._alone, bus.profile).failures()

    def remedies(self) -> Iterator[Remedy]:
        for found in (self._thicker_pulls, self._fewer_devices, self._less_load, self._second_feed):
            for asked in self._nets_to_mend():
                sentence, change = found(*asked)
                if sentence and self._restores(change):
                    yield Remedy(sentence=sentence, job=change.applied(self._bus.job, self._tags))
                    break

    def _nets_to_mend(self) -> Iterator[Asked]:
        """The margin on the drops where voltages are asked for; else, or if not enough, on the loads."""
        electrical, margin = self._state.electrical, self._bus.profile.review_above
        if electrical.least_v:
            yield electrical.net, electrical.comfortable_v(margin)
        yield electrical.net.scaled(1 / margin), electrical.comfortable_v(margin)

    def _restores(self, change: _Change) -> bool:
        trial = self._judge(change.applied(self._alone, self._tags), self._bus.profile)
        names = {state.run.name for state in trial.bus.runs} | self._tags
        still_low = any(
            finding.rule == VOLTAGE and finding.level is not Level.NOTE and finding.subject in names
            for finding in trial.findings
            if finding.subject in self._tags or finding.unit != "V"  # volts of a run only ask the maker
        )
        return not still_low and VOLTAGE not in trial.crashed and trial.failures() <= self._failed_before

    def _thicker_pulls(self, net: Net, wanted_v: Mapping[str, float]) -> tuple[str, _Change]:
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
        answer = thicker_pulls(net, wanted_v, lengths_m, [(name, ohm.ohm_per_km) for name, ohm in ohms])
        if answer is None or not answer.links:
            return "", _Change()
        chosen = [pulls[index] for index in sorted(answer.links)]
        return self._thicker_text(answer, chosen), self._thicker_change(
            chosen, answer.gauge, gauges[answer.gauge]
        )

    def _metric(self) -> bool:
        gauges = [gauge_text(state.cable) for state in self._bus.cables.values()]
        return any("mm" in text for text in gauges) or (
            self._unit == "m" and not any("AWG" in text for text in gauges)
        )

    def _thicker_text(self, answer: ThickerPulls, chosen: Sequence[Pull]) -> str:
        total = length_text(sum(pull.length_m or 0.0 for pull in chosen), self._unit)
        return (
            f"{answer.gauge.replace('mm2', 'mm²')} on {_names_text([pull.id for pull in chosen])} ({total})"
        )

    def _thicker_change(self, chosen: Sequence[Pull], gauge: str, area_mm2: float) -> _Change:
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
        return _Change(pulls=pulls, cables=cables)

    def _fewer_devices(self, net: Net, wanted_v: Mapping[str, float]) -> tuple[str, _Change]:
        answer: LessLoad | None = loads_to_take_off(net, wanted_v)
        loaded = {tag for tag, loads in net.loads.items() if loads}
        if answer is None or not answer.nodes or loaded <= set(answer.nodes):
            return "", _Change()
        gone = frozenset(answer.nodes)
        watts = sum((d.power_w or 0.0) * d.quantity for d in self._state.run.devices if d.tag in gone)
        sentence = f"move {_names_text(answer.nodes)} ({number_text(watts)} W) to another port"
        return sentence, _Change(gone=gone)

    def _less_load(self, net: Net, wanted_v: Mapping[str, float]) -> tuple[str, _Change]:
        answer: LessLoad | None = less_load_everywhere(net, wanted_v)
        power_w = self._state.power_w
        if answer is None or answer.factor <= 0 or power_w <= 0:
            return "", _Change()
        less_w = math.ceil(10 * power_w * (1 - answer.factor)) / 10  # a margin on the net's loads stays
        if not 0 < less_w <= (1 - LEFT_AT_LEAST) * power_w:
            return "", _Change()
        sentence = f"take {number_text(less_w)} W off, spread over all its devices"
        return sentence, _Change(factor=1 - less_w / power_w)

    def _second_feed(self, net: Net, wanted_v: Mapping[str, float]) -> tuple[str, _Change]:
        answer: SecondFeed | None = second_feed(net, wanted_v)
        if answer is None:
            return "", _Change()
        run, lifted = self._state.run, self._state.electrical.pulls[answer.lifted]
        length_m = run.distance_m[answer.node]
        source = run.sources[0]
        ports = {}
        if run.assigned:
            port = Port(controller=run.ports[0].controller, port="a further port")
            source, ports = port.name, {port.name: port}
        home_run = replace(
            lifted, id=f"home run to {answer.node}", near=source, far=answer.node, length_m=length_m
        )
        sentence = (
            f"lift {lifted.id} and feed {answer.node} by a home run of its own from a further port, "
            f"{length_text(length_m, self._unit)} by the same route"
        )
        return sentence, _Change(pulls={id(lifted): home_run}, ports=ports)


def _names_text(names: Sequence[str]) -> str:
    """The first of some names, and how many more there are."""
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return ", ".join(names[:NAMED]) + more
