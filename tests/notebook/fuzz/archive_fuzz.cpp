// Any bytes as an archive: it is refused, or gives files that stay in their folder and that can be
// packed and read again.
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "core/notebook/archive.hpp"

using namespace nestcup;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  ArchiveLimits limits;
  limits.total_bytes = 1 << 20;
  limits.entries = 100;
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  const auto files = read_archive_bytes(bytes, "x", limits);
  if (!files) {
    if (files.error().text.find('\n') != std::string::npos) std::abort();
    return 0;
  }
  if (files->empty()) return 0;
  const auto packed = archive_bytes(*files, {}, "y");
  if (!packed) std::abort();
  limits.ratio = 2000;
  const auto again = read_archive_bytes(*packed, "y", limits);
  if (!again || again->size() != files->size()) std::abort();
  for (std::size_t i = 0; i < files->size(); ++i) {
    if ((*again)[i].path != (*files)[i].path || (*again)[i].bytes != (*files)[i].bytes)
      std::abort();
  }
  return 0;
}
