"""Headless Chromium, driven through its own DevTools protocol."""

import asyncio
import base64
import contextlib
import json
import os
import re
import shutil
import time
from collections.abc import AsyncIterator
from pathlib import Path

import aiohttp

PROGRAM = shutil.which("chromium") or shutil.which("chromium-browser")
_FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--disable-dev-shm-usage", "--remote-debugging-port=0", "--remote-allow-origins=*",
    "--window-size=1280,800",
)  # fmt: skip


class Page:
    """One tab: what it asked for, what came through its websockets, keys and pictures."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        self._socket = socket
        self._count = 0
        self._answers: dict[int, asyncio.Future] = {}
        self.asked: list[str] = []
        self.received = b""

    async def listen(self) -> None:
        async for message in self._socket:
            said = json.loads(message.data)
            if said.get("id") in self._answers:
                self._answers.pop(said["id"]).set_result(said)
            elif said.get("method") in ("Network.requestWillBeSent", "Network.webSocketCreated"):
                self.asked.append(said["params"].get("url") or said["params"]["request"]["url"])
            elif said.get("method") == "Network.webSocketFrameReceived":
                frame = said["params"]["response"]
                if frame["opcode"] == 2:
                    self.received += base64.b64decode(frame["payloadData"])

    async def call(self, method: str, **params: object) -> dict:
        self._count += 1
        answer = self._answers[self._count] = asyncio.get_running_loop().create_future()
        await self._socket.send_json({"id": self._count, "method": method, "params": params})
        said = await asyncio.wait_for(answer, 30)
        assert "error" not in said, said
        return said["result"]

    async def press(self, key: str, code: int = 0) -> None:
        for kind in ("keyDown", "keyUp"):
            await self.call("Input.dispatchKeyEvent", type=kind, key=key, code=key,
                            windowsVirtualKeyCode=code, nativeVirtualKeyCode=code)  # fmt: skip

    async def type(self, text: str) -> None:
        for sign in text:
            await self.call("Input.dispatchKeyEvent", type="char", text=sign)

    async def picture(self, path: Path) -> None:
        said = await self.call("Page.captureScreenshot")
        path.write_bytes(base64.b64decode(said["data"]))

    def text(self) -> str:
        """What came from the application, without the terminal's control sequences."""
        plain = self.received.decode("utf-8", "replace")
        return re.sub(r"\x1b(\[[0-9;?<>=]*[a-zA-Z]|\][^\x07\x1b]*(\x07|\x1b\\)|.)", "", plain)

    async def wait_for(self, pattern: str, seconds: float = 20) -> None:
        end = time.monotonic() + seconds
        while not re.search(pattern, self.text()):
            assert time.monotonic() < end, f"no {pattern!r} in {self.text()[-400:]!r}"
            await asyncio.sleep(0.05)


@contextlib.asynccontextmanager
async def page(url: str, profile: Path) -> AsyncIterator[Page]:
    """A tab of a fresh Chromium at an address."""
    assert PROGRAM is not None
    process = await asyncio.create_subprocess_exec(
        PROGRAM, *_FLAGS, f"--user-data-dir={profile}", "about:blank",
        stdout=asyncio.subprocess.DEVNULL, stderr=asyncio.subprocess.DEVNULL,
        env=dict(os.environ), start_new_session=True,
    )  # fmt: skip
    try:
        ports = profile / "DevToolsActivePort"
        end = time.monotonic() + 30
        while not (ports.is_file() and ports.read_text().count("\n")):
            assert time.monotonic() < end, "Chromium does not start"
            await asyncio.sleep(0.05)
        port = ports.read_text().split()[0]
        async with aiohttp.ClientSession() as session:
            async with session.get(f"http://127.0.0.1:{port}/json/list") as answer:
                tabs = await answer.json()
            address = next(tab["webSocketDebuggerUrl"] for tab in tabs if tab["type"] == "page")
            async with session.ws_connect(address, max_msg_size=0) as socket:
                tab = Page(socket)
                listener = asyncio.create_task(tab.listen())
                await tab.call("Network.enable")
                await tab.call("Page.enable")
                await tab.call("Emulation.setFocusEmulationEnabled", enabled=True)
                await tab.call("Page.navigate", url=url)
                yield tab
                listener.cancel()
    finally:
        with contextlib.suppress(ProcessLookupError):
            process.terminate()
        await asyncio.wait_for(process.wait(), 15)
