// What the kernel says of a device: files of one line.
#pragma once

#include <filesystem>
#include <fstream>
#include <string>

namespace nestcup::drivers {

/// Empty where there is no such file.
[[nodiscard]] inline std::string first_line(const std::filesystem::path& path) {
  std::ifstream file(path);
  std::string line;
  std::getline(file, line);
  return line;
}

}  // namespace nestcup::drivers
