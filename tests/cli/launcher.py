"""Processes of the program that need not each begin with all of its imports.

One Python imports them once, and splits in two whenever a command is to be run: the other half
is a process like any, with outputs, an environment and an end of its own.
"""

import json
import os
import socket
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import IO

OF_THE_PROGRAM = "import sys; from ripenroom.cli import main; sys.exit(main())"
"""What ``python -m ripenroom`` runs."""

Output = int | IO[bytes]

_SPLITTING = """
import gc, json, os, socket, sys
import ripenroom.cli

gc.freeze()  # what is there once is looked at and written to by no process that splits off

with socket.socket(fileno=int(sys.argv[1])) as asked:
    while True:
        said, outputs, _, _ = socket.recv_fds(asked, 1 << 20, 2)
        if not said:
            sys.exit()
        if not (child := os.fork()):
            break
        for output in outputs:
            os.close(output)
        asked.send(b"%d" % os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]))
for descriptor, output in enumerate(outputs, 1):
    os.dup2(output, descriptor)
    os.close(output)
code, arguments, folder, environment = json.loads(said)
sys.argv[1:] = arguments
os.chdir(folder)
os.environ.clear()
os.environ.update(environment)
exec(code)
"""


class Launcher:
    """Runs commands, one after the other, until it is closed."""

    def __init__(self) -> None:
        self._asks: socket.socket | None = None
        if hasattr(os, "fork"):
            self._asks, asked = socket.socketpair()
            with asked:
                told = [sys.executable, "-c", _SPLITTING, str(asked.fileno())]
                # A pipe is the one kind of output that promises nothing which others do not keep.
                self._process = subprocess.Popen(
                    told, stdout=subprocess.PIPE, pass_fds=[asked.fileno()]
                )

    def run(
        self,
        arguments: Sequence[str],
        stdout: Output,
        stderr: Output,
        code: str = OF_THE_PROGRAM,
        folder: str | os.PathLike[str] = ".",
    ) -> tuple[int, bytes]:
        """Exit code, and what was said on an output that is ``subprocess.PIPE``."""
        if self._asks is None:
            command = [sys.executable, "-c", code, *arguments]
            done = subprocess.run(command, stdout=stdout, stderr=stderr, cwd=folder, check=False)
            return done.returncode, (done.stdout or b"") + (done.stderr or b"")
        reader, writer = os.pipe()
        nowhere = os.open(os.devnull, os.O_WRONLY)
        ours = {subprocess.PIPE: writer, subprocess.DEVNULL: nowhere}
        outputs = [
            ours.get(output, output) if isinstance(output, int) else output.fileno()
            for output in (stdout, stderr)
        ]
        asked = json.dumps([code, arguments, str(Path(folder).absolute()), dict(os.environ)])
        socket.send_fds(self._asks, [asked.encode()], outputs)
        os.close(nowhere)
        os.close(writer)
        with os.fdopen(reader, "rb") as said:
            heard = said.read()
        return int(self._asks.recv(99)), heard

    def close(self) -> None:
        """Run nothing more."""
        if self._asks is not None:
            self._asks.close()
            self._process.communicate()
