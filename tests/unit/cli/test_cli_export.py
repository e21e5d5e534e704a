"""Histories in formats of other programs, read back by other libraries."""

import csv
import json
import sys
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from click.testing import CliRunner

from rollsim.cli import commands
from rollsim.errors import HistoryError, RollsimError
from rollsim.history import open_history
from rollsim.history.layout import CHANNELS
from rollsim.report.export.rows import columns, sampled_pieces, select


def _export(*arguments):
    """Run the command; the words of its answer, or the error that it ends with."""
    done = CliRunner().invoke(commands, ["export", *map(str, arguments)])
    if done.exception and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done.output, done.exit_code


@pytest.fixture(scope="module")
def path(finished):
    """A finished run."""
    return finished[0] / "six.h5"


def _read_csv(file):
    """Heads and numbers of a table."""
    with file.open(encoding="utf-8") as stream:
        rows = list(csv.reader(stream))
    return rows[0], np.array(rows[1:], dtype=float)


def test_csv_holds_every_number_of_the_history(path, tmp_path):
    told, code = _export(path, "--to", "csv", "-o", tmp_path)
    assert code == 0 and f"wrote {tmp_path / 'history.csv'}" in told
    about = json.loads((tmp_path / "metadata.json").read_text("utf-8"))
    with open_history(path) as history:
        counts = {"roller": history.roller_count, "mode": 0}
        for group in CHANNELS:
            heads, numbers = _read_csv(tmp_path / f"{group}.csv")
            names = [column["name"] for column in about["tables"][f"{group}.csv"]["columns"]]
            assert len(set(heads)) == len(heads) and len(heads) == len(names)
            assert about["tables"][f"{group}.csv"]["rows"] == len(numbers) > 0
            for name in history.names(group):
                own = columns(CHANNELS[group][name], counts)
                at = names.index(own[0].name)
                wanted = history.raw(group, name).reshape(len(numbers), -1)
                if (group, name) == ("impacts", "roller"):
                    wanted = wanted + 1
                got = numbers[:, at : at + len(own)].astype(wanted.dtype)
                np.testing.assert_array_equal(got, wanted)
                assert heads[at] == f"{own[0].name} [{own[0].unit}]"
    assert "pocket_force_roller_03_leading [N]" in _read_csv(tmp_path / "peak.csv")[0]
    assert "licensed engineer" in about["caution"] and about["status"] == "finished"


def test_a_stretch_thinned_keeps_the_peaks(path, tmp_path):
    options = ("--channels", "cage_position,peak/pocket_force", "--from", 0.02, "--until", 0.05)
    _export(path, "--to", "csv", "-o", tmp_path, *options, "--every", 7)
    assert sorted(file.name for file in tmp_path.iterdir()) == [
        "history.csv", "metadata.json", "peak.csv",
    ]  # fmt: skip
    with open_history(path) as history:
        time = history.time[(history.time >= 0.02 - 1e-9) & (history.time < 0.05 - 1e-9)]
        force = history.window("pocket_force", 0.02, 0.05, "peak")
        place = history.window("cage_position", 0.02, 0.05)
    rows = len(time) // 7
    heads, numbers = _read_csv(tmp_path / "peak.csv")
    assert heads[0] == "time [s]" and numbers.shape == (rows, 25)
    np.testing.assert_array_equal(numbers[:, 0], time[6::7])
    wanted = force[: 7 * rows].reshape(rows, 7, 24).max(axis=1)
    np.testing.assert_allclose(numbers[:, 1:], wanted, rtol=1e-7)
    np.testing.assert_array_equal(_read_csv(tmp_path / "history.csv")[1][:, 1:], place[6::7])


def test_parquet_keeps_types_and_units(path, tmp_path):
    parquet = pytest.importorskip("pyarrow.parquet")
    _export(path, "--to", "parquet", "-o", tmp_path)
    table = parquet.read_table(tmp_path / "peak.parquet")
    field = table.schema.field("pocket_force_roller_02_trailing")
    assert field.metadata[b"units"] == b"N" and str(field.type) == "float"
    assert str(table.schema.field("time").type) == "double"
    with open_history(path) as history:
        wanted = history.raw("peak", "pocket_force")[:, 1, 1]
        np.testing.assert_array_equal(table[field.name].to_numpy(), wanted)
        impacts = parquet.read_table(tmp_path / "impacts.parquet")
        np.testing.assert_array_equal(impacts["start"].to_numpy(), history.impacts()["start"])


def test_parquet_without_its_library_is_said_in_words(path, tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    with pytest.raises(RollsimError, match=r"pip install 'rollsim\[parquet\]'"):
        _export(path, "--to", "parquet", "-o", tmp_path)
    assert not list(tmp_path.iterdir())


def _frame(path, number, kind):
    """One file of a frame, as a general library reads it."""
    meshio = pytest.importorskip("meshio")
    return meshio.read(path / "mechanism" / f"{kind}_{number:06d}.vtu")


def test_vtk_shows_the_mechanism_where_it_is(path, tmp_path):
    told, _ = _export(path, "--to", "vtk", "-o", tmp_path, "--from", 0.03, "--every", 20)
    listed = ET.parse(tmp_path / "mechanism.pvd").getroot().findall("./Collection/DataSet")
    with open_history(path) as history:
        rows = history.samples(0.03, np.inf)
        last = list(range(rows.start + 19, rows.stop, 20))
        times = history.time[last]
        k = last[2]
        now = {
            name: history.channel(name)[k]
            for name in ("roller_position", "cage_position", "land_force", "raceway_force")
        }
        pocket = history.peak("pocket_force")[k - 19 : k + 1].max(axis=0)
        case = history.case
    assert f"{len(times)} frames" in told and len(listed) == 2 * len(times)
    assert [float(item.get("timestep")) for item in listed[::2]] == pytest.approx(times, rel=1e-8)
    assert all((tmp_path / item.get("file")).is_file() for item in listed)
    motion, forces = (_frame(tmp_path, 2, kind) for kind in ("motion", "forces"))
    part = np.concatenate(motion.cell_data["part"])
    number = np.concatenate(motion.cell_data["number"])
    force = np.concatenate(motion.cell_data["largest_pocket_force_N"])
    points = {}
    for block, own, count in zip(
        motion.cells, motion.cell_data["part"], motion.cell_data["number"], strict=True
    ):
        for cell, which, k in zip(block.data, own, count, strict=True):
            points.setdefault((int(which), int(k)), set()).update(cell.tolist())
    for roller in range(6):
        own = motion.points[sorted(points[0, roller + 1])]
        np.testing.assert_allclose(own.mean(axis=0), now["roller_position"][roller], atol=1e-9)
        reach = np.hypot(*(own - own.mean(axis=0))[:, :2].T).max()
        assert reach == pytest.approx(0.5e-3 * case.roller.diameter_mm, rel=1e-3)
        found = force[(part == 0) & (number == roller + 1)]
        np.testing.assert_allclose(found, pocket[roller].max(), rtol=1e-6)
    ring = motion.points[sorted(points[2, 1])]
    np.testing.assert_allclose(ring.mean(axis=0)[:2], now["cage_position"][:2], atol=1e-9)
    np.testing.assert_allclose(forces.points[:6], now["roller_position"], atol=1e-12)
    np.testing.assert_allclose(forces.point_data["largest_pocket_force_N"][:6], pocket, rtol=1e-6)
    np.testing.assert_allclose(forces.point_data["force_on_cage_N"][6:], now["land_force"])


def test_rollers_stand_in_their_pockets(path, tmp_path):
    """No roller reaches into a bar by more than its clearance and elastic approach."""
    _export(path, "--to", "vtk", "-o", tmp_path, "--every", 60)
    motion = _frame(tmp_path, 4, "motion")
    bars = {}
    for block, part, number in zip(
        motion.cells, motion.cell_data["part"], motion.cell_data["number"], strict=True
    ):
        for cell in block.data[part == 1] if block.type == "hexahedron" else ():
            bars[len(bars)] = motion.points[cell]
        assert number.min() >= 1
    with open_history(path) as history:
        places = history.channel("roller_position")[5 * 60 - 1]
        radius = 0.5e-3 * history.case.roller.diameter_mm
    assert len(bars) == 6
    for corners in bars.values():
        off = np.linalg.norm(corners[:, None, :2] - places[None, :, :2], axis=2)
        assert off.min() > radius - 5e-5
        assert off.min() < radius + 5e-3


def test_push_of_a_roller_on_the_cage_points_along_its_orbit(path, tmp_path):
    _export(path, "--to", "vtk", "-o", tmp_path, "--every", 1, "--from", 0.03)
    with open_history(path) as history:
        first = history.samples(0.03, np.inf).start
        force = history.channel("pocket_force")[first:]
        net = force[:, :, 0] - force[:, :, 1]
        frame, roller = np.unravel_index(np.abs(net).argmax(), net.shape)
        place = history.channel("roller_position")[first + frame, roller]
    along = np.array([-place[1], place[0]]) / np.hypot(*place[:2])
    found = _frame(tmp_path, frame, "forces").point_data["force_on_cage_N"][roller]
    assert found[:2] @ along == pytest.approx(net[frame, roller], rel=1e-6) and net.any()


def test_frames_of_an_earlier_export_go(path, tmp_path):
    _export(path, "--to", "vtk", "-o", tmp_path, "--every", 30)
    many = len(list((tmp_path / "mechanism").iterdir()))
    _export(path, "--to", "vtk", "-o", tmp_path, "--every", 60)
    assert len(list((tmp_path / "mechanism").iterdir())) == many / 2


def test_an_unfinished_run_gives_the_rows_that_are_there(path, tmp_path, monkeypatch):
    monkeypatch.setattr("rollsim.report.export.rows._PIECE", 30)
    with open_history(path) as history:
        chosen = select(history, ["peak/pocket_force"], every=4)
        wanted = {"peak": ("pocket_force",)}
        pieces = list(sampled_pieces(history, chosen, wanted))
        joined = np.concatenate([piece["peak"]["pocket_force"] for piece in pieces])
        whole = history.raw("peak", "pocket_force")[: 4 * chosen.count]
    assert len(pieces) > 2
    np.testing.assert_array_equal(joined, whole.reshape(-1, 4, 6, 4).max(axis=1))


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--channels", "cage_positon"), "Did you mean 'cage_position'"),
        (("--channels", "nothing/time"), "has no channel 'nothing/time'"),
        (("--from", "5"), "it holds"),
        (("--every", "100000"), "smaller step"),
    ],
)
def test_what_is_not_there_is_said_in_words(path, tmp_path, options, words):
    with pytest.raises(HistoryError, match=words):
        _export(path, "--to", "csv", "-o", tmp_path, *options)


def test_options_that_fit_nothing_are_refused(path, tmp_path):
    assert _export(path, "--to", "vtk", "--channels", "time")[1] == 2
    assert _export(path, "--to", "csv", "--from", 2, "--until", 1)[1] == 2
    assert _export(path, "-o", tmp_path)[1] == 2
