"""Words of a status among other matter: rooms below two words, spares below a heading that says nothing."""

from tests.intake.workbooks import ends_of, job_of


def test_rooms_below_two_words_are_no_status() -> None:
    rows = [
        ["Repère", "Situation Salle", "Puissance (W)", "Raccordé à", "Longueur (m)"],
        ["DP01", "Galerie", 1.2, "C1.1", 9],
        ["MR01", "Galerie", 0.1, "DP01", 8],
        ["MR02", "Réserve", 0.1, "MR01", 7],
        ["MR03", "Réserve", 0.1, "MR02", 6],
    ]
    job = job_of({"Bus": rows})
    assert [pull.landed for pull in job.pulls] == [True] * 4


def test_a_remark_that_keeps_a_pull_is_read_whatever_its_heading_says() -> None:
    devices = [["Tag", "Power (W)"], *([f"K{i}", 0.3] for i in range(1, 6))]
    pulls = [
        ["Droxnox", "Zinol", "Vool", "Gumol (m)", "Feth"],
        ["W1", "C1/P1", "K1", 9, ""],
        ["W2", "K1", "K2", 8, ""],
        ["W3", "K2", "K3", 7, ""],
        ["W4", "K3", "K4", 6, ""],
        ["W6", "K2", "K5", 6, ""],
        ["W5", "K4", "C1/P1", 30, "Spare, not landed"],
    ]
    job = job_of({"Devices": devices, "Pulls": pulls})
    assert [pull.landed for pull in job.pulls] == [True] * 5 + [False]


def test_a_word_that_is_known_is_not_explained_by_another_sheet() -> None:
    devices = [["Tag", "Power (W)"], ["K1", 0.3], ["K2", 0.3]]
    pulls = [
        ["From", "Status", "To", "Length (m)"],
        ["C1.1", "Active", "K1", 9],
        ["K1", "Active", "K2", 8],
        ["K2", "VOID", "OS-990", 7],
    ]
    job = job_of({"Devices": devices, "Pulls": pulls, "Pulls superseded": pulls})
    assert ends_of(job) == [("C1.1", "K1"), ("K1", "K2")]
