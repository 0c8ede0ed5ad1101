#include "core/sheet/address.hpp"

#include <algorithm>

namespace nestcup {

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

}  // namespace nestcup
