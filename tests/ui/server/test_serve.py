"""``photomeasure serve``: who may reach the page, by which names, with which password."""

import asyncio
import socket
from argparse import ArgumentParser
from dataclasses import replace

import pytest

from calibration.errors import InputError
from photomeasure.commands import serve
from ui.server import passwords, start
from ui.server.settings import PORT


def options(*arguments):
    """Return what the command line makes of some words."""
    parser = ArgumentParser()
    serve.add(parser.add_subparsers())
    return parser.parse_args(["serve", *arguments])


def test_usually_this_machine_alone_and_without_a_password(tmp_path):
    """Nothing is asked where nobody else can come."""
    settings = start.settings_of(options(), tmp_path)

    assert settings.local
    assert settings.port == PORT == serve._PORT
    assert settings.password_hash is None
    assert not settings.knows("office-pc")


def test_the_network_needs_a_password(tmp_path, monkeypatch):
    """Without one and without a person to ask, the page is not opened."""
    monkeypatch.setattr("sys.stdin.isatty", lambda: False, raising=False)
    with pytest.raises(InputError, match="there is no password"):
        start.settings_of(options("--host", "0.0.0.0"), tmp_path)


def test_a_password_file_sets_it_and_it_stays(tmp_path):
    """The next start needs no file, on the loopback too."""
    path = tmp_path / "password.txt"
    path.write_text("ten slates and a ridge\n")
    first = start.settings_of(
        options("--host", "0.0.0.0", "--password-file", str(path)), tmp_path / "home"
    )
    again = start.settings_of(options("--host", "0.0.0.0"), tmp_path / "home")
    local = start.settings_of(options(), tmp_path / "home")

    assert passwords.matches("ten slates and a ridge", first.password_hash)
    assert again.password_hash == local.password_hash == first.password_hash


def test_a_short_password_file_is_refused(tmp_path):
    """An empty first line is no password."""
    path = tmp_path / "password.txt"
    path.write_text("\nsecond line is not read")
    with pytest.raises(InputError, match="fewer than"):
        start.settings_of(options("--password-file", str(path)), tmp_path)


def test_names_of_the_network(tmp_path):
    """The machine's own name works, and those that were stated; no others."""
    passwords.keep(tmp_path, "ten slates and a ridge")
    settings = start.settings_of(
        options("--host", "0.0.0.0", "--name", "Roofs.Example"), tmp_path
    )

    assert settings.knows(socket.gethostname())
    assert settings.knows("roofs.example")
    assert settings.knows("10.1.2.3")
    assert not settings.knows("evil.example")


def test_a_certificate_needs_its_key(tmp_path):
    """Half of it would start without encryption."""
    with pytest.raises(InputError, match="--key"):
        start.settings_of(options("--certificate", "x.pem"), tmp_path)


def test_a_port_that_is_taken(tmp_path):
    """The refusal names the port and what to do."""
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        taken = other.getsockname()[1]
        settings = start.settings_of(options("--port", str(taken)), tmp_path)
        with pytest.raises(InputError, match=f"port {taken}.*--port"):
            start._listening(settings)


def test_answers_leave_at_once(tmp_path):
    """Nagle's algorithm is off where requests come in: it held each answer for 40 ms."""

    async def answered() -> int:
        held = asyncio.get_running_loop().create_future()

        async def come(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            accepted = writer.get_extra_info("socket")
            held.set_result(accepted.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            writer.close()

        settings = replace(start.settings_of(options(), tmp_path), port=0)
        server = await asyncio.start_server(come, sock=start._listening(settings))
        async with server:
            port = server.sockets[0].getsockname()[1]
            _, writer = await asyncio.open_connection(settings.host, port)
            off = await held
            writer.close()
            return int(off)

    assert asyncio.run(answered()) != 0


@pytest.mark.parametrize("port", ["0", "65536", "http"])
def test_ports_that_are_none(port):
    """The command line refuses them."""
    with pytest.raises(SystemExit):
        options("--port", port)


def test_a_page_that_is_not_installed(monkeypatch):
    """The command says so instead of a traceback."""
    monkeypatch.setattr(serve, "PAGE", "ui.nothing_there")
    with pytest.raises(InputError, match="not installed"):
        serve.run(options())
