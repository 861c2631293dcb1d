"""The web server: one process of the application for each browser tab.

The Textual project's server does the work; this adds what it leaves open: it listens only where it
was told, a page of another site cannot drive the application through the visitor's browser, and
nothing is loaded from elsewhere.
"""

import errno
import ipaddress
import logging
import os
import shlex
import socket
import sys
from collections.abc import Awaitable, Callable
from pathlib import Path
from urllib.parse import urlsplit

from aiohttp import web
from textual_serve.server import Server

from atlas.catalogue.writing import READ_ONLY
from atlas.errors import BadInput, Refused

SESSIONS = 16  # each is a process of some 100 MB
_POLICY = (
    "default-src 'self'; script-src 'self' 'unsafe-inline'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data:; frame-ancestors 'none'"
)
_LOCAL_NAMES = {"localhost", "127.0.0.1", "::1"}

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


def listening(host: str, port: int) -> tuple[socket.socket, str, bool]:
    """A listening socket, its address for people, and whether only this computer reaches it.

    Raises:
        BadInput: no such host, or the port is taken.
        Refused: the system does not allow it.
    """
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
    except (OSError, UnicodeError) as error:
        raise BadInput(f"no address {host[:60]!r} ({error})", "--host", "say 127.0.0.1") from None
    family, _, _, _, address = found[0]
    try:
        opened = socket.create_server(address[:2], family=family, backlog=64)
    except PermissionError:
        raise Refused(f"port {port} is not allowed", "--port", "say 1024 or more") from None
    except OSError as error:
        free = "choose another, or 0 for a free one"
        if error.errno == errno.EADDRINUSE:
            raise BadInput(f"port {port} is in use", "--port", free) from None
        raise BadInput(f"{host[:60]} is no address of this computer", "--host", free) from None
    number = opened.getsockname()[1]
    name = f"[{address[0]}]" if family == socket.AF_INET6 else str(address[0])
    is_local = ipaddress.ip_address(str(address[0]).partition("%")[0]).is_loopback
    return opened, f"http://{name}:{number}", is_local


class Gate(Server):
    """Serves a library's application to those who may see it.

    Args:
        library: the library's folder.
        write: whether the application may change it.
        who: initials that go with changes; empty for the login name.
        local: whether it listens on this computer only.
    """

    def __init__(self, library: Path, *, write: bool, who: str, local: bool) -> None:
        # -P, since the folder that somebody serves from is not where programs come from.
        here = [sys.executable, "-P", "-m", "atlas"]
        if library.is_dir():  # else it is the platform's own, which the application finds itself
            here += ["--library", str(library)]
        super().__init__(
            shlex.join(here), title="atlas", templates_path=Path(__file__).parent.resolve()
        )
        self._local = local
        self._sessions = 0
        # The sessions' environment is this process's own.
        os.environ[READ_ONLY] = "" if write else "1"
        os.environ["PYTHONUTF8"] = "1"
        os.environ["TERM"] = "xterm-256color"
        if who:
            os.environ["ATLAS_INITIALS"] = who

    def run(self, opened: socket.socket, started: Callable[[], None]) -> None:
        """Serve until somebody ends it."""
        logging.getLogger("textual-serve").setLevel(logging.ERROR)
        self._started = started
        web.run_app(self._make_app(), sock=opened, print=None, access_log=None)

    async def on_startup(self, app: web.Application) -> None:
        """Say that it listens."""
        self._started()

    async def _make_app(self) -> web.Application:
        app = await super()._make_app()
        app.middlewares.append(self._guard)
        return app

    @web.middleware
    async def _guard(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Refuse what no page of ours asks for, and forbid the page what it does not need."""
        if self._local and _host(request.host) not in _LOCAL_NAMES:
            raise web.HTTPForbidden(text="atlas: this name does not belong to this computer\n")
        if request.path == "/ws":
            origin = request.headers.get("Origin", "")
            if urlsplit(origin).netloc != request.host:
                raise web.HTTPForbidden(text="atlas: a page of another site asked for this\n")
            if self._sessions >= SESSIONS:
                raise web.HTTPServiceUnavailable(text="atlas: too many sessions are open\n")
            self._sessions += 1
            try:
                return await handler(request)
            finally:
                self._sessions -= 1
        response = await handler(request)
        response.headers["Content-Security-Policy"] = _policy(request.host)
        response.headers["X-Content-Type-Options"] = "nosniff"
        response.headers["Referrer-Policy"] = "no-referrer"
        return response

    async def handle_index(self, request: web.Request) -> web.Response:
        """The page, with the address by which the browser reached it."""
        import aiohttp_jinja2

        size = request.query.get("fontsize", "16")
        said = {
            "font_size": size if size.isdigit() and len(size) < 3 else "16",
            "websocket": f"ws://{request.host}/ws",
            "title": self.title,
        }
        return aiohttp_jinja2.render_template("page.html", request, said)


def _policy(host: str) -> str:
    return f"{_POLICY}; connect-src 'self' ws://{host}"


def _host(name: str) -> str:
    """The host of a Host header, without its port."""
    try:
        return (urlsplit(f"//{name}").hostname or "").lower()
    except ValueError:
        return ""
