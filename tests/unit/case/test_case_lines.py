"""Line numbers of keys: headers, lists of tables, dotted keys, inline tables, long texts."""

import tomllib

import pytest

from rollsim.case.lines import LineTable

TEXT = '''# remark = "not a key"
[a]
x = 1 # remark
"quoted key" = "text with # and = and ["
'single' = 'c:\\path\\'
long = """first ]
y = "not a key"
last"""
z = 2

[a.b]
dotted.key = 3
inline = { one = 1, two = [1, 2], three = { deep = 1 } }

[[list]]
k = [
  1, # one
  [2,
   3],
]
[[list.inner]]
p = 1979-05-27 07:32:00
[[list]]
k = []
[[list.inner]]
p = 1
[[list.inner]]
p = 2
[list.inner.sub]
q = "\\"]"
'''
PLACES = {
    ("a",): 2,
    ("a", "x"): 3,
    ("a", "quoted key"): 4,
    ("a", "single"): 5,
    ("a", "long"): 6,
    ("a", "z"): 9,
    ("a", "b"): 11,
    ("a", "b", "dotted"): 12,
    ("a", "b", "dotted", "key"): 12,
    ("a", "b", "inline", "two", 1): 13,
    ("a", "b", "inline", "three", "deep"): 13,
    ("list",): 15,
    ("list", 0): 15,
    ("list", 0, "k", 0): 17,
    ("list", 0, "k", 1): 18,
    ("list", 0, "k", 1, 1): 19,
    ("list", 0, "inner", 0, "p"): 22,
    ("list", 1): 23,
    ("list", 1, "inner", 0, "p"): 26,
    ("list", 1, "inner", 1, "p"): 28,
    ("list", 1, "inner", 1, "sub", "q"): 30,
}


def _paths(value, path=()):
    """All paths of what the standard reader finds."""
    items = value.items() if isinstance(value, dict) else enumerate(value)
    for key, item in items:
        yield (*path, key)
        if isinstance(item, dict | list):
            yield from _paths(item, (*path, key))


@pytest.mark.parametrize(("path", "line"), PLACES.items())
def test_key_stands_on_its_line(path, line):
    assert LineTable(TEXT).line(path) == line


def test_scan_finds_exactly_the_paths_that_the_standard_reader_finds():
    found = {path for path in LineTable(TEXT)._lines}
    assert found == set(_paths(tomllib.loads(TEXT)))


def test_unknown_path_takes_the_line_of_the_table_around_it():
    table = LineTable(TEXT)
    assert table.line(("a", "missing")) == 2
    assert table.line(("nothing",)) is None
