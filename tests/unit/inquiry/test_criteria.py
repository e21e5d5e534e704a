"""Every criterion can agree, contradict and not tell."""

from types import SimpleNamespace

import numpy as np
import pytest

from rollsim.analysis.spectra import FullSpectrum, SpectrumPeak
from rollsim.analysis.wear import Rate
from rollsim.inquiry.criteria import AGREES, CONTRADICTS, UNKNOWN, score
from rollsim.inquiry.facts import LandMap
from rollsim.inquiry.observations import KINDS


def observed(kind, **keys):
    return KINDS[kind](kind=kind, **keys)


def verdict(word, reserve=1.5, life=(500.0, 2000.0)):
    return SimpleNamespace(verdict=word, reserve=reserve, life_interval_h=life, life_h=1000.0)


def facts(**changes):
    """Facts in which nothing stands out."""
    rng = np.random.default_rng(1)
    windows = 10.0 + rng.normal(size=(20, 6, 4))
    flat = np.zeros(36)
    spectrum = FullSpectrum(np.arange(-500.0, 500.0, 0.5), np.ones(2000), 0.5, 8)
    base = {
        "fatigue": SimpleNamespace(closures=verdict("cannot tell"), bars=verdict("survives")),
        "wear": SimpleNamespace(pocket_work=Rate(windows.mean(axis=0), None, windows)),
        "planar": False,
        "rollers": 6,
        "guide": "outer ring",
        "land": LandMap(flat, flat, 0.1, 0.9, 40.0),
        "whirl": SimpleNamespace(
            land_contact_share=0.9,
            spectrum=spectrum,
            strongest=(SpectrumPeak(-16.0, 0.8), SpectrumPeak(40.0, 0.01)),
        ),
    }
    return SimpleNamespace(**base | changes)


def parts(closures, bars="survives"):
    return {"fatigue": SimpleNamespace(closures=closures, bars=verdict(bars))}


@pytest.mark.parametrize(
    ("item", "changes", "wanted"),
    [
        (observed("broken", part="closures"), parts(verdict("does not survive")), AGREES),
        (observed("broken", part="closures"), parts(verdict("survives")), CONTRADICTS),
        (observed("broken", part="closures"), parts(verdict("cannot tell")), UNKNOWN),
        (observed("broken", part="closures"), parts(None), UNKNOWN),
        (observed("intact", part="bars"), parts(None), AGREES),
        (observed("intact", part="bars"), parts(None, "does not survive"), CONTRADICTS),
        (observed("intact", part="bars"), parts(None, "cannot tell"), UNKNOWN),
        (observed("life", part="closures", hours=1800.0), {}, AGREES),
        (observed("life", part="closures", hours=40.0), {}, CONTRADICTS),
        (observed("life", part="closures", hours=100.0), {}, UNKNOWN),
        (observed("life", part="closures", hours=1e5), {}, CONTRADICTS),
        (observed("life", part="closures", hours=1e5), parts(None), UNKNOWN),
        (observed("line", frequency_Hz=16.1), {}, AGREES),
        (observed("line", frequency_Hz=40.0), {}, CONTRADICTS),
        (observed("line", frequency_Hz=5.0), {}, UNKNOWN),
        (observed("line", frequency_Hz=5000.0), {}, UNKNOWN),
        (observed("land_marks", on="cage", extent="all_round"), {}, AGREES),
        (observed("land_marks", on="cage", extent="one_side"), {}, CONTRADICTS),
        (observed("land_marks", on="ring", extent="one_side"), {}, AGREES),
        (observed("land_marks", on="ring", extent="none"), {}, CONTRADICTS),
        (observed("land_marks", on="ring", extent="one_side"), {"guide": "rollers"}, UNKNOWN),
        (
            observed("land_marks", on="cage", extent="one_side"),
            {"land": LandMap(np.zeros(36), np.zeros(36), 0.5, 0.5, 40.0)},
            UNKNOWN,
        ),
        (
            observed("land_marks", on="cage", extent="one_side"),
            {"land": LandMap(np.zeros(36), np.zeros(36), 0.9, 0.9, 2.0)},
            UNKNOWN,
        ),
        (observed("worn_pockets", pockets=[2]), {"wear": None}, UNKNOWN),
        (observed("worn_pockets", pockets=[9]), {}, UNKNOWN),
        (observed("most_worn", face="leading"), {}, UNKNOWN),
        (observed("most_worn", face="cover"), {"planar": True}, UNKNOWN),
    ],
)
def test_scores(item, changes, wanted):
    found, reason = score(item, facts(**changes))
    assert (found, bool(reason)) == (wanted, True)


@pytest.mark.parametrize(
    ("factor", "leading", "trailing"), [(2.0, AGREES, CONTRADICTS), (1.1, UNKNOWN, UNKNOWN)]
)
def test_the_face_that_is_worn_most(factor, leading, trailing):
    mean = np.full((6, 4), 5.0)
    mean[:, 0] *= factor
    own = facts(wear=SimpleNamespace(pocket_work=Rate(mean, None, None)))
    assert score(observed("most_worn", face="leading"), own)[0] == leading
    assert score(observed("most_worn", face="trailing"), own)[0] == trailing


@pytest.mark.parametrize(("more", "wanted"), [(3.0, AGREES), (-3.0, CONTRADICTS), (0.0, UNKNOWN)])
def test_pockets_worn_more_than_the_scatter(more, wanted):
    windows = 10.0 + np.random.default_rng(3).normal(size=(20, 6, 4))
    windows[:, [1, 2]] += more
    own = facts(wear=SimpleNamespace(pocket_work=Rate(windows.mean(axis=0), None, windows)))
    assert score(observed("worn_pockets", pockets=[2, 3]), own)[0] == wanted
