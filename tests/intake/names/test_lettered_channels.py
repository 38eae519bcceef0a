"""Ports with a letter right behind the word: `CHA`."""

import pytest

from auditor.intake.names.ports import port_alone, spelled


@pytest.mark.parametrize(
    ("text", "port"), [("C11 CHA", "A"), ("C11 PB", "B"), ("C11 CH2", "2"), ("C11 CH C", "C")]
)
def test_the_letter_is_the_port(text: str, port: str) -> None:
    assert any(option.controller == "C11" and option.port == port for option in spelled(text))


@pytest.mark.parametrize("text", ["porte", "cha", "charge", "MCHA"])
def test_a_word_is_no_port(text: str) -> None:
    assert port_alone(text) is None
