"""Sentences that say what a cable is, as offices of six languages write them."""

import pytest

from auditor.intake.statements.cables import cable_in
from auditor.job.model import CellRef

WHERE = CellRef("Notes", 2, 1)


@pytest.mark.parametrize(
    "text",
    [
        "B15: 1.5 mm², 2 conductor, stranded, unshielded, 90 pF/m, 600 V",
        "All cable is B15: 1.5 mm², 2 core, stranded, no screen, 90 pF/m, 600 V",
        "Cable type B15: 1.5 mm², 2 core, stranded, not shielded, 90 pF/m, 600 V",
        "Leitung B15: 1,5 mm², 2 Adern, feindrähtig, ohne Schirm, 90 pF/m, 600 V",
        "Câble B15 : 1,5 mm², 2 conducteurs, souple, sans écran, 90 pF/m, 600 V",
        "Todo el cable es B15: 1,5 mm², 2 conductores, flexible, sin pantalla, 90 pF/m, 600 V",
        "Cavo B15: 1,5 mm², 2 conduttori, flessibile, non schermato, 90 pF/m, 600 V",
        "Kabel B15: 1,5 mm², 2 aders, soepel, niet afgeschermd, 90 pF/m, 600 V",
    ],
)
def test_a_stranded_cable_without_shield(text: str) -> None:
    cable = cable_in(text, WHERE)

    assert cable is not None
    assert cable.name == "B15"
    assert (cable.area_mm2, cable.conductors, cable.stranded, cable.shielded) == (1.5, 2, True, False)
    assert (cable.capacitance_nf_per_m, cable.insulation_v) == (pytest.approx(0.09), 600.0)


@pytest.mark.parametrize(
    "text",
    [
        "TP-18: 18 AWG, 2 core, solid, shielded",
        "TP-18: 18 AWG, 2 Adern, massiv, geschirmt",
        "TP-18: 18 AWG, 2 conducteurs, rigide, blindé",
        "TP-18: 18 AWG, 2 conductores, rígido, apantallado",
        "TP-18: 18 AWG, 2 conduttori, rigido, schermato",
        "TP-18: 18 AWG, 2 aders, massief, afgeschermd",
    ],
)
def test_a_solid_cable_with_a_shield(text: str) -> None:
    cable = cable_in(text, WHERE)

    assert cable is not None
    assert (cable.name, cable.gauge, cable.conductors, cable.stranded, cable.shielded) == (
        "TP-18", "18 AWG", 2, False, True,
    )  # fmt: skip


def test_what_is_not_said_of_a_cable_stays_open() -> None:
    cable = cable_in("TP-18: 18 AWG, 2 core", WHERE)

    assert cable is not None
    assert (cable.stranded, cable.shielded, cable.capacitance_nf_per_m, cable.insulation_v) == (None,) * 4
