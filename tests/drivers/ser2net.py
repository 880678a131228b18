"""ser2net, a network serial server of Debian's, on a pseudo-terminal and a free port of the loopback."""

from __future__ import annotations

import os
import pathlib
import select
import socket
import subprocess
import tempfile
import tty

CONFIGURATION = """
connection: &bench
  accepter: telnet(rfc2217),tcp,127.0.0.1,{port}
  connector: serialdev,{device},115200n81,local
  options:
    kickolduser: true
"""


class Ser2net:
    """Started on creation; `far` is the descriptor of the device's end, `url` what a client opens."""

    def __init__(self) -> None:
        self.far, near = os.openpty()
        tty.setraw(near)
        with socket.create_server(("127.0.0.1", 0)) as server:
            port = server.getsockname()[1]
        self._folder = tempfile.TemporaryDirectory()
        file = pathlib.Path(self._folder.name) / "ser2net.yaml"
        file.write_text(CONFIGURATION.format(port=port, device=os.ttyname(near)))
        self._process = subprocess.Popen(
            ["ser2net", "-n", "-d", "-c", str(file)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        self._near = near
        # a pseudo-terminal has no control lines to acknowledge
        self.url = f"rfc2217://127.0.0.1:{port}?ign_set_control"
        self._wait_until_it_listens(port)

    def _wait_until_it_listens(self, port: int) -> None:
        for _ in range(200):
            with socket.socket() as probe:
                probe.settimeout(0.5)
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    return
            if self._process.poll() is not None:
                raise RuntimeError(f"ser2net ended with status {self._process.returncode}")
            select.select([], [], [], 0.02)
        self.stop()
        raise RuntimeError("ser2net does not listen")

    def stop(self) -> None:
        """End the server."""
        if self._process.poll() is None:
            self._process.terminate()
            self._process.wait(5)
            os.close(self._near)
            os.close(self.far)
            self._folder.cleanup()
