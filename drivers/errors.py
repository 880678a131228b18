"""The errors of the driver layer: each says what was found, what was expected and the way out."""

from __future__ import annotations


class DriverError(Exception):
    """Root of every error that a user of the drivers can meet; never raised itself."""


class ProfileError(DriverError):
    """A device profile is missing or contradicts itself."""


class DeviceNameError(DriverError):
    """A device was named in a form other than PROFILE@PORT."""

    def __init__(self, text: str, found: str) -> None:
        super().__init__(
            f"device {text!r}: {found}; expected PROFILE@PORT, for example "
            "delimited-text@/dev/ttyACM0, delimited-text@COM5 or delimited-text@socket://host:port"
        )
        self.text = text


class PortError(DriverError):
    """A port could not be opened or used. Facts stay as attributes: `port`."""

    def __init__(self, port: str, sentence: str) -> None:
        super().__init__(sentence)
        self.port = port


class PortMissingError(PortError):
    """There is no such port, or nobody answers at that address."""


class PortBusyError(PortError):
    """Another program holds the port."""


class PortDeniedError(PortError):
    """The operating system does not let this user open the port."""


class PortClosedError(PortError):
    """We closed the port and then used it: a mistake on our side, not the bench's."""

    def __init__(self, port: str) -> None:
        super().__init__(port, f"port {port!r} was used after it had been closed; open it again first")


class PortLostError(PortError):
    """The other end went away: cable pulled, adapter reset, power off.

    `__cause__` holds the operating system's own error where there was one.
    """

    def __init__(self, port: str, what: str = "the line went away") -> None:
        super().__init__(
            port, f"lost {port!r}: {what}; expected it to stay open; check cable and power, it is tried again"
        )
