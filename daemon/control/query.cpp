#include "daemon/control/query.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <charconv>
#include <string>

namespace nestcup::daemon {

Result<void> check_keys(const Request& request, std::initializer_list<std::string_view> known) {
  for (const auto& [key, value] : request.query) {
    if (std::find(known.begin(), known.end(), key) != known.end()) continue;
    return Error{Fault::usage, fmt::format("{} is not known here, expected one of {}", key,
                                           fmt::join(known, ", "))};
  }
  return {};
}

Result<std::int64_t> whole_in(const Request& request, const char* key, std::int64_t usual) {
  const auto found = request.query.find(key);
  if (found == request.query.end()) return usual;
  const std::string& text = found->second;
  std::int64_t number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error == std::errc() && end == text.data() + text.size()) return number;
  return Error{Fault::usage, fmt::format("{}: \"{}\" is no whole number", key, text)};
}

}  // namespace nestcup::daemon
