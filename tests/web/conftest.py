"""Requests that do not ask for draws get none here, so that a hundred of them stay quick."""

import pytest

from upfeed.web.query import settled


@pytest.fixture(scope="session", autouse=True)
def no_draws_unasked():
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("upfeed.web.asking.settled", _without_draws)
        yield


def _without_draws(query, known):
    return (
        settled({"samples": "0"} | query, known) if "samples" in settled({}, known) else settled(query, known)
    )
