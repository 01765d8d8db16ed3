"""Requests that do not ask for draws get none here, so that a hundred of them stay quick."""

import pytest


@pytest.fixture(scope="session", autouse=True)
def no_draws_unasked():
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("upfeed.web.asked.SAMPLES", 0)
        yield
