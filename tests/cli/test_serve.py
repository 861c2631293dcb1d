"""The application in a browser: who may reach it, what it may do, and that it works there."""

import contextlib
import json
import os
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest

aiohttp = pytest.importorskip("aiohttp", reason="the extra 'web' is not installed")
pytest.importorskip("textual_serve", reason="the extra 'web' is not installed")
chromium = pytest.importorskip("chromium")


@contextlib.contextmanager
def served(library, *options):
    """A server of its own process; its first document, and where its errors go."""
    process = subprocess.Popen(
        [sys.executable, "-m", "atlas", "--library", str(library.root), "serve", "--port", "0",
         "--json", *options],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env=os.environ | {"PYTHONWARNINGS": "default"},
    )  # fmt: skip
    try:
        lines = []
        for line in process.stdout:
            lines.append(line)
            if line == "}\n":
                break
        assert lines, process.stderr.read()
        yield json.loads("".join(lines)), process
    finally:
        process.terminate()
        process.communicate(timeout=20)


async def session_text(url, until, **headers):
    """What a session sends until it has said something."""
    async with aiohttp.ClientSession() as client:
        address = f"{url}/ws?width=100&height=30"
        async with client.ws_connect(address, headers={"Origin": url} | headers) as session:
            said = b""
            while until not in said:
                message = await session.receive(timeout=30)
                assert message.type == aiohttp.WSMsgType.BINARY, (message, said[-500:])
                said += message.data
            return said.decode("utf-8", "replace")


async def status_of(url, path="/", **headers):
    async with aiohttp.ClientSession() as client, client.get(url + path, headers=headers) as got:
        return got.status, await got.text(), got.headers


async def test_who_may_reach_it_and_what_it_says(library):
    with served(library) as (said, process):
        url = said["url"]
        assert said["read_only"] and url.startswith("http://127.0.0.1:")
        code, text, headers = await status_of(url)
        assert code == 200
        assert "http" not in text.replace("{{", "")  # nothing of the page comes from elsewhere
        assert "default-src 'self'" in headers["Content-Security-Policy"]
        for path in ("/static/js/textual.js", "/static/fonts/RobotoMono-VariableFont_wght.ttf"):
            async with aiohttp.ClientSession() as client, client.get(url + path) as got:
                assert got.status == 200
        # A name that somebody else lets point here (DNS rebinding), and a page of another site.
        assert (await status_of(url, Host="evil.example"))[0] == 403
        assert (await status_of(url, "/ws", Origin="http://evil.example"))[0] == 403
        assert (await status_of(url, "/ws"))[0] == 403
        assert (await status_of(url, "/static/../server.py"))[0] in (403, 404)
        said = await session_text(url, b"read-only")
        assert "read-only" in said
        process.send_signal(signal.SIGINT)
        assert process.wait(timeout=20) == 0


async def test_there_is_an_end_to_how_many_sessions_are_open(library, monkeypatch):
    from aiohttp.test_utils import make_mocked_request

    from atlas.cli.web.server import SESSIONS, Gate

    for name in ("ATLAS_READ_ONLY", "PYTHONUTF8", "TERM"):  # which a gate sets
        monkeypatch.setenv(name, os.environ.get(name, ""))
    gate = Gate(library.root, write=False, who="", local=True)
    headers = {"Host": "127.0.0.1:1", "Origin": "http://127.0.0.1:1"}
    request = make_mocked_request("GET", "/ws", headers=headers)
    let_in = []

    async def handler(request):
        let_in.append(gate._sessions)

    gate._sessions = SESSIONS
    with pytest.raises(aiohttp.web.HTTPServiceUnavailable, match="Unavailable"):
        await gate._guard(request, handler)
    gate._sessions = SESSIONS - 1
    await gate._guard(request, handler)
    assert let_in == [SESSIONS] and gate._sessions == SESSIONS - 1


async def test_writing_is_said_and_allowed_on_request(library):
    with served(library, "--write", "--by", "CD") as (said, _):
        assert not said["read_only"]
        assert "read-only" not in await session_text(said["url"], b"Glossary")


def test_another_address_is_cautioned(library):
    with served(library, "--host", "0.0.0.0") as (said, process):
        assert said["url"].startswith("http://0.0.0.0:")
        process.terminate()
        _, err = process.communicate(timeout=20)
        assert "caution" in err and "no password" in err


def test_a_port_in_use_and_other_slips_are_one_line(atlas):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        code, out, err = atlas("serve", "--port", port)
    assert (code, out) == (2, "")
    assert f"port {port} is in use" in err and len(err.splitlines()) == 1
    for line in (["--port", "99999"], ["--port", "x"], ["--host", "a b"], ["--host", "192.0.2.1"],
                 ["--host", "nosuch.invalid"], ["--host", ""], ["--host", "x" * 300]):  # fmt: skip
        code, out, err = (
            atlas("serve", *line, "--port", "0") if "--host" in line else atlas("serve", *line)
        )
        assert (code, out, len(err.splitlines())) == (2, "", 1), (line, err)


def test_without_the_extra_it_says_what_to_install(atlas, monkeypatch):
    monkeypatch.setitem(sys.modules, "textual_serve", None)
    monkeypatch.setitem(sys.modules, "textual_serve.server", None)
    monkeypatch.delitem(sys.modules, "atlas.cli.web.server", raising=False)
    code, _, err = atlas("serve")
    assert code == 2
    assert "pip install" in err and "[web]" in err and len(err.splitlines()) == 1


@pytest.mark.skipif(chromium.PROGRAM is None, reason="no Chromium here")
async def test_words_lead_to_a_pattern_in_chromium(library, tmp_path):
    memory = Path(os.environ["XDG_STATE_HOME"]) / "atlas" / "ui.json"
    memory.parent.mkdir(parents=True)
    memory.write_text('{"toured": true}')  # else the tour of the first start comes in between
    with served(library) as (said, _):
        async with chromium.page(said["url"], tmp_path / "profile") as tab:
            await tab.wait_for("read-only")
            await tab.wait_for("f2")  # the footer: the application knows that it is looked at
            await tab.type("flat plate like an X behind the cradle")
            await tab.wait_for("X-shaped rear brace plate")
            await tab.picture(tmp_path / "tab.png")
            assert (tmp_path / "tab.png").stat().st_size > 20_000
            await tab.press("F7", 118)
            await tab.wait_for("▸Cases")
            host = said["url"].removeprefix("http://")
            assert len(tab.asked) > 3
            for address in tab.asked:
                assert address.split("://")[1].split("/")[0] == host, address
    assert not list(library.root.iterdir())
