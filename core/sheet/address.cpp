#include "core/sheet/address.hpp"

#include <algorithm>
#include <cctype>

namespace nestcup {

namespace {

constexpr std::size_t longest_label = 63;
constexpr std::size_t longest_name = 253;

bool is_port(std::string_view text) {
  if (text.empty() || text.size() > 5 || text.front() == '0') return false;
  int number = 0;
  for (const char c : text) {
    if (c < '0' || c > '9') return false;
    number = number * 10 + (c - '0');
  }
  return number <= 65535;
}

bool is_label(std::string_view text) {
  return !text.empty() && text.size() <= longest_label && text.front() != '-' &&
         text.back() != '-' && std::all_of(text.begin(), text.end(), [](unsigned char c) {
           return c < 0x80 && (std::isalnum(c) != 0 || c == '-');
         });
}

bool is_bracketed_address(std::string_view host) {
  return host.size() > 4 && host.front() == '[' && host.back() == ']' &&
         host.substr(1, host.size() - 2).find_first_not_of("0123456789abcdefABCDEF:.") ==
             std::string_view::npos;
}

}  // namespace

std::string_view authority_of(std::string_view url) {
  const std::size_t scheme = url.find("://");
  if (scheme == std::string_view::npos) return {};
  url.remove_prefix(scheme + 3);
  return url.substr(0, url.find('/'));
}

bool is_loopback(std::string_view authority) {
  const std::string_view host = authority.substr(0, authority.rfind(':'));
  if (authority == "[::1]" || host == "[::1]" || host == "localhost") return true;
  // Numbers alone: "127.example" is a name, and anybody's. A whole address has three dots.
  const bool numbers = host.find_first_not_of("0123456789.") == std::string_view::npos;
  return host.starts_with("127.") && numbers && std::count(host.begin(), host.end(), '.') == 3;
}

bool is_host_and_port(std::string_view text) {
  const std::size_t colon = text.rfind(':');
  if (colon == std::string_view::npos || colon == 0) return false;
  const std::string_view host = text.substr(0, colon);
  const bool bracketed = host.size() > 2 && host.front() == '[' && host.back() == ']';
  if (!bracketed && host.find_first_of(":[] /") != std::string_view::npos) return false;
  return is_port(text.substr(colon + 1));
}

bool is_host_name(std::string_view text) {
  const std::size_t colon = text.rfind(':');
  const bool has_port = colon != std::string_view::npos && !text.ends_with(']');
  if (has_port && !is_port(text.substr(colon + 1))) return false;
  std::string_view host = has_port ? text.substr(0, colon) : text;
  if (is_bracketed_address(host)) return true;
  if (host.empty() || host.size() > longest_name) return false;
  while (true) {
    const std::size_t dot = host.find('.');
    if (!is_label(host.substr(0, dot))) return false;
    if (dot == std::string_view::npos) return true;
    host.remove_prefix(dot + 1);
  }
}

}  // namespace nestcup
