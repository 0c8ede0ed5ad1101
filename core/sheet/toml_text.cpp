// From a file's bytes to TOML tables.
#include <fmt/format.h>

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "core/sheet/toml_section.hpp"

namespace nestcup {

std::optional<toml::table> parse_toml(const std::string& text, ProblemList& problems) {
  try {
    return toml::parse(text);
  } catch (const toml::parse_error& fault) {
    problems.add(fault.source().begin.line,
                 fmt::format("is no TOML here: {}; see https://toml.io", fault.description()));
    return std::nullopt;
  }
}

Result<std::string> file_bytes(const std::string& path) {
  std::error_code fault;
  if (std::filesystem::is_directory(path, fault)) {
    return Error{Fault::no_input, fmt::format("{}: is a folder, expected a file", path)};
  }
  errno = 0;
  std::ifstream file(path, std::ios::binary);
  if (!file) {
    const int reason = errno;
    const bool denied = reason == EACCES || reason == EPERM;
    return Error{denied ? Fault::not_permitted : Fault::no_input,
                 fmt::format("{}: cannot be opened ({}); check the name and the rights", path,
                             std::strerror(reason))};
  }
  std::string bytes{std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
  if (file.bad()) return Error{Fault::io, fmt::format("{}: cannot be read to its end", path)};
  return bytes;
}

std::string listed(std::span<const std::string> words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) text += i + 1 == words.size() ? " or " : ", ";
    text += fmt::format("\"{}\"", words[i]);
  }
  return text;
}

}  // namespace nestcup
