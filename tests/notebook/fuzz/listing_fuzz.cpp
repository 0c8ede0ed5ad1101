// A server's answer to PROPFIND is any bytes. Whatever they are: entries or one error, and no name
// that leads out of the collection.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>

#include "core/notebook/webdav/dav_server.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(reinterpret_cast<const char*>(data), size);
  const auto entries = nestcup::parse_listing(text, "fuzz");
  if (!entries) return 0;
  for (const nestcup::DavEntry& entry : *entries) {
    if (entry.name.find('/') != std::string::npos || entry.name.empty() || entry.name == "..") {
      std::abort();
    }
    if (nestcup::url_decoded(nestcup::url_encoded(entry.name)) != entry.name) std::abort();
  }
  return 0;
}
