"""Controllers that a list leaves out, named as those that it holds but for their number: two buildings, one list."""

from auditor.intake import read_jobs
from auditor.job.model import CellRef, Job
from tests.intake.workbooks import workbook

LISTED = [["Controller", "Location", "Ports"], ["MCP-1", "Cellar", 2], ["MCP-2", "Attic", 2]]
HEADINGS = ["From", "To", "Length (m)"]


def _list(tags: list[str]) -> list[list[object]]:
    return [["Tag", "Power (W)"], *([tag, 0.5] for tag in tags)]


def _said(job: Job) -> list[str]:
    return [remark.level for remark in job.remarks if "in no list of controllers" in remark.message]


def test_a_second_building_has_controllers_of_its_own() -> None:
    tags = ["KP-01", "KP-02", "KP-03"]
    book = {
        "Building A devices": _list(tags),
        "Building A pulls": [
            HEADINGS,
            ["MCP-1.1", "KP-01", 9],
            ["KP-01", "KP-02", 8],
            ["MCP-2.1", "KP-03", 7],
        ],
        "Panels": LISTED,
        "Building B devices": _list(tags),
        "Building B pulls": [
            HEADINGS,
            ["MCP-5.1", "KP-01", 9],
            ["MCP-5.2", "KP-02", 8],
            ["MCP-6.1", "KP-03", 7],
        ],
    }
    first, second = read_jobs(workbook(book), "a.xlsx")
    assert sorted(first.ports) == ["MCP-1.1", "MCP-2.1"]
    assert sorted(second.ports) == ["MCP-5.1", "MCP-5.2", "MCP-6.1"]
    assert _said(first) == []
    assert _said(second) == ["note"]


def test_in_one_job_they_are_asked_about() -> None:
    pulls = [HEADINGS, ["MCP-5.1", "KP-01", 9], ["MCP-6.1", "KP-02", 8], ["KP-02", "KP-03", 7]]
    book = workbook({"Devices": _list(["KP-01", "KP-02", "KP-03"]), "Pulls": pulls, "Panels": LISTED})
    (job,) = read_jobs(book, "a.xlsx")
    assert sorted(job.ports) == ["MCP-5.1", "MCP-6.1"]
    assert _said(job) == ["review"]
    (question,) = job.questions
    assert [choice.answer for choice in question.choices] == ["yes", "no"]
    (answered,) = read_jobs(book, "a.xlsx", answers={question.id: "yes"})
    assert _said(answered) == ["note"]
    assert not answered.questions


def test_a_slip_in_a_listed_controller_is_asked_about() -> None:
    pulls = [HEADINGS, ["C1.1", "KP-01", 9], ["C11.1", "KP-02", 8], ["C1.2", "KP-03", 7]]
    panels = [["Controller", "Ports"], ["C1", 2]]
    book = workbook({"Devices": _list(["KP-01", "KP-02", "KP-03"]), "Pulls": pulls, "Panels": panels})
    (job,) = read_jobs(book, "a.xlsx")
    (question,) = job.questions
    assert question.sentence == (
        "C11, where pull C11.1 to KP-02 starts, stands in no list of controllers, which has C1; C11 is spelt nearly as "
        "C1: is it a controller too?"
    )
    assert question.where == CellRef("Pulls", 3, 1)
    assert _said(job) == ["review"]
    assert [choice.answer for choice in question.choices] == ["yes", "C11 is C1", "no"]
    assert question.choices[1].leads_to == "the pulls that start there are read as those of C1"


def test_answered_that_it_is_the_listed_one_its_pulls_start_there() -> None:
    pulls = [HEADINGS, ["C1.1", "KP-01", 9], ["C11.2", "KP-02", 8], ["KP-02", "KP-03", 7]]
    panels = [["Controller", "Ports"], ["C1", 2]]
    book = workbook({"Devices": _list(["KP-01", "KP-02", "KP-03"]), "Pulls": pulls, "Panels": panels})
    (asking,) = read_jobs(book, "a.xlsx")
    (question,) = asking.questions
    assert sorted(asking.ports) == ["C1.1", "C11.2"]
    (job,) = read_jobs(book, "a.xlsx", answers={question.id: "C11 is C1"})
    assert sorted(job.ports) == ["C1.1", "C1.2"]
    assert sorted(job.controllers) == ["C1"]
    assert [pull.near for pull in job.pulls] == ["C1.1", "C1.2", "KP-02"]
    assert not job.questions
    assert _said(job) == ["note"]


def test_one_root_that_is_not_listed_is_no_port() -> None:
    pulls = [HEADINGS, ["MCP-1.1", "KP-01", 9], ["MCP-5.1", "KP-02", 8], ["MCP-2.1", "KP-03", 7]]
    book = {"Devices": _list(["KP-01", "KP-02", "KP-03"]), "Pulls": pulls, "Panels": LISTED}
    (job,) = read_jobs(workbook(book), "a.xlsx")
    assert sorted(job.ports) == ["MCP-1.1", "MCP-2.1"]


def test_trees_of_two_buildings_with_one_tag_in_common_are_two_jobs() -> None:
    headings = ["Device", "Description", "Length (m)", "Power (W)"]
    first = [headings, ["C1.1", "Port", "", ""], ["  KP-101", "Keypad", 9, 0.3], ["    TH-102", "Thermostat", 8, 0.6], ["    RG-104", "Dimmer", 7, 0.6]]  # fmt: skip
    second = [headings, ["C5.1", "Port", "", ""], ["  RL-101", "Relay", 9, 0.3], ["    RG-104", "Dimmer", 8, 0.6], ["      SH-103", "Shade", 7, 0.6]]  # fmt: skip
    jobs = read_jobs(workbook({"Building A bus": first, "Building B bus": second}), "a.xlsx")
    assert [sorted(job.ports) for job in jobs] == [["C1.1"], ["C5.1"]]
