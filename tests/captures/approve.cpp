// Writes the readings of each capture named as those approved. To be run by a person who then reads
// the difference: see "Add a capture" in DEVELOPERS.md.
#include <fmt/format.h>

#include <fstream>

#include "tests/captures/decoded.hpp"

int main(int argc, char** argv) {
  for (int i = 1; i < argc; ++i) {
    const std::string folder = argv[i];
    const auto decoded = nestcup::captures::decoded_capture(folder);
    if (!decoded) {
      fmt::print(stderr, "approve: {}: {}\n", folder, decoded.error().text);
      return 65;
    }
    std::ofstream(folder + "/readings.csv", std::ios::binary) << *decoded;
    fmt::print("{}\n", folder);
  }
  return 0;
}
