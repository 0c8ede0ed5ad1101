"""A Modbus RTU server made with pymodbus, as the tests' real peer: 21.5 in several formats."""

import struct
import sys

from pymodbus.datastore import ModbusSequentialDataBlock, ModbusServerContext, ModbusSlaveContext
from pymodbus.server import StartSerialServer
from pymodbus.transaction import ModbusRtuFramer

DEVICE = 17


def words(data):
    return list(struct.unpack(f">{len(data) // 2}H", data))


def registers():
    table = [0] * 64
    table[0], table[1] = 215, 65536 - 35
    abcd = struct.pack(">f", 21.5)
    a, b, c, d = abcd
    table[10:12] = words(abcd)
    table[12:14] = words(bytes([c, d, a, b]))
    table[14:16] = words(bytes([b, a, d, c]))
    table[16:18] = words(bytes([d, c, b, a]))
    table[20:22] = words(struct.pack(">i", 21500))
    return table


block = ModbusSequentialDataBlock(0, registers())
slave = ModbusSlaveContext(hr=block, ir=block, zero_mode=True)
StartSerialServer(context=ModbusServerContext(slaves={DEVICE: slave}, single=False),
                  framer=ModbusRtuFramer, port=sys.argv[1], baudrate=19200, timeout=0.005)
