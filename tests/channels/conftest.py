"""A day for the tests whose subject is one message, or the order of a few."""

from __future__ import annotations

import pytest

from tests.servers import moment


@pytest.fixture
def a_wednesday(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is Wednesday noon, whatever day the rehearsal of days has.

    On the last evening of a week a review follows the answer, and would stand where the test looks for another message.
    """
    monkeypatch.setattr(moment, "AHEAD", moment.ahead_at(moment.WEDNESDAY_NOON))
