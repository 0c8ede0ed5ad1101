// Zip archives as no honest program writes them, byte by byte (APPNOTE 6.3, section 4.3), stored.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace nestcup {

struct RawEntry {
  std::string name;
  std::string bytes;
  std::uint32_t mode = 0100644;      ///< of Unix, with the kind of file
  std::uint16_t flags = 0;           ///< general purpose bits
  std::uint16_t method = 0;          ///< of packing
  std::uint32_t claimed_size = 0;    ///< unpacked, where it is not that of `bytes`
  std::uint32_t checksum_error = 0;  ///< added to the checksum
  std::string local_name = {};       ///< in the local header, where that differs
};

[[nodiscard]] std::string raw_zip(const std::vector<RawEntry>& entries);

}  // namespace nestcup
