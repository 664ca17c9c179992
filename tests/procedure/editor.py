"""An editor's side of the Language Server Protocol 3.17, as much as a file on a screen needs, over pipes.

Source: the protocol's specification (base protocol, life cycle, text synchronisation, completion, hover).
"""

from __future__ import annotations

import json
import os
import select
import subprocess
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Self

PATIENCE = 60.0
"""Seconds that an answer may take before the test gives up."""
SETTINGS: Mapping[str, Mapping[str, object]] = {
    "yaml": {
        "validate": True,
        "hover": True,
        "completion": True,
        "schemaStore": {"enable": False},  # nothing is asked of a network
    }
}
Answer = Any
"""What a server says, as JSON has it."""


class Editor:
    """A server that runs, and a file that is open in it."""

    def __init__(self, server: subprocess.Popen[bytes], file: Path) -> None:
        self._server = server
        self._read = b""
        self._asked = 0
        self._version = 0
        self.uri = file.resolve().as_uri()
        self.told: list[Answer] = []
        """What is wrong with the text as it stands, as the server told it last."""

    @classmethod
    @contextmanager
    def on(cls, command: Sequence[str], file: Path, text: str) -> Iterator[Self]:
        """Start a server and open `text` in it, as if it stood in `file`; ends the server."""
        with subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        ) as server:
            editor = cls(server, file)
            try:
                editor._begin(text)
                yield editor
            finally:
                server.kill()

    def _begin(self, text: str) -> None:
        workspace = {"configuration": True, "didChangeConfiguration": {"dynamicRegistration": True}}
        completion = {"completionItem": {"documentationFormat": ["markdown", "plaintext"]}}
        document = {"hover": {}, "completion": completion, "publishDiagnostics": {"versionSupport": True}}
        self.ask(
            "initialize",
            processId=os.getpid(),
            rootUri=None,
            capabilities={"workspace": workspace, "textDocument": document},
        )
        self._say("initialized")
        self._say("workspace/didChangeConfiguration", settings=SETTINGS)
        opened = {"uri": self.uri, "languageId": "yaml", "version": 0, "text": text}
        self._say("textDocument/didOpen", textDocument=opened)
        self.until_told()

    def put(self, text: str) -> None:
        """The text becomes another; waits until the server has looked at it."""
        self._version += 1
        document = {"uri": self.uri, "version": self._version}
        self._say("textDocument/didChange", textDocument=document, contentChanges=[{"text": text}])
        self.until_told()

    def offered(self, line: int, column: int) -> dict[str, Answer]:
        """What can be written at a place (counted from 0), by its label."""
        found = self.ask("textDocument/completion", **self._at(line, column))
        items = found["items"] if isinstance(found, dict) else found or []
        return {item["label"]: item for item in items}

    def hover(self, line: int, column: int) -> str:
        """What is said of what stands at a place."""
        return json.dumps(self.ask("textDocument/hover", **self._at(line, column)), ensure_ascii=False)

    def ask(self, method: str, **parameters: object) -> Answer:
        """A request, and its answer."""
        self._asked += 1
        self._send({"id": self._asked, "method": method, "params": parameters})
        while True:
            got = self._message()
            if got.get("id") == self._asked and "method" not in got:
                assert "error" not in got, got
                return got.get("result")

    def until_told(self) -> None:
        """Until the server says what is wrong with the file."""
        while True:
            got = self._message()
            if got.get("method") == "textDocument/publishDiagnostics" and got["params"]["uri"] == self.uri:
                return

    def _at(self, line: int, column: int) -> dict[str, object]:
        return {"textDocument": {"uri": self.uri}, "position": {"line": line, "character": column}}

    def _say(self, method: str, **parameters: object) -> None:
        self._send({"method": method, "params": parameters})

    def _send(self, message: Mapping[str, object]) -> None:
        body = json.dumps({"jsonrpc": "2.0", **message}).encode()
        assert self._server.stdin is not None
        self._server.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self._server.stdin.flush()

    def _message(self) -> dict[str, Answer]:
        """The next message. What the server asks for is answered, what it tells of the file is kept."""
        head = self._until(b"\r\n\r\n")
        length = next(
            int(row.split(b":")[1])
            for row in head.split(b"\r\n")
            if row.lower().startswith(b"content-length")
        )
        while len(self._read) < length:
            self._more()
        body, self._read = self._read[:length], self._read[length:]
        got: dict[str, Answer] = json.loads(body)
        if "method" in got and "id" in got:
            wanted = (
                got.get("params", {}).get("items", []) if got["method"] == "workspace/configuration" else None
            )
            result = None if wanted is None else [SETTINGS.get(item.get("section")) for item in wanted]
            self._send({"id": got["id"], "result": result})
        elif got.get("method") == "textDocument/publishDiagnostics" and got["params"]["uri"] == self.uri:
            self.told = got["params"]["diagnostics"]
        return got

    def _until(self, end: bytes) -> bytes:
        while end not in self._read:
            self._more()
        head, _, self._read = self._read.partition(end)
        return head

    def _more(self) -> None:
        assert self._server.stdout is not None
        there, _, _ = select.select([self._server.stdout], [], [], PATIENCE)
        assert there, "the server says nothing any more"
        got = os.read(self._server.stdout.fileno(), 65536)
        assert got, "the server has ended"
        self._read += got
