"""Searches for unused objects while a document is made."""

import gc

import pytest

from rollsim.report.document.collector import rare_collections


def test_searches_are_rare_inside_and_as_before_outside():
    before = gc.get_threshold()
    with pytest.raises(ValueError), rare_collections():
        assert gc.isenabled() == (before[0] > 0)
        assert gc.get_threshold()[0] > before[0]
        raise ValueError
    assert gc.get_threshold() == before
