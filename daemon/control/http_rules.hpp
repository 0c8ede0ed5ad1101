// What a request must be (RFC 9112, RFC 6455) beyond what Beast's parser looks at.
#pragma once

#include <boost/beast/http/message.hpp>
#include <boost/beast/http/string_body.hpp>
#include <cstddef>
#include <optional>

#include "daemon/control/gate.hpp"

namespace nestcup::daemon {

using HttpRequest = boost::beast::http::request<boost::beast::http::string_body>;

/// RFC 9112, section 3.2: exactly one Host field, except in HTTP/1.0.
[[nodiscard]] bool has_one_host(const HttpRequest& request);

/// RFC 9112, section 6.1: no transfer coding but chunked is understood here; what a proxy might
/// take for another body than this daemon does is refused.
[[nodiscard]] bool has_known_coding(const HttpRequest& request);

/// Bytes of the target and all fields, those behind a chunked body among them. Beast holds its
/// limit against what is not parsed yet, so that many short lines would pass.
[[nodiscard]] std::size_t field_bytes(const HttpRequest& request);

/// What the gate looks at; it points into the request.
[[nodiscard]] Approach approach_of(const HttpRequest& request);

/// Why a request that asks for a WebSocket is no good opening handshake (RFC 6455, section 4.2.1):
/// 400, or 426 for another version. Nothing where it is one.
[[nodiscard]] std::optional<Response> handshake_fault(const HttpRequest& request);

}  // namespace nestcup::daemon
