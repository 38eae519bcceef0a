"""Pulls that share an id, as when each floor counts from 1: each is cut once, from its own reel."""

from auditor.audit import audit
from tests.builders import job, profile, pull

PULLS = [
    pull("C1.1", "K1", 300, id="1"),
    pull("K1", "K2", 250, id="2"),
    pull("C1.2", "K3", 250, id="1"),
    pull("K3", "K4", 1500, id="2"),
]


def test_each_is_named_with_its_ends_and_cut_at_its_own_length() -> None:
    cuts = audit(job(PULLS), profile()).cut_lists[0]
    lengths = {
        p: round(m / 0.3048, 1) for reel in cuts.reels for p, m in zip(reel.pulls, reel.cut_m, strict=True)
    }

    assert lengths == {"1 (C1.1 to K1)": 321.0, "2 (K1 to K2)": 269.0, "1 (C1.2 to K3)": 269.0}
    assert cuts.uncut == ("2 (K3 to K4)",)


def test_the_finding_speaks_of_the_pull_that_is_too_long() -> None:
    found = [f for f in audit(job(PULLS), profile()).findings if f.rule == "cut-list"]

    assert [(f.subject, f.where.row if f.where else 0) for f in found] == [("2 (K3 to K4)", 5)]


def test_each_row_has_its_own_reel() -> None:
    audited = audit(job(PULLS), profile())
    reels = {name: reel.reel for reel in audited.cut_lists[0].reels for name in reel.pulls}

    assert [pull.reel for pull in audited.pulls] == [reels.get(pull.name) for pull in audited.pulls]
    assert len({pull.name for pull in audited.pulls}) == 4
