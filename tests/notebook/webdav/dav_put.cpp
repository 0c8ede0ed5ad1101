// dav_put URL BYTES: puts so many bytes into the collection at URL, as the notebook puts a file of
// that length; "there" when the notebook holds them for arrived. Runs so long are rare, yet come.
#include <fmt/format.h>

#include <cstdlib>
#include <string>

#include "core/base/exit_code.hpp"
#include "core/notebook/webdav/dav_server.hpp"

using namespace nestcup;

int main(int count, char** words) {
  if (count != 3) return exit_code(Fault::usage);
  DavServer server(DavUrl(words[1]), HttpClient({}, [] { return true; }));
  std::string bytes;
  const std::size_t length = std::strtoull(words[2], nullptr, 10);
  while (bytes.size() < length) bytes += static_cast<char>(bytes.size() * 31 % 251);
  auto done = server.make_root();
  if (done) done = server.put("readings.csv", bytes);
  if (!done) {
    fmt::print(stderr, "dav_put: {}\n", done.error().text);
    return exit_code(done.error().kind);
  }
  fmt::print("there\n");
  return 0;
}
