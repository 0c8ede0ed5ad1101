// Where an address (RFC 3986) leads.
#pragma once

#include <string_view>

namespace nestcup {

/// The part of an address between "://" and the next "/": host and port, perhaps a user.
[[nodiscard]] std::string_view authority_of(std::string_view url);
/// Whether host and port are this machine's: "localhost", [::1], or 127.0.0.0/8 in numbers
/// (RFC 1122, section 3.2.1.3).
[[nodiscard]] bool is_loopback(std::string_view authority);

}  // namespace nestcup
