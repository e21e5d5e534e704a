"""Where runs and document come from."""

from rollsim.report.document.origin import made_with_table, provenance_rows

STORED = {
    "software": {"rollsim": "0.2", "commit": "a" * 40, "modified": True, "sources": "b" * 64,
                 "python": "CPython 3.11.7", "numpy": "2.0", "HDF5": "1.14"},
    "machine": {"processor": "some processor", "architecture": "x86_64", "cores": 8,
                "system": "Linux 6.1"},
    "inputs": [{"role": "recording", "file": "screen.csv", "sha256": "c" * 64}],
    "seeds": {"run": 7, "source 2": 11},
}  # fmt: skip


def test_a_record_is_told_whole():
    rows = dict(provenance_rows(STORED, "0.2"))
    assert rows["rollsim"] == f"0.2, commit {'a' * 40}, with changes beyond it"
    assert rows["sources of rollsim, SHA-256"] == "b" * 64
    assert rows["libraries"] == "numpy 2.0, HDF5 1.14"
    assert rows["machine"] == "some processor, x86_64, 8 logical cores, Linux 6.1"
    assert rows["input: recording screen.csv"] == "SHA-256 " + "c" * 64
    assert rows["seeds"] == "run 7, source 2 11"


def test_a_package_without_checkout_says_so():
    stored = {"software": {"commit": None, "modified": None, "python": "CPython 3.12"}}
    assert provenance_rows(stored, "0.3") == [
        ("rollsim", "0.3, no git checkout"), ("Python", "CPython 3.12"),
    ]  # fmt: skip


def test_the_document_tells_its_own_libraries_and_machine():
    table = made_with_table()
    rows = dict(table.rows)
    for name in ("numpy", "numba", "matplotlib", "jinja2"):
        assert f"{name} " in rows["libraries"]
    assert "logical cores" in rows["machine"]
