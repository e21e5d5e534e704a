"""A cage that the rollers guide slips less than one on the outer ring, under the same light load.

Dawoud, Beitler and Schwarze, papers on cage slip in cylindrical roller bearings, 2022 and 2023
(trend from memory): the land of an outer ring that stands still brakes the cage, rollers that guide
it do not. A land on the inner ring drives it.
"""

import pytest

GUIDANCE = {
    "outer_ring": {},
    "roller": {"cage__guidance": "roller", "cage__pocket_contour_radius_mm": 5.2},
    "inner_ring": {
        "cage__guidance": "inner_ring", "cage__inner_diameter_mm": 54.0,
        "cage__outer_diameter_mm": 66.0,
    },
}  # fmt: skip


def _slips(light, load, end, start, **changes):
    runs = {
        name: light.run(end, duty__radial_load_kN=load, **keys, **changes)
        for name, keys in GUIDANCE.items()
    }
    assert max(run.residual for run in runs.values()) < 5e-3
    return {name: run.mean_lag(start, end) for name, run in runs.items()}


def test_guidance_by_rollers_slips_less(light):
    slips = _slips(light, 0.15, 0.12, 0.06)
    assert slips["outer_ring"] > 0.15
    assert slips["roller"] < 0.8 * slips["outer_ring"]
    assert slips["inner_ring"] < 0.7 * slips["outer_ring"]


@pytest.mark.long
@pytest.mark.parametrize("load", [0.1, 0.15, 0.3])
@pytest.mark.parametrize("resistance", [True, False])
def test_guidance_by_rollers_slips_less_at_any_light_load(light, load, resistance):
    """With rolling resistance of the raceways, which brakes all three alike, and without it."""
    slips = _slips(light, load, 0.2, 0.1, lubricant__rolling_resistance=resistance)
    bound = 0.85 if resistance else 0.7
    assert slips["roller"] < bound * slips["outer_ring"]
    assert slips["inner_ring"] < bound * slips["outer_ring"]
