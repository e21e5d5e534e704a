"""Channels that are kept in memory."""

import numpy as np

from rollsim.history.remembered import RememberedChannels


def test_those_asked_for_longest_ago_make_room():
    kept = RememberedChannels(200)
    for name in ("one", "two"):
        kept.keep(name, np.zeros(10))
    assert kept.find("one") is not None
    kept.keep("three", np.ones(10))
    assert kept.find("two") is None
    assert kept.find("one") is not None
    assert kept.find("three")[0] == 1.0
    kept.keep("large", np.zeros(100))
    assert kept.find("large") is None
    assert kept.find("one") is not None
    kept.forget()
    assert kept.find("one") is None


def test_lasting_ones_go_last_of_all():
    kept = RememberedChannels(200, lasting=("dear",))
    for name in ("dear", "one", "two"):
        kept.keep(name, np.zeros(10))
    assert kept.find("dear") is not None and kept.find("two") is not None
    assert kept.find("one") is None
    # Where nothing else is left to go, they make room as well.
    kept.keep("all", np.ones(25))
    assert kept.find("all") is not None and kept.find("dear") is None


def test_what_is_handed_out_and_changed_stays_whole(make_run):
    from rollsim.history import open_history

    path = make_run()[0]

    with open_history(path) as plain, open_history(path) as history:
        history.remember(10**8)
        first = history.channel("cage_position")
        first[:] = 0.0
        wanted = plain.channel("cage_position")
        assert np.array_equal(history.channel("cage_position"), wanted)
        assert np.array_equal(history.rows("cage_position", 3, 9), wanted[3:9])
        assert np.array_equal(
            history.raw("history", "cage_position", 2, 5),
            plain.raw("history", "cage_position", 2, 5),
        )
        window = history.window("cage_position", plain.time[4], plain.time[8])
        assert np.array_equal(window, wanted[4:8])
