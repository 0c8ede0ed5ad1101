// Where an address (RFC 3986) leads.
#pragma once

#include <string_view>

namespace nestcup {

/// The part of an address between "://" and the next "/": host and port, perhaps a user.
[[nodiscard]] std::string_view authority_of(std::string_view url);
/// Whether host and port are this machine's: "localhost", [::1], or 127.0.0.0/8 in numbers
/// (RFC 1122, section 3.2.1.3).
[[nodiscard]] bool is_loopback(std::string_view authority);
/// Whether that is host:port with a port of 1 to 65535; an IPv6 host stands in square brackets.
[[nodiscard]] bool is_host_and_port(std::string_view text);
/// Whether that is a host as a Host field has it (RFC 9110, section 7.2), with or without a port: a
/// name of letters, digits and '-' (RFC 1123, section 2.1), or an address in numbers.
[[nodiscard]] bool is_host_name(std::string_view text);

}  // namespace nestcup
