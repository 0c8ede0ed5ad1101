#include "tests/notebook/raw_zip.hpp"

#include <boost/crc.hpp>

namespace nestcup {
namespace {

std::string little(std::uint64_t value, int bytes) {
  std::string text;
  for (int i = 0; i < bytes; ++i) text += static_cast<char>(value >> (8 * i) & 0xFF);
  return text;
}

/// What local header and central directory have in common, from flags to sizes.
std::string common_fields(const RawEntry& entry) {
  boost::crc_32_type crc;
  crc.process_bytes(entry.bytes.data(), entry.bytes.size());
  const std::uint32_t size =
      entry.claimed_size != 0 ? entry.claimed_size : static_cast<std::uint32_t>(entry.bytes.size());
  return little(20, 2) + little(entry.flags, 2) + little(entry.method, 2) + little(0, 2) +
         little(0x21, 2) + little(crc.checksum() + entry.checksum_error, 4) +
         little(entry.bytes.size(), 4) + little(size, 4);
}

}  // namespace

std::string raw_zip(const std::vector<RawEntry>& entries) {
  std::string out;
  std::string directory;
  for (const RawEntry& entry : entries) {
    const std::string common = common_fields(entry);
    const std::string& local = entry.local_name.empty() ? entry.name : entry.local_name;
    directory += "PK\x01\x02" + little(3 << 8 | 20, 2) + common + little(entry.name.size(), 2) +
                 little(0, 2) + little(0, 2) + little(0, 2) + little(0, 2) +
                 little(std::uint64_t{entry.mode} << 16, 4) + little(out.size(), 4) + entry.name;
    out += "PK\x03\x04" + common + little(local.size(), 2) + little(0, 2) + local + entry.bytes;
  }
  const std::string end = "PK\x05\x06" + little(0, 4) + little(entries.size(), 2) +
                          little(entries.size(), 2) + little(directory.size(), 4) +
                          little(out.size(), 4) + little(0, 2);
  return out + directory + end;
}

}  // namespace nestcup
