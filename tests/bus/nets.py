"""Runs whose voltages follow by hand: 0.1 ohm of loop a metre, 24 V."""

from dataclasses import replace
from typing import Any

from auditor.bus.measure import RunState
from auditor.job.model import Cable, Job, Pull
from tests.builders import SPEC, measured, profile, pull

OHM_PER_M = 0.1  # loop, of the cable below


def only(a_job: Job, **overrides: object) -> RunState:
    (state,) = measured(a_job, profile(**overrides)).runs
    return state


def by_data_sheet(ohm_per_km: float) -> Cable:
    return replace(SPEC, gauge=None, area_mm2=None, ohm_per_km=ohm_per_km)


def metres(near: str, far: str, length_m: float, **more: Any) -> Pull:
    return replace(pull(near, far, **more), length_m=length_m)


def light(**more: object) -> dict[str, Any]:
    return {"cable": by_data_sheet(OHM_PER_M / 2 * 1000), **more}
