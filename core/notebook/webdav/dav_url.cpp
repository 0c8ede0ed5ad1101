#include "core/notebook/webdav/dav_url.hpp"

#include <fmt/format.h>

#include <charconv>

namespace nestcup {
namespace {

/// RFC 3986, section 2.3, and the slash between segments.
bool stays_as_it_is(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
         c == '.' || c == '_' || c == '~' || c == '/';
}

std::string with_slash(std::string text) {
  if (!text.ends_with('/')) text += '/';
  return text;
}

/// An address as people write it, with what may not stand in one encoded; what is already stays.
std::string tidied(std::string_view url) {
  constexpr std::string_view never = "\"<>\\^`{|}";
  std::string text;
  for (const char c : url) {
    const bool may = c > ' ' && c < '\x7f' && never.find(c) == std::string_view::npos;
    text += may ? std::string(1, c) : fmt::format("%{:02X}", static_cast<unsigned char>(c));
  }
  return text;
}

}  // namespace

std::string url_encoded(std::string_view path) {
  std::string text;
  for (const char c : path) {
    if (stays_as_it_is(c)) {
      text += c;
    } else {
      text += fmt::format("%{:02X}", static_cast<unsigned char>(c));
    }
  }
  return text;
}

std::string url_decoded(std::string_view text) {
  std::string path;
  for (std::size_t i = 0; i < text.size(); ++i) {
    unsigned value = 0;
    if (text[i] == '%' && i + 2 < text.size()) {
      const auto [end, fault] = std::from_chars(&text[i + 1], &text[i + 1] + 2, value, 16);
      if (fault == std::errc{} && end == &text[i + 1] + 2) {
        path += static_cast<char>(value);
        i += 2;
        continue;
      }
    }
    path += text[i];
  }
  return path;
}

std::optional<std::string> collection_above(std::string_view url) {
  const std::size_t server = url.find("://");
  if (server == std::string_view::npos) return std::nullopt;
  if (url.ends_with('/')) url.remove_suffix(1);
  const std::size_t end = url.rfind('/');
  const std::size_t root = url.find('/', server + 3);
  if (root == std::string_view::npos || end < root) return std::nullopt;
  return std::string(url.substr(0, end + 1));
}

DavUrl::DavUrl(std::string url) : text_(std::move(url)), base_(with_slash(tidied(text_))) {}

std::string DavUrl::at(std::string_view path) const {
  return base_ + url_encoded(path);
}

std::string DavUrl::shown(std::string_view path) const {
  return path.empty() ? text_ : with_slash(text_) + std::string(path);
}

}  // namespace nestcup
