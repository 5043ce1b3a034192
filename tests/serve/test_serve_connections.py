"""Real sockets: who says nothing is not waited for, who waits for an answer gets it."""

import asyncio

import uvicorn
from starlette.responses import PlainTextResponse
from uvicorn.server import ServerState

from planner.serve import listening


def said_on(sent, monkeypatch):
    """All that comes back on a connection until it is closed; two looks at it are 0.1 s apart."""
    monkeypatch.setattr(listening, "PATIENCE", 0.1)

    async def slow(scope, receive, send):
        await asyncio.sleep(0.5)
        await PlainTextResponse("well")(scope, receive, send)

    async def ask():
        config = uvicorn.Config(slow, http=listening.Patient, lifespan="off", log_config=None)
        config.load()
        state = ServerState()
        loop = asyncio.get_running_loop()
        server = await loop.create_server(
            lambda: listening.Patient(config=config, server_state=state, app_state={}), "127.0.0.1", 0
        )
        async with server:
            reader, writer = await asyncio.open_connection(*server.sockets[0].getsockname())
            writer.write(sent)
            found = await asyncio.wait_for(reader.read(), 20)
            writer.close()
        return found

    return asyncio.run(ask())


def test_half_a_request_is_not_waited_for(monkeypatch):
    assert said_on(b"GET / HT", monkeypatch) == b""
    assert said_on(b"", monkeypatch) == b""


def test_a_slow_answer_is_given_and_half_of_a_second_request_not_waited_for(monkeypatch):
    said = said_on(b"GET / HTTP/1.1\r\nHost: x\r\n\r\nGET / HT", monkeypatch)
    assert said.startswith(b"HTTP/1.1 200 OK")
    assert said.endswith(b"well")
