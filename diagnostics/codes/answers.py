"""What a control unit answers when it is asked for its codes.

References
----------
.. [1] SAE J1979 / ISO 15031-5, services 03, 07 and 0A: legacy framing read in a public page, CAN framing
   (ISO 15765-4) from memory (trade-values.md section 2.1).
.. [2] ISO 14229-1, service 19 subfunction 02 and the bits of the status byte. From memory.
"""

from __future__ import annotations

from typing import Literal

from diagnostics.codes.raw import hex_bytes
from diagnostics.codes.structure import GROUP, HINT, Code, code_of
from shared.computing import Given, Refused, computation
from shared.wording import count_text

SERVICES = {0x43: "confirmed", 0x47: "pending", 0x4A: "permanent"}
LEGACY_BYTES = 7  # The service, then three pairs.
DTC_BY_STATUS = (0x59, 0x02)
RECORD_BYTES = 4  # Three of the code, one of its status.
NEGATIVE = 0x7F

# Bits of the status byte that say something to a technician [2].
STATUS_BITS = (
    (0x01, "current"),
    (0x04, "pending"),
    (0x08, "confirmed"),
    (0x20, "failed since clearing"),
    (0x80, "lamp asked for"),
)


def states_of(status: int) -> tuple[str, ...]:
    """Return what a status byte says about a code, in words.

    Parameters
    ----------
    status : int
        From 0 to 255. Bits 1, 4 and 6 tell about the running trip and are left out.

    References
    ----------
    .. [1] ISO 14229-1, DTC status byte. From memory.
    """
    return tuple(word for bit, word in STATUS_BITS if status & bit)


def service_of(data: bytes) -> str:
    """Return confirmed, pending or permanent by the first byte of an answer, or raise `Refused`."""
    if data[0] == NEGATIVE:
        raise Refused("bytes", "7F begins a refusal of the control unit: it holds no codes.", _allowed())
    if data[0] not in SERVICES:
        raise Refused("bytes", f"{data[0]:02X} does not begin an answer with codes.", _allowed())
    return SERVICES[data[0]]


def codes_in(data: bytes, framing: Literal["legacy", "can"]) -> tuple[Code, ...]:
    """Return the codes in an answer to service 03, 07 or 0A, in their order.

    Parameters
    ----------
    data : bytes
        Beginning with the service. Legacy: seven bytes, or several such messages one behind the other.
        CAN: the whole message put together from its frames.
    framing : `legacy` or `can`

    Raises
    ------
    Refused
        If the service is another or the number of bytes does not fit the framing.
    """
    service_of(data)
    pairs = _legacy_pairs(data) if framing == "legacy" else _can_pairs(data)
    codes = (code_of(pairs[place : place + 2]) for place in range(0, len(pairs), 2))
    return tuple(code for code in codes if code is not None)


def codes_with_status(data: bytes) -> tuple[tuple[Code, tuple[str, ...]], ...]:
    """Return codes with what their status byte says, from an answer 59 02 to the service 19 02.

    Raises
    ------
    Refused
        If the answer is another, or its records are not four bytes long.
    """
    if tuple(data[:2]) != DTC_BY_STATUS or len(data) < 3 or (len(data) - 3) % RECORD_BYTES:
        raise Refused("bytes", "This is no whole answer to 19 02.", "59 02, a mask, then four bytes a code")
    records = (data[place : place + RECORD_BYTES] for place in range(3, len(data), RECORD_BYTES))
    found = ((code_of(record[:3]), states_of(record[3])) for record in records)
    return tuple((code, states) for code, states in found if code is not None)


@computation(
    "dtc.response",
    "The trouble codes in an answer of a control unit to service 03, 07 or 0A",
    Given("framing", "Framing", kind="choice", choices=("legacy", "can"), example="can"),
    Given("bytes", "Bytes of the answer", kind="text", example="43 02 01 71 01 74 AA"),
    source="SAE J1979 / ISO 15031-5; ISO 15765-4 framing from memory",
    mark="read",
    formula="legacy: six bytes, zero pairs are padding; CAN: number of codes, pairs, padding",
    valid="43 confirmed, 47 pending, 4A permanent codes",
    cautions=(HINT,),
    group=GROUP,
)
def response(framing: Literal["legacy", "can"], bytes: str) -> list[str]:
    """Return the codes in an answer, in their order.

    Parameters
    ----------
    framing : `legacy` or `can`
    bytes : str
        From the service byte on: 43 confirmed, 47 pending, 4A permanent.

    Raises
    ------
    Refused
        If the service is another or the number of bytes does not fit the framing.

    References
    ----------
    .. [1] SAE J1979 / ISO 15031-5, see the module.
    """
    return [str(code) for code in codes_in(hex_bytes(bytes), framing)]


def _legacy_pairs(data: bytes) -> bytes:
    messages = [data[place : place + LEGACY_BYTES] for place in range(0, len(data), LEGACY_BYTES)]
    if len(messages[-1]) != LEGACY_BYTES:
        raise Refused(
            "bytes",
            f"{count_text(len(data), 'byte')} do not make a legacy answer.",
            "7 bytes: the service and three pairs; several answers one behind the other",
        )
    for message in messages:
        if message[0] != data[0]:
            raise Refused("bytes", f"A message begins with {message[0]:02X} in between.", _allowed())
    return b"".join(message[1:] for message in messages)


def _can_pairs(data: bytes) -> bytes:
    if len(data) < 2:
        raise Refused("bytes", "The number of codes is missing.", "the service, the number of codes, pairs")
    count = data[1]
    pairs = data[2 : 2 + 2 * count]
    if len(pairs) < 2 * count:
        raise Refused(
            "bytes",
            f"The answer speaks of {count_text(count, 'code')} and has {count_text(len(data) - 2, 'byte')}.",
            f"{2 * count} bytes or more behind the number of codes",
        )
    return pairs


def _allowed() -> str:
    return "43 (confirmed), 47 (pending) or 4A (permanent) first"
