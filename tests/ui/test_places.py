from atlas.ui.memory import Memory
from atlas.ui.places import Place, Trail


def test_going_on_forgets_what_lay_ahead():
    trail = Trail()
    trail.go(Place("case", "a"))
    trail.go(Place("case", "b"))
    trail.back()
    trail.go(Place("case", "c"))
    assert trail.forward() is None
    assert [place.id for place in trail.places] == ["", "a", "c"]


def test_the_same_place_is_not_gone_to_twice():
    trail = Trail()
    trail.go(Place("case", "a"))
    trail.go(Place("case", "a", text="typed"))
    assert len(trail.places) == 2
    assert trail.here.text == "typed"


def test_both_ends_hold():
    trail = Trail()
    assert trail.back() is None
    assert trail.forward() is None


def test_memory_outlives_the_session(tmp_path):
    path = tmp_path / "state" / "ui.json"
    memory = Memory(path)
    assert not memory.now.toured
    memory.now.toggle("x")
    memory.now.theme = "paper"
    memory.save(Place("find", "x", "words"))
    again = Memory(path).now
    assert (again.marks, again.theme, again.words, again.pattern) == (
        ["x"], "paper", "words", "x",
    )  # fmt: skip


def test_damaged_memory_is_begun_anew(tmp_path):
    path = tmp_path / "ui.json"
    path.write_bytes(b'{"theme": 3')
    assert Memory(path).now.theme == "dusk"


def test_memory_that_cannot_be_written_is_let_go(tmp_path):
    (tmp_path / "file").write_text("")
    Memory(tmp_path / "file" / "ui.json").save()
