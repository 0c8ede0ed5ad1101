#include "daemon/control/target.hpp"

#include <fmt/format.h>

#include <charconv>
#include <utility>

namespace nestcup::daemon {
namespace {

Error bad_target(std::string_view what) {
  return {Fault::usage, fmt::format("the request's path is not usable: {}", what)};
}

Result<std::string> decode(std::string_view text) {
  std::string decoded;
  decoded.reserve(text.size());
  for (std::size_t i = 0; i < text.size(); ++i) {
    char c = text[i];
    if (c == '%') {
      unsigned code = 0;
      const char* digits = text.data() + i + 1;
      if (i + 2 >= text.size() || std::from_chars(digits, digits + 2, code, 16).ptr != digits + 2) {
        return bad_target("'%' without two hexadecimal digits");
      }
      c = static_cast<char>(code);
      i += 2;
    }
    if (c < 0x20 || c > 0x7e) return bad_target("a control character or a byte outside ASCII");
    decoded += c;
  }
  return decoded;
}

Result<void> split_path(std::string_view path, Target& target) {
  if (path.empty() || path.front() != '/') return bad_target("it must begin with '/'");
  if (path == "/") return {};
  for (std::size_t begin = 1; begin <= path.size();) {
    const std::size_t end = std::min(path.find('/', begin), path.size());
    auto segment = decode(path.substr(begin, end - begin));
    if (!segment) return segment.error();
    if (segment->empty()) return bad_target("an empty segment");
    if (*segment == "." || *segment == "..") return bad_target("'.' and '..' are not followed");
    if (segment->find('/') != std::string::npos) return bad_target("an encoded slash");
    target.segments.push_back(std::move(*segment));
    begin = end + 1;
  }
  return {};
}

Result<void> split_query(std::string_view query, Target& target) {
  for (std::size_t begin = 0; begin < query.size();) {
    const std::size_t end = std::min(query.find('&', begin), query.size());
    const std::string_view pair = query.substr(begin, end - begin);
    const std::size_t equals = std::min(pair.find('='), pair.size());
    auto key = decode(pair.substr(0, equals));
    if (!key) return key.error();
    auto value = decode(pair.substr(std::min(equals + 1, pair.size())));
    if (!value) return value.error();
    if (key->empty()) return bad_target("a query value without a key");
    if (!target.query.emplace(*key, *value).second) {
      return bad_target(fmt::format("'{}' stands twice in the query", *key));
    }
    begin = end + 1;
  }
  return {};
}

}  // namespace

Result<Target> parse_target(std::string_view text) {
  if (text.find('#') != std::string_view::npos) return bad_target("a fragment ('#')");
  const std::size_t mark = std::min(text.find('?'), text.size());
  Target target;
  if (auto split = split_path(text.substr(0, mark), target); !split) return split.error();
  if (mark < text.size()) {
    if (auto split = split_query(text.substr(mark + 1), target); !split) return split.error();
  }
  for (const std::string& segment : target.segments) target.path += "/" + segment;
  if (target.path.empty()) target.path = "/";
  return target;
}

}  // namespace nestcup::daemon
