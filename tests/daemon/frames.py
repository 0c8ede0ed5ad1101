"""WebSocket (RFC 6455) by hand, so that it can be done badly."""

import os
import struct

HANDSHAKE = ("Connection: Upgrade", "Upgrade: websocket", "Sec-WebSocket-Version: 13",
             "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==")
TEXT, BINARY, CLOSE, PING, PONG = 1, 2, 8, 9, 10


def frame(kind, payload=b"", fin=True, reserved=0, masked=True, length=None):
    """A frame as RFC 6455, section 5.2 has it; `length` may be a lie."""
    size = len(payload) if length is None else length
    head = bytes([(0x80 if fin else 0) | reserved << 4 | kind])
    mask = 0x80 if masked else 0
    if size < 126:
        head += bytes([mask | size])
    elif size < 65536:
        head += bytes([mask | 126]) + struct.pack(">H", size)
    else:
        head += bytes([mask | 127]) + struct.pack(">Q", size)
    if not masked:
        return head + payload
    key = os.urandom(4)
    return head + key + bytes(byte ^ key[at % 4] for at, byte in enumerate(payload))


def watch(rig, *lines, **how):
    """A line on which the stream has begun."""
    line = rig.line(**how)
    line.send(rig.request("GET", "/v1/stream", *HANDSHAKE, *lines))
    answer = line.answer()
    if answer is None or answer.status != 101:
        line.close()
        raise ConnectionRefusedError(f"no stream: {answer and answer.status}")
    return line


def next_frame(line):
    """@return kind, payload; None where the connection has ended"""
    head = line.file.read(2)
    if len(head) < 2:
        return None
    size = head[1] & 0x7f
    if size == 126:
        (size,) = struct.unpack(">H", line.file.read(2))
    elif size == 127:
        (size,) = struct.unpack(">Q", line.file.read(8))
    return head[0] & 0x0f, line.file.read(size)


def close_code(line):
    """The code of the daemon's goodbye; None where it only closes."""
    try:
        while received := next_frame(line):
            if received[0] == CLOSE:
                return struct.unpack(">H", received[1][:2])[0]
    except ConnectionResetError:
        pass
    return None
