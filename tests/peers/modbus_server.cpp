// A Modbus RTU server made with libmodbus, as the tests' real peer: holds 21.5 in several formats.
#include <modbus/modbus.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdint>
#include <cstdio>
#include <iterator>

namespace {

constexpr int device = 17;
constexpr int registers = 64;

void fill(std::uint16_t* table) {
  table[0] = 215;                              // tenths
  table[1] = static_cast<std::uint16_t>(-35);  // tenths, below zero
  // 21.5 is 0x41AC0000 in IEEE 754 binary32. Written out, since libmodbus' own functions for floats
  // name the orders after the host's bytes and not after those on the line.
  const std::uint16_t floats[] = {0x41AC, 0x0000, 0x0000, 0x41AC, 0xAC41, 0x0000, 0x0000, 0xAC41};
  std::copy(std::begin(floats), std::end(floats), table + 10);
  table[20] = 0;  // 21500 thousandths as a 32-bit whole number
  table[21] = 21500;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fputs("usage: modbus_server PORT\n", stderr);
    return 64;
  }
  modbus_t* server = modbus_new_rtu(argv[1], 19200, 'N', 8, 1);
  modbus_mapping_t* map = modbus_mapping_new(0, 0, registers, registers);
  if (server == nullptr || map == nullptr) return 70;
  fill(map->tab_registers);
  fill(map->tab_input_registers);
  if (modbus_set_slave(server, device) != 0 || modbus_connect(server) != 0) {
    std::fprintf(stderr, "%s: %s\n", argv[1], modbus_strerror(errno));
    return 69;
  }
  std::array<std::uint8_t, MODBUS_RTU_MAX_ADU_LENGTH> query{};
  for (;;) {
    const int size = modbus_receive(server, query.data());
    if (size > 0) modbus_reply(server, query.data(), size, map);
  }
}
