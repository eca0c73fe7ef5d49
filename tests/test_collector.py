"""The garbage collector rests while a recording is read, and is as it was afterwards."""

import gc

import pytest

from otochron.collector import paused


def test_collector_is_on_again_after_an_error():
    with pytest.raises(ZeroDivisionError), paused():
        gc.isenabled() or 1 / 0
    assert gc.isenabled()


def test_collector_that_was_off_stays_off():
    gc.disable()
    try:
        with paused():
            pass
        assert not gc.isenabled()
    finally:
        gc.enable()
