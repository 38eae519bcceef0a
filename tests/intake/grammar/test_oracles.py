"""The grammar of lengths and numbers against other people's libraries: pint for units, babel for
the separators of a language."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from auditor.intake.grammar.lengths import length_m
from auditor.intake.grammar.numbers import Separators, UnreadableError, number
from auditor.intake.grammar.values import Context

pint = pytest.importorskip("pint")
babel_numbers = pytest.importorskip("babel.numbers")

REGISTRY = pint.UnitRegistry()
UNITS = ["ft", "feet", "in", "inches", "yd", "m", "metre", "cm", "mm", "km"]


@settings(max_examples=200, derandomize=True, deadline=None)
@given(st.decimals(min_value=1, max_value=3000, places=2), st.sampled_from(UNITS))
def test_a_length_is_what_pint_makes_of_it(amount: object, unit: str) -> None:
    text = f"{amount} {unit}"
    metres = REGISTRY.Quantity(text).to("m").magnitude
    assume(0.001 <= metres <= 100_000)
    assert length_m(text, Context()) == pytest.approx(metres, rel=1e-12)


@settings(max_examples=200, derandomize=True, deadline=None)
@given(st.integers(0, 900), st.integers(0, 11), st.integers(0, 15))
def test_feet_and_inches_are_what_pint_makes_of_their_parts(feet: int, inches: int, sixteenths: int) -> None:
    assume(feet + inches + sixteenths > 0)
    expected = (
        REGISTRY.Quantity(feet, "ft")
        + REGISTRY.Quantity(inches, "in")
        + REGISTRY.Quantity(sixteenths / 16, "in")
    ).to("m")
    fraction = f" {sixteenths}/16" if sixteenths else ""
    for text in (
        f"{feet}'-{inches}{fraction}\"",
        f"{feet} ft {inches}{fraction} in",
        f"{feet}' {inches}{fraction}\"",
    ):
        assert length_m(text, Context()) == pytest.approx(expected.magnitude, rel=1e-12)


@settings(max_examples=300, derandomize=True, deadline=None)
@given(
    st.decimals(min_value=0, max_value=9_999_999, places=2),
    st.sampled_from(["en_US", "de_DE", "fr_FR", "es_ES", "de_CH"]),
)
def test_a_number_as_its_language_writes_it(amount: object, language: str) -> None:
    text = babel_numbers.format_decimal(amount, "#,##0.00", locale=language)
    decimal = babel_numbers.get_decimal_symbol(language)
    from auditor.intake.grammar.numbers import plain

    assert number(plain(text), Separators(decimal, True)) == pytest.approx(float(str(amount)))


@settings(max_examples=300, derandomize=True, deadline=None)
@given(st.text(alphabet="0123456789.,' -+/eE*xftinm\"", max_size=14))
def test_whatever_is_typed_is_a_plausible_length_or_a_reason(text: str) -> None:
    for unit in (None, "ft", "m"):
        found = outcome(text, unit)
        assert found if isinstance(found, str) else 0 < found <= 100_000


@settings(max_examples=200, derandomize=True, deadline=None)
@given(st.text(max_size=20))
def test_any_text_at_all(text: str) -> None:
    found = outcome(text, "m")
    assert found if isinstance(found, str) else found > 0


def outcome(text: str, unit: str | None) -> float | str:
    """The length [m], or the reason why there is none."""
    try:
        return length_m(text, Context(unit))
    except UnreadableError as reason:
        return str(reason)
