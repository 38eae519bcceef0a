"""Wrong profiles: one line that names the file, the field and what would be right."""

from collections.abc import Mapping
from pathlib import Path

import pytest

from auditor.errors import ProfileError
from auditor.profile.load import DEFAULT, load_profile, shipped_names
from tests.profile.files import Write, based


def complaint(name_or_file: str, overrides: Mapping[str, object] | None = None) -> str:
    with pytest.raises(ProfileError) as caught:
        load_profile(name_or_file, overrides)
    said = str(caught.value)
    assert "\n" not in said
    return said.replace(str(Path(name_or_file).parent) + "/", "").replace(
        str(Path(name_or_file).parent) + "\\", ""
    )


WRONG: list[tuple[str, object, str]] = [
    (
        "unknown field",
        based(run={"cabel": "1800 ft"}),
        "site.json: run: has the unknown field 'cabel'; the fields are cable, reach, between_devices, "
        "devices, power, capacitance",
    ),
    (
        "wrong unit",
        based(run={"cable": "1800 feet"}),
        'site.json: run.cable: wanted text such as 2000 ft or 12 in, not "1800 feet"',
    ),
    (
        "no unit",
        based(run={"cable": 1800}),
        "site.json: run.cable: wanted text such as 2000 ft or 12 in, not 1800",
    ),
    (
        "negative length",
        based(run={"reach": "-5 ft"}),
        'site.json: run.reach: wanted text such as 2000 ft or 12 in, not "-5 ft"',
    ),
    (
        "negative count",
        based(run={"devices": -3}),
        "site.json: run.devices: wanted a whole number from 1 to 100000, or null, not -3",
    ),
    (
        "no power unit",
        based(controller={"supply_power": "35"}),
        'site.json: controller.supply_power: wanted text such as 35 W, not "35"',
    ),
    (
        "no voltage",
        based(controller={"supply_voltage": "0 V"}),
        'site.json: controller.supply_voltage: wanted text such as 24 V, more than 0, not "0 V"',
    ),
    (
        "factor too great",
        based(off_spec_factor=1.5),
        "site.json: off_spec_factor: wanted at most 1, not 1.5",
    ),
    ("factor of nothing", based(off_spec_factor=0), "site.json: off_spec_factor: wanted more than 0, not 0"),
    (
        "text for a number",
        based(review_above="90 %"),
        "site.json: review_above: wanted a number above 0, up to 1: a limit used by more than this part is a "
        'review, not "90 %"',
    ),
    (
        "text for yes or no",
        based(cable={"stranded": "yes"}),
        'site.json: cable.stranded: wanted true or false or null, not "yes"',
    ),
    ("other word", based(loops="maybe"), 'site.json: loops: wanted forbidden or allowed, not "maybe"'),
    (
        "half a gauge",
        based(cable={"min_conductor": "16.5 AWG"}),
        'site.json: cable.min_conductor: wanted text such as 16 AWG or 1.5 mm2, not "16.5 AWG"',
    ),
    (
        "gauge that is not made",
        based(cable={"min_conductor": "99 AWG"}),
        'site.json: cable.min_conductor: wanted text such as 16 AWG or 1.5 mm2, not "99 AWG"',
    ),
    (
        "boiling conductor",
        based(conductor_temperature="500 degC"),
        "site.json: conductor_temperature is 500 degC; wanted -40 to 105 degC, what copper cable works in",
    ),
    (
        "endless length",
        based(run={"cable": "9" * 400 + " ft"}),
        f'site.json: run.cable: wanted text such as 2000 ft or 12 in, not "{"9" * 56}...',
    ),
    (
        "reel without length",
        based(cutting={"reels": [{"price": 3}]}),
        "site.json: cutting.reels.0: lacks length",
    ),
    (
        "negative price",
        based(cutting={"reels": [{"length": "1000 ft", "price": -1}]}),
        "site.json: cutting.reels.0.price: wanted a price from 0 up, or null, not -1",
    ),
    (
        "reel of no length",
        based(cutting={"reels": ["500 ft", "big"]}),
        'site.json: cutting.reels.1: wanted a length such as "1000 ft", or {"length": "1000 ft"} with price, '
        'cable and on_shelf where they are known, not "big"',
    ),
    ("list for a section", based(run=["2000 ft"]), 'site.json: run: wanted fields in {}, not ["2000 ft"]'),
    ("no name", {"extends": DEFAULT}, "site.json: the profile: lacks name"),
    (
        "name with blanks",
        based() | {"name": "My Profile"},
        'site.json: name: wanted lower case, digits, hyphens and points, not "My Profile"',
    ),
    (
        "no section at all",
        {"name": "site"},
        "site.json: controller.ports is missing; add it or extend a shipped profile",
    ),
    (
        "section half filled",
        {"name": "site", "controller": {"ports": 2}},
        "site.json: controller.supply_voltage is missing; add it or extend a shipped profile",
    ),
    ("not a number", '{"name": "site", "off_spec_factor": NaN}', "site.json: NaN is no number"),
    ("endless number", '{"name": "site", "review_above": 1e999}', "site.json: 1e999 is no number"),
    ("a list", "[]", "site.json: wanted one JSON object with the profile's fields"),
    ("nested without end", "[" * 100_000, "site.json: this is no profile, it is nested too deeply"),
    ("extends itself", based(extends="site.json"), "site.json: extends itself by way of site.json"),
    (
        "extends nothing",
        based(extends="offcie"),
        "site.json: extends 'offcie', which is no profile: the shipped ones are "
        + ", ".join(shipped_names())
        + ", or give the path of a JSON file",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("what", "data", "said"), WRONG, ids=[row[0] for row in WRONG])
def test_a_wrong_profile_gets_one_line(what: str, data: object, said: str, write: Write) -> None:
    assert complaint(write(data)) == said


def test_profiles_that_extend_each_other_in_a_ring(write: Write, tmp_path: Path) -> None:
    (tmp_path / "sub").mkdir()
    write(based(extends="sub/../two.json"), "one.json")
    write(based(extends="../" + tmp_path.name + "/one.json"), "two.json")
    assert "extends itself by way of two.json" in complaint(str(tmp_path / "one.json"))


def test_no_json_at_all(write: Write) -> None:
    assert complaint(write("name: site")) == (
        "site.json: line 1, character 1: a value is wanted here: text in straight quotes, a number, "
        "true, false, null, { or [; correct it"
    )


def test_bytes_that_are_no_text(tmp_path: Path) -> None:
    (tmp_path / "site.json").write_bytes(b"\xff\xfe\x00\xd8")
    assert complaint(str(tmp_path / "site.json")) == "site.json: this is no JSON text; wanted UTF-8"


@pytest.mark.parametrize("name", ["two-wire-53w", "", "no/such/file.json", "x" * 300])
def test_a_profile_that_is_not_there(name: str) -> None:
    with pytest.raises(ProfileError) as caught:
        load_profile(name)
    assert str(caught.value) == (
        f"no profile named {name!r}: the shipped ones are {', '.join(shipped_names())}, "
        "or give the path of a JSON file"
    )


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        ("run.cable", "x", 'two-wire-35w: run.cable: wanted text such as 2000 ft or 12 in, not "x"'),
        ("run.cabel", "1 ft", "two-wire-35w: run: has the unknown field 'cabel'; the fields are "),
        ("loops.x", 1, "loops.x: loops is no group of fields; give loops as a whole"),
        ("cutting.reels.0", 1, "cutting.reels.0: reels is no group of fields; give reels as a whole"),
        ("off_spec_factor", float("nan"), "off_spec_factor: wanted a number, not nan"),
        ("", 1, "two-wire-35w: the profile: has the unknown field ''; the fields are "),
    ],
)
def test_a_wrong_override_is_told_like_a_wrong_profile(path: str, value: object, said: str) -> None:
    assert complaint(DEFAULT, {path: value}).startswith(said)
