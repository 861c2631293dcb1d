import pytest
from textual.app import App
from textual.content import Content

from atlas.ui.page import GAP, Block, Page, heading


class PageApp(App):
    def __init__(self, blocks):
        super().__init__()
        self.blocks = blocks
        self.chosen = []
        self.passed = []

    def get_theme_variable_defaults(self):
        return {"accent": "#ffffff"}

    def compose(self):
        yield Page(id="p")

    def on_mount(self):
        self.query_one(Page).show(self.blocks)
        self.query_one(Page).focus()

    def on_page_chosen(self, event):
        self.chosen.append(event.block.key)

    def on_page_moved(self, event):
        self.passed.append(event.block.key)


def item(key: str, words: str = "words") -> Block:
    return Block(Content(words), "item", key)


def text(words: str) -> Block:
    return Block(Content(words), "text", words[:5])


@pytest.fixture
def blocks():
    return [
        heading("One"), item("a"), item("b"), GAP, heading("Two"), text("long " * 200), item("c"),
    ]  # fmt: skip


async def test_the_cursor_passes_over_headings(blocks):
    app = PageApp(blocks)
    async with app.run_test(size=(40, 10)) as pilot:
        await pilot.press("enter", "down", "enter", "up", "enter")
        assert app.chosen == ["a", "b", "a"]


async def test_a_block_taller_than_the_window_is_scrolled_through(blocks):
    app = PageApp(blocks)
    async with app.run_test(size=(40, 10)) as pilot:
        page = app.query_one(Page)
        seen = set()
        for _ in range(40):
            top = page.scroll_offset.y
            seen |= set(range(top, top + 10))
            if page.current.key == "c":
                break
            await pilot.press("down")
        assert page.current.key == "c"
        assert seen >= set(range(page.virtual_size.height))


async def test_sections_are_a_key_apart(blocks):
    app = PageApp(blocks)
    async with app.run_test(size=(40, 10)) as pilot:
        await pilot.press("right", "right")
        assert app.query_one(Page).current.key == "long "
        await pilot.press("left")
        assert app.query_one(Page).current.key == "a"


async def test_text_is_not_chosen_and_a_click_is(blocks):
    app = PageApp([text("only read"), item("a")])
    async with app.run_test(size=(40, 10)) as pilot:
        await pilot.press("enter")
        assert app.chosen == []
        await pilot.click(Page, offset=(4, 1))
        assert app.chosen == ["a"]


async def test_ends_and_pages(blocks):
    app = PageApp([item(str(n)) for n in range(100)])
    async with app.run_test(size=(40, 10)) as pilot:
        page = app.query_one(Page)
        await pilot.press("end")
        assert page.current.key == "99"
        await pilot.press("home")
        assert page.current.key == "0"
        await pilot.press("pagedown")
        assert 0 < int(page.current.key) < 20
        await pilot.press("pageup")
        assert page.current.key == "0"


async def test_a_page_of_nothing_stands_still():
    app = PageApp([])
    async with app.run_test(size=(40, 10)) as pilot:
        await pilot.press("down", "up", "end", "pagedown", "left", "right", "enter")
        assert app.query_one(Page).current is None


async def test_wrapping_follows_the_width(blocks):
    app = PageApp(blocks)
    async with app.run_test(size=(80, 10)) as pilot:
        page = app.query_one(Page)
        wide = page.virtual_size.height
        await pilot.resize_terminal(30, 10)
        await pilot.pause()
        assert page.virtual_size.height > wide
