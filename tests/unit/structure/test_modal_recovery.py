"""Section forces with the vibrations that a run drives, against a direct march of the whole frame.

The march: mean acceleration method (Newmark 1959), undamped, of all motions of a cage in one piece,
which has no interface.
"""

import itertools

import numpy as np
import pytest
from cage_cases import cage_case
from scipy.sparse.linalg import splu

from rollsim.case.change import changed_case
from rollsim.errors import RollsimError
from rollsim.kernels.modes import advance_modes
from rollsim.simulation.mode_bank import mode_bank
from rollsim.structure.cage_frame import build_cage_frame
from rollsim.structure.cage_influence import KINDS, unit_loads
from rollsim.structure.cage_solution import solve_cage
from rollsim.structure.elasticity import cage_elasticity, modes_data
from rollsim.structure.modal_recovery import modal_recovery
from rollsim.structure.recovery import frame_recovery

COUNT = 18


@pytest.fixture(scope="module")
def frame():
    return build_cage_frame(cage_case("one_piece"))


@pytest.fixture(scope="module")
def modes(frame):
    return modes_data(frame, 80, 0.0)


@pytest.fixture(scope="module")
def recovery(frame, modes):
    return modal_recovery(frame_recovery(frame), modes._asdict())


def pulse(kind, duration, step, last):
    """Loads of a half-sine pulse of 1 N at pocket or bar 0, then nothing."""
    time = np.arange(0.0, last, step)
    loads = np.zeros((len(time), 7 * COUNT + 1))
    force = np.where(time < duration, np.sin(np.pi * time / duration), 0.0)
    loads[:, KINDS.index(kind) * COUNT] = force
    return loads


def driven(modes, loads, step):
    """Modal coordinates as the march of a run drives them, every interval one step."""
    bank = mode_bank(modes, COUNT, 1)
    shares = loads @ bank.share
    bank.start[:] = shares[0]
    found = [bank.place.copy()]
    for first, last in itertools.pairwise(shares):
        bank.middle[:], bank.end[:] = 0.5 * (first + last), last
        advance_modes(step, bank)
        found.append(bank.place.copy())
    return np.array(found)


def marched(frame, loads, step):
    """Moments of the bar roots at the base by a direct march."""
    own = unit_loads(frame).reshape(len(loads[0]), -1)
    used = np.flatnonzero(loads.any(axis=0))
    stiffness, mass = frame.stiffness, frame.mass
    factors = splu((stiffness + 4.0 / step**2 * mass).tocsc())
    place, speed = np.zeros((2, own.shape[1]))
    acceleration = splu(mass.tocsc()).solve(own[used].T @ loads[0, used])
    places = [place]
    for row in loads[1:, used]:
        push = mass @ (4.0 / step**2 * place + 4.0 / step * speed + acceleration)
        new = factors.solve(own[used].T @ row + push)
        newer = 4.0 / step**2 * (new - place) - 4.0 / step * speed - acceleration
        speed = speed + 0.5 * step * (acceleration + newer)
        place, acceleration = new, newer
        places.append(place)
    ends = frame.beams.end_forces(np.array(places).reshape(len(loads), -1, 6))
    return -ends[:, [frame.beams.where(f"bar {j}")[0] for j in range(COUNT)], 4:6]


def errors(frame, modes, recovery, kind, duration, step=5e-6):
    """Error of quasi-static and modal moments over their size, rms, at the worst bar root."""
    loads = pulse(kind, duration, step, max(2.5e-3, 1.5 * duration))
    wanted = marched(frame, loads, step)
    extra = recovery.vibration(loads, driven(modes, loads, step))
    size = np.sqrt(np.mean(wanted**2, axis=0))
    worst = np.unravel_index(np.argmax(size), size.shape)
    found = []
    for vibration in (0.0 * extra, extra):
        own = recovery.section_forces(loads, vibration, places=("bar_base",)).bar_base[..., 4:]
        found.append(float(np.sqrt(np.mean((own - wanted) ** 2, axis=0))[worst] / size[worst]))
    return found


@pytest.mark.parametrize(
    ("kind", "duration", "bound"),
    [("bar", 0.3e-3, 0.1), ("bar", 1e-3, 0.05), ("cover", 0.3e-3, 0.1)],
)
def test_pulses_follow_a_direct_march(frame, modes, recovery, kind, duration, bound):
    resting, modal = errors(frame, modes, recovery, kind, duration)
    assert modal < bound
    assert resting > 3.0 * modal


def test_without_vibration_it_is_the_recovery_at_rest(modes):
    """Also where the interface opens; a vibration that opens it changes what is put back."""
    frame = build_cage_frame(cage_case("rivet"))
    static = frame_recovery(frame)
    recovery = modal_recovery(static, modes_data(frame, 10, 0.01)._asdict())
    loads = np.random.default_rng(3).uniform(0.0, 500.0, (4, static.load_count))
    found = recovery.section_forces(loads, np.zeros((4, 10)))
    wanted = static.section_forces(loads)
    for place in ("interface", "bar_base", "ring_cover"):
        assert np.array_equal(getattr(found, place), getattr(wanted, place))
    # Static shares as coordinates are no vibration; the same shares as vibration add themselves.
    share = loads @ recovery.share
    assert not recovery.vibration(loads, share).any()
    moved = recovery.section_forces(loads, share)
    assert not np.allclose(moved.interface, wanted.interface)


def test_modes_of_the_elasticity_are_those_of_the_frame():
    """Unit modal mass, K v = w^2 M v, participation by the unit loads."""
    case = changed_case(cage_case("tenon"), {"cage.elastic_modes": 7, "cage.mode_damping": 0.03})
    found, frame = cage_elasticity(case).modes, build_cage_frame(case)
    assert found.damping == 0.03 and found.frequencies.shape == (7,)
    shapes = found.shapes.reshape(7, -1)
    assert shapes @ (frame.mass @ shapes.T) == pytest.approx(np.eye(7), abs=1e-8)
    stiff = np.diag(shapes @ (frame.stiffness @ shapes.T))
    assert stiff == pytest.approx((2.0 * np.pi * found.frequencies) ** 2, rel=1e-8)
    loads = unit_loads(frame)
    assert found.participation[40] == pytest.approx(shapes @ loads[40].ravel(), abs=1e-12)
    assert cage_elasticity(cage_case("tenon")).modes is None


def test_what_does_not_fit_is_refused(frame, modes, recovery):
    with pytest.raises(RollsimError, match=r"elastic_modes \(80, say\)"):
        modal_recovery(recovery.static, {})
    with pytest.raises(RollsimError, match="another version"):
        modal_recovery(recovery.static, modes._replace(shapes=modes.shapes[:, 1:])._asdict())
    with pytest.raises(RollsimError, match="do not fit"):
        recovery.vibration(np.zeros((3, 7 * COUNT + 1)), np.zeros((3, 79)))


def test_a_vibration_that_opens_the_interface():
    # The loads K s bend the cage at rest into the shape s of a mode; `solve_cage` takes them
    # with the interface solved for. The linear answer is far off.
    frame = build_cage_frame(cage_case("rivet", fit="tight"))
    modes = modes_data(frame, 6, 0.0)
    static = frame_recovery(frame)
    shape = np.asarray(modes.shapes)[2].reshape(-1, 6)
    amount = 2e-4 / np.abs(shape[:, :3]).max()
    loads = (frame.stiffness @ (amount * shape).ravel()).reshape(-1, 6)
    solution = solve_cage(frame, loads)
    assert 0 < np.count_nonzero(~solution.closed) < solution.closed.size
    wanted = solution.forces.interface - solution.preload.interface
    vibration = np.zeros((1, 6))
    vibration[0, 2] = amount
    recovery = modal_recovery(static, modes._asdict())
    found = recovery.section_forces(np.zeros((1, static.load_count)), vibration)
    assert found.interface[0] == pytest.approx(wanted, abs=1e-6 * np.abs(wanted).max())
    linear = amount * recovery.forces.interface[2]
    assert np.abs(linear - wanted).max() > 0.05 * np.abs(wanted).max()
