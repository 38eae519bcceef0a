"""What would mend a run whose voltage does not hold, each answer audited again before it is said."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from auditor.bus import Bus, RunState
from auditor.cables import gauge_text
from auditor.calc.conductors import conductor, standard_gauges
from auditor.calc.mending import less_load_everywhere, loads_to_take_off, second_feed, thicker_pulls
from auditor.calc.net import Net
from auditor.findings import Audit, Finding, Level
from auditor.limits import Profile
from auditor.model import Cable, Job, Port, Pull
from auditor.units import length_text, number_text

Reaudit = Callable[[Job, Profile], Audit]
RULE = "voltage"
NAMED = 8  # project convention: more names than this do not help a reader


def mending_notes(seen: Bus, findings: Sequence[Finding], reaudit: Reaudit) -> Iterator[Finding]:
    """For each run with a voltage finding: the changes that mend it, as notes at the run's row."""
    concerned = {
        finding.subject for finding in findings if finding.rule == RULE and finding.level is not Level.NOTE
    }
    for state in seen.runs:
        own = {state.run.name, *(device.tag for device in state.run.devices)}
        if own & concerned:
            for sentence in _Mending(seen, state, reaudit).sentences():
                message = f"To mend {state.run.name}: {sentence}"
                yield Finding(
                    rule=RULE, level=Level.NOTE, subject=state.run.name, message=message, where=state.where
                )


class _Mending:
    """The changes that mend one run, found on a net with the profile's margin on its loads."""

    def __init__(self, seen: Bus, state: RunState, reaudit: Reaudit) -> None:
        self._seen, self._state, self._reaudit = seen, state, reaudit
        self._electrical = state.electrical
        self._net: Net = state.electrical.net.scaled(1 / seen.profile.review_above)

    def sentences(self) -> Iterator[str]:
        found = [*self._thicker(), *self._fewer(), *self._fed_again()]
        yield from found
        if not found:
            yield "no thicker conductor, no lighter load and no second feed alone is enough; split the run"

    def _thicker(self) -> Iterator[str]:
        pulls = self._electrical.pulls
        lengths_m = [pull.length_m or 0.0 for pull in pulls]
        stranded, degc = self._seen.profile.cable.stranded, self._seen.profile.conductor_degc
        metric = any("mm" in gauge_text(state.cable) for state in self._seen.cables.values())
        gauges = {gauge.name: gauge for gauge in standard_gauges(metric=metric)}
        ohms = [
            (name, conductor(conductor_degc=degc, area_mm2=gauge.area_mm2, stranded=stranded).ohm_per_km)
            for name, gauge in gauges.items()
        ]
        answer = thicker_pulls(self._net, self._electrical.least_v, lengths_m, ohms)
        if answer is None:
            return
        chosen = [pulls[index] for index in sorted(answer.links)]
        thick = Cable(
            name=f"{answer.gauge} instead",
            area_mm2=gauges[answer.gauge].area_mm2,
            gauge=answer.gauge,
            stranded=stranded,
        )
        changed = {id(pull): replace(pull, cable=thick.name) for pull in chosen}
        job = self._with_pulls(changed, cables={**self._seen.job.cables, thick.name: thick})
        if self._holds(job):
            total = length_text(sum(pull.length_m or 0.0 for pull in chosen), self._seen.job.length_unit)
            yield f"{answer.gauge} on {_names([pull.id for pull in chosen])} ({total})"

    def _fewer(self) -> Iterator[str]:
        some = loads_to_take_off(self._net, self._electrical.least_v)
        if some is not None and some.nodes:
            gone = set(some.nodes)
            devices = tuple(
                replace(device, power_w=0.0) if device.tag in gone else device
                for device in self._seen.job.devices
            )
            watts = sum((d.power_w or 0.0) * d.quantity for d in self._seen.job.devices if d.tag in gone)
            if self._holds(replace(self._seen.job, devices=devices)):
                yield f"move {_names(some.nodes)} ({number_text(watts)} W) to another port"
        every = less_load_everywhere(self._net, self._electrical.least_v)
        if every is not None and 0 < every.factor < 1:
            factor = every.factor  # the margin stays on what is left
            own = {id(device) for device in self._state.run.devices}
            devices = tuple(
                replace(device, power_w=(device.power_w or 0.0) * factor) if id(device) in own else device
                for device in self._seen.job.devices
            )
            if self._holds(replace(self._seen.job, devices=devices)):
                less_w = self._state.power_w * (1 - factor)
                yield f"take {number_text(less_w)} W off, spread over all its devices"

    def _fed_again(self) -> Iterator[str]:
        answer = second_feed(self._net, self._electrical.least_v)
        if answer is None:
            return
        lifted = self._electrical.pulls[answer.lifted]
        port = Port(controller="second feed", port="1")
        length_m = self._state.run.distance_m[answer.node]
        home_run = replace(
            lifted, id=f"home run to {answer.node}", near=port.name, far=answer.node, length_m=length_m
        )
        job = self._with_pulls({id(lifted): home_run}, ports={**self._seen.job.ports, port.name: port})
        if self._holds(job, port.name):
            length = length_text(length_m, self._seen.job.length_unit)
            yield (
                f"lift {lifted.id} and feed {answer.node} by a home run of its own from a further port, "
                f"{length} by the same route"
            )

    def _with_pulls(self, changed: dict[int, Pull], **more: object) -> Job:
        pulls = tuple(changed.get(id(pull), pull) for pull in self._seen.job.pulls)
        return replace(self._seen.job, pulls=pulls, **more)  # type: ignore[arg-type]

    def _holds(self, job: Job, *more: str) -> bool:
        """Whether the audit of a changed job has no voltage finding left on this run, or on others named."""
        audit = self._reaudit(job, self._seen.profile)
        tags = {device.tag for device in self._state.run.devices}
        names = {self._state.run.name, *more} | tags
        return not any(
            finding.rule == RULE and finding.level is not Level.NOTE and finding.subject in names
            for finding in audit.findings
        )


def _names(names: Sequence[str]) -> str:
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return ", ".join(names[:NAMED]) + more
