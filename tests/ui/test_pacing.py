"""One run at a time, and what was changed meanwhile is run next."""

import pytest

from atlas.ui.pacing import Pacing


class Owner:
    """Counts timers; none of them goes off by itself."""

    def __init__(self):
        self.stopped = 0
        self.due = None

    def set_timer(self, delay, callback):
        self.due = callback
        return self

    def stop(self):
        self.stopped += 1


@pytest.mark.parametrize("changes", [1, 4])
def test_changes_during_a_run_are_run_once_when_it_is_over(changes):
    begun = []
    pacing = Pacing(Owner(), lambda: not begun.append("run"))
    pacing.now()
    for _ in range(changes):
        pacing.now()
    assert len(begun) == 1
    assert not pacing.over(), "what the first run found is overtaken"
    assert len(begun) == 2
    assert pacing.over()
    assert len(begun) == 2


def test_what_begins_no_run_keeps_none_waiting():
    begun = []
    pacing = Pacing(Owner(), lambda: bool(begun.append("nothing to do")))
    pacing.now()
    pacing.now()
    assert len(begun) == 2


def test_each_change_puts_the_run_off():
    owner, begun = Owner(), []
    pacing = Pacing(owner, lambda: not begun.append("run"))
    pacing.soon()
    pacing.soon()
    assert (owner.stopped, begun) == (1, [])
    owner.due()
    assert begun == ["run"]
